//go:build wasip1

// Command logged is the WebAssembly main for logged stops: the calculator that works a log up, which readers load when
// they have one. Its face is that of the module of all calculators.
package main

import (
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/module/reactor"
	"example.org/gripleaf/calculators/test"
)

func init() {
	reactor.Set = kit.Set{test.Logged()}
	reactor.Most = 20 << 20
}

// main is never called: the host initialises the reactor and calls its exports.
func main() {}
