// Package begin writes a small working site to start from. It is one archive, readable as a whole: two lessons, a
// glossary, sources, and a calculator of the site's own.
package begin

import (
	_ "embed"
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/rogpeppe/go-internal/txtar"

	"example.org/gripleaf/cmd/internal/fault"
)

//go:embed site.txtar
var archive []byte

// Files are the names of what Write writes, relative to the folder.
func Files() []string {
	var names []string
	for _, f := range txtar.Parse(archive).Files {
		names = append(names, f.Name)
	}
	return names
}

// Write writes the site into a folder, which it makes if it has to. If any of its files is there already, it writes
// nothing and names them all.
func Write(folder string) error { return write(folder, txtar.Parse(archive).Files) }

func write(folder string, files []txtar.File) error {
	var taken fault.List
	for _, f := range files {
		name := filepath.Join(folder, filepath.FromSlash(f.Name))
		if _, err := os.Lstat(name); !errors.Is(err, fs.ErrNotExist) {
			taken.Add(fault.Fault{Code: "in-the-way", File: name, Text: "this is there already", Hint: "begin in an empty folder"})
		}
	}
	if len(taken) > 0 {
		return taken
	}
	for _, f := range files {
		if err := create(filepath.Join(folder, filepath.FromSlash(f.Name)), f.Data); err != nil {
			return err
		}
	}
	return nil
}

// create makes a new file; one that has come into being meanwhile is left alone.
func create(name string, data []byte) error {
	if err := os.MkdirAll(filepath.Dir(name), 0o777); err != nil {
		return err
	}
	file, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return err
	}
	_, err = file.Write(data)
	return errors.Join(err, file.Close())
}
