// Package folder reads the folder that a site is made from, and nothing beside it. What leads out of it is refused, and
// so is what would never end to be read: a pipe is waited for, a device has no end, a file of gigabytes fills the
// memory.
package folder

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"slices"
	"sync"
	"time"
)

// Folder is an open folder. It implements fs.FS and what readers ask of one besides. What is in a folder within it is
// looked at once, so who has asked for that sees the names, sizes and times of that moment from then on.
type Folder struct {
	root  *os.Root
	files fs.FS

	mu     sync.Mutex
	listed map[string]func() (*listing, error) // by name
}

// listing is what was in a folder.
type listing struct {
	entries []fs.DirEntry
	regular map[string]*seen // by name: its files, without links
}

// seen is what a listing keeps of a file, which is less than the system tells: a folder may have a hundred thousand. It
// implements fs.FileInfo and fs.DirEntry.
type seen struct {
	name     string
	mode     fs.FileMode
	time     time.Time
	size     int64
	identity Identity
}

func (s *seen) Name() string               { return s.name }
func (s *seen) Size() int64                { return s.size }
func (s *seen) Mode() fs.FileMode          { return s.mode }
func (s *seen) Type() fs.FileMode          { return s.mode.Type() }
func (s *seen) ModTime() time.Time         { return s.time }
func (s *seen) IsDir() bool                { return s.mode.IsDir() }
func (s *seen) Sys() any                   { return nil }
func (s *seen) Info() (fs.FileInfo, error) { return s, nil }

// What a file may weigh. A lesson of 2 MB is read for a day; a list of all lessons of a large course may be longer, and
// no picture that a page shows needs more than the rest may.
const (
	mostLesson = 2_000_000
	mostText   = 8_000_000
	mostOther  = 64_000_000
)

// Open opens a folder.
func Open(name string) (*Folder, error) {
	root, err := os.OpenRoot(name)
	if err != nil {
		return nil, err
	}
	return &Folder{root: root, files: root.FS(), listed: make(map[string]func() (*listing, error))}, nil
}

// Close closes it.
func (f *Folder) Close() error { return f.root.Close() }

// Open implements fs.FS. It opens files and folders only.
func (f *Folder) Open(name string) (fs.File, error) {
	if err := f.refuse("open", name); err != nil {
		return nil, err
	}
	file, err := f.files.Open(name)
	return file, explain(err)
}

// Stat implements fs.StatFS.
func (f *Folder) Stat(name string) (fs.FileInfo, error) {
	f.mu.Lock()
	in := f.listed[path.Dir(name)]
	f.mu.Unlock()
	if in != nil {
		if list, err := in(); err == nil {
			if info, ok := list.regular[path.Base(name)]; ok {
				return info, nil
			}
		}
	}
	info, err := fs.Stat(f.files, name)
	return info, explain(err)
}

// ReadDir implements fs.ReadDirFS.
func (f *Folder) ReadDir(name string) ([]fs.DirEntry, error) {
	if err := f.refuse("readdir", name); err != nil {
		return nil, err
	}
	f.mu.Lock()
	in := f.listed[name]
	if in == nil {
		in = sync.OnceValues(func() (*listing, error) { return f.list(name) })
		f.listed[name] = in
	}
	f.mu.Unlock()
	list, err := in()
	if err != nil {
		return nil, err
	}
	return slices.Clone(list.entries), nil
}

func (f *Folder) list(name string) (*listing, error) {
	entries, err := fs.ReadDir(f.files, name)
	if err != nil {
		return nil, explain(err)
	}
	in := &listing{entries, make(map[string]*seen, len(entries))}
	for i, e := range entries {
		if info, err := e.Info(); err == nil && info.Mode().IsRegular() {
			s := &seen{info.Name(), info.Mode(), info.ModTime(), info.Size(), identify(info)}
			in.regular[s.name], entries[i] = s, s
		}
	}
	return in, nil
}

// ReadFile implements fs.ReadFileFS.
func (f *Folder) ReadFile(name string) ([]byte, error) {
	if err := f.refuse("read", name); err != nil {
		return nil, err
	}
	data, err := fs.ReadFile(f.files, name)
	return data, explain(err)
}

// refuse says why a name must not be opened. To open a pipe is to wait for whoever writes into it, so it is looked at
// before.
func (f *Folder) refuse(op, name string) error {
	info, err := f.Stat(name)
	if err != nil {
		return err
	}
	why := ""
	switch mode := info.Mode(); {
	case mode.IsDir():
	case mode&fs.ModeNamedPipe != 0:
		why = "it is a pipe, not a file"
	case mode&fs.ModeDevice != 0:
		why = "it is a device, not a file"
	case !mode.IsRegular():
		why = "it is no file"
	case info.Size() > most(name):
		why = fmt.Sprintf("it has %d bytes, and %d are the most", info.Size(), most(name))
	}
	if why == "" {
		return nil
	}
	return &fs.PathError{Op: op, Path: name, Err: errors.New(why)}
}

func most(name string) int64 {
	switch path.Ext(name) {
	case ".md":
		return mostLesson
	case ".yaml", ".html", ".ts", ".css":
		return mostText
	}
	return mostOther
}

// explain puts into words what the system means by a path that escapes.
func explain(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) && p.Err != nil && p.Err.Error() == "path escapes from parent" {
		return &fs.PathError{Op: p.Op, Path: p.Path, Err: errors.New("it leads out of the folder of the site")}
	}
	return err
}

// Why says in words why a file could not be read, without its name.
func Why(err error) string {
	var p *fs.PathError
	if errors.As(err, &p) {
		err = p.Err
	}
	return err.Error()
}
