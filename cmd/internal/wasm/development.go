//go:build !release

package wasm

// released and releasedMeasured are the modules of a release; without one they are compiled when they are needed.
var released, releasedMeasured []byte
