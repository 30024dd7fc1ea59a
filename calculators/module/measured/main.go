//go:build wasip1

// Command logged is the WebAssembly main for logged stops: the calculator that works a log up, which readers load when
// they have one. Its face is that of the module of all calculators.
package main

import (
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/measured"
	"example.org/gripleaf/calculators/module/reactor"
)

func init() {
	reactor.Set = kit.Set{measured.Logged()}
	reactor.Most = 20 << 20
}

// main is never called: the host initialises the reactor and calls its exports.
func main() {}
