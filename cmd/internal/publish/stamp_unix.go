//go:build unix

package publish

import (
	"io/fs"
	"os"
	"syscall"
)

// inode returns the number that the file system knows a file by.
func inode(info fs.FileInfo) uint64 {
	if s, ok := info.Sys().(*syscall.Stat_t); ok {
		return uint64(s.Ino)
	}
	return 0
}

// mounted reports whether dir is on another file system than its parent.
func mounted(dir, parent string) bool {
	a, errA := os.Stat(dir)
	b, errB := os.Stat(parent)
	if errA != nil || errB != nil {
		return false
	}
	return a.Sys().(*syscall.Stat_t).Dev != b.Sys().(*syscall.Stat_t).Dev
}
