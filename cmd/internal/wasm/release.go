//go:build release

package wasm

import _ "embed"

// released, releasedRides and releasedMeasured are the standard modules, made by go generate before a release is built.
var (
	//go:embed standard.wasm
	released []byte
	//go:embed rides.wasm
	releasedRides []byte
	//go:embed measured.wasm
	releasedMeasured []byte
)
