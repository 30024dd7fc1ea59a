// Package version names the running program: at the terminal, and in the pages that it writes.
package version

import "runtime/debug"

// Name is the version of the program's module, or the commit that it was made from.
func Name() string {
	info, ok := debug.ReadBuildInfo()
	if !ok || info.Main.Version == "" || info.Main.Version == "(devel)" {
		return "(development)"
	}
	return info.Main.Version
}
