//go:build wasip1

// Command rides is the WebAssembly main of the calculators that ride simulated stops. Its face is that of the module of
// closed formulas.
package main

import (
	"example.org/gripleaf/calculators/antilock"
	"example.org/gripleaf/calculators/cycle"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/module/reactor"
	"example.org/gripleaf/calculators/rider"
	"example.org/gripleaf/calculators/squeeze"
)

func init() {
	reactor.Set = kit.Set{&antilock.Calculator, &cycle.Calculator, &squeeze.Calculator, &rider.Calculator}
}

// main is never called: the host initialises the reactor and calls its exports.
func main() {}
