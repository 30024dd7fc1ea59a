//go:build !release

package wasm

// released, releasedRides and releasedMeasured are the modules of a release; without one they
// are compiled when they are needed.
var released, releasedRides, releasedMeasured []byte
