package build

import (
	"os"
	"runtime/debug"
)

// A build makes little that lasts and much that does not, so collecting garbage less often than usual takes less time,
// until the pages of memory that it takes instead cost more; a soft bound keeps that from costing memory where there is
// much of it.
const (
	gcPercent   = 400
	memoryLimit = 970 << 20 // bytes
)

// spacious sets the collector for a build, unless whoever runs it has set it, and gives what sets it back.
func spacious() func() {
	if os.Getenv("GOGC") != "" || os.Getenv("GOMEMLIMIT") != "" {
		return func() {}
	}
	percent, limit := debug.SetGCPercent(gcPercent), debug.SetMemoryLimit(memoryLimit)
	return func() {
		debug.SetGCPercent(percent)
		debug.SetMemoryLimit(limit)
	}
}
