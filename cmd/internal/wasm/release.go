//go:build release

package wasm

import _ "embed"

// released is the standard module, made by go generate before a release is built.
//
//go:embed standard.wasm
var released []byte
