//go:build wasip1

// Command module is the WebAssembly main: a WASI reactor with all standard calculators.
package main

import (
	"example.org/gripleaf/calculators/module/reactor"
	"example.org/gripleaf/calculators/standard"
)

func init() { reactor.Set = standard.Set }

// main is never called: the host initialises the reactor and calls its exports.
func main() {}
