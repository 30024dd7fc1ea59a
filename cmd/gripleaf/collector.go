package main

import (
	"os"
	"runtime/debug"
)

// collectRarely has garbage collected less often than usual, unless whoever runs the program says how: a build makes
// little that lasts and much that does not. Below the limit, in bytes, that costs memory; near it, time.
func collectRarely() {
	if os.Getenv("GOGC") == "" && os.Getenv("GOMEMLIMIT") == "" {
		debug.SetGCPercent(400)
		debug.SetMemoryLimit(970 << 20)
	}
}
