package folder

import (
	"io/fs"
	"time"
)

// Identity tells a file from every other one, and from its own earlier and later selves, without reading it. The size
// and the time of an edit do not: an archive gives all its files one time, and a tool may set the old one.
type Identity struct {
	Device, Inode uint64
	Changed       int64 // when the system last noted a change of the file or its name, in ns since 1970
	Size, Time    int64
}

// Identify gives the identity of a file that a Folder has looked at. It is zero where the system does not tell enough.
func Identify(info fs.FileInfo) Identity {
	if s, ok := info.(*seen); ok {
		return s.identity
	}
	return identify(info)
}

// Certain reports whether the system told enough. Otherwise only the content tells one file from another.
func (i Identity) Certain() bool { return i.Inode != 0 && i.Changed != 0 }

// Young reports whether a file that was read at a time could be changed after that without another identity: the clocks
// of file systems are coarse, and one may have been set back since.
func (i Identity) Young(read time.Time) bool {
	tick := 100 * time.Millisecond
	if i.Changed%int64(time.Second) == 0 {
		tick = 2 * time.Second
	}
	return i.Changed > read.Add(-tick).UnixNano()
}
