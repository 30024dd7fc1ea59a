//go:build release

package wasm

import _ "embed"

// released and releasedLogged are the standard modules, made by go generate before a release is built.
var (
	//go:embed standard.wasm
	released []byte
	//go:embed logged.wasm
	releasedLogged []byte
)
