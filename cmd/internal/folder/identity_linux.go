package folder

import (
	"io/fs"
	"syscall"
)

func identify(info fs.FileInfo) Identity {
	s, ok := info.Sys().(*syscall.Stat_t)
	if !ok {
		return Identity{}
	}
	return Identity{uint64(s.Dev), s.Ino, s.Ctim.Nano(), info.Size(), info.ModTime().UnixNano()}
}
