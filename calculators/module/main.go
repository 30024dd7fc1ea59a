//go:build wasip1

// Command module is the WebAssembly main of the calculators that are closed formulas: a WASI reactor that most pages
// need alone. Those that ride simulated stops are in calculators/module/rides.
package main

import (
	"example.org/gripleaf/calculators/module/reactor"
	"example.org/gripleaf/calculators/standard/closed"
)

func init() { reactor.Set = closed.Set }

// main is never called: the host initialises the reactor and calls its exports.
func main() {}
