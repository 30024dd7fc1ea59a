//go:build !linux && !darwin

package folder

import "io/fs"

// identify knows nothing: files are told apart by what is in them.
func identify(fs.FileInfo) Identity { return Identity{} }
