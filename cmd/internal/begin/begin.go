// Package begin writes a small working site to start from. It is one archive, readable as a whole: two lessons, a
// glossary, sources, and a calculator of the site's own.
package begin

import (
	"bytes"
	_ "embed"
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/rogpeppe/go-internal/txtar"

	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/whole"
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
// nothing and names them all; but what a run that was killed has written of them, it completes.
func Write(folder string) error { return write(folder, txtar.Parse(archive).Files) }

func write(folder string, files []txtar.File) error {
	var taken fault.List
	var missing []txtar.File
	foreign := false
	for _, f := range files {
		name := filepath.Join(folder, filepath.FromSlash(f.Name))
		if _, err := os.Lstat(name); errors.Is(err, fs.ErrNotExist) {
			missing = append(missing, f)
			continue
		}
		text, err := os.ReadFile(name)
		foreign = foreign || err != nil || !bytes.Equal(text, f.Data)
		taken.Add(fault.Fault{Code: "in-the-way", File: name, Text: "this is there already", Hint: "begin in an empty folder"})
	}
	if foreign || len(missing) == 0 {
		return taken
	}
	for _, f := range missing {
		if err := whole.Create(filepath.Join(folder, filepath.FromSlash(f.Name)), f.Data); err != nil {
			return err
		}
	}
	return nil
}
