package asset

import (
	"cmp"
	"errors"
	"io/fs"
	"slices"
)

// Layers are file trees that lie over each other: a file is that of the first layer that has it.
type Layers []fs.FS

// Open implements fs.FS.
func (l Layers) Open(name string) (fs.File, error) {
	for _, layer := range l {
		file, err := layer.Open(name)
		if !errors.Is(err, fs.ErrNotExist) {
			return file, err
		}
	}
	return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
}

// ReadDir implements fs.ReadDirFS: the entries of all layers together.
func (l Layers) ReadDir(name string) ([]fs.DirEntry, error) {
	var all []fs.DirEntry
	found := false
	for _, layer := range l {
		entries, err := fs.ReadDir(layer, name)
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err != nil {
			return nil, err
		}
		found = true
		for _, e := range entries {
			if !slices.ContainsFunc(all, func(have fs.DirEntry) bool { return have.Name() == e.Name() }) {
				all = append(all, e)
			}
		}
	}
	if !found {
		return nil, &fs.PathError{Op: "readdir", Path: name, Err: fs.ErrNotExist}
	}
	slices.SortFunc(all, func(a, b fs.DirEntry) int { return cmp.Compare(a.Name(), b.Name()) })
	return all, nil
}
