//go:build !release

package wasm

// released is the standard module of a release; without one it is compiled when it is needed.
var released []byte
