package wasm

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"golang.org/x/mod/modfile"

	"example.org/gripleaf/calculators"
	"example.org/gripleaf/cmd/internal/cache"
	"example.org/gripleaf/cmd/internal/whole"
)

// workspaceNote begins a go.work that may be replaced.
const workspaceNote = "// Written by gripleaf for the go command and editors on this machine; keep it out of version control.\n"

// Workspace writes a go.work beside a site's own calculators. With it the go command and editors find the packages that
// they import, as this program has them, without a network. Somebody else's go.work stays.
func Workspace(c cache.Cache, site string) error {
	o, err := findOwn(site)
	if err != nil || o == nil || c.Folder == "" {
		return err
	}
	sources, err := unpacked(c)
	if err != nil {
		return err
	}
	text, err := workFile(sources)
	if err != nil {
		return err
	}
	name := filepath.Join(o.folder, "go.work")
	there, err := os.ReadFile(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
	case err != nil:
		return err
	case bytes.Equal(there, text) || !bytes.HasPrefix(there, []byte(workspaceNote)):
		return nil
	}
	return whole.Bytes(name, text)
}

func workFile(sources string) ([]byte, error) {
	f := &modfile.WorkFile{Syntax: new(modfile.FileSyntax)}
	if err := errors.Join(f.AddGoStmt("1.26"), f.AddUse(".", ""), f.AddReplace(modulePath, "", sources, "")); err != nil {
		return nil, err
	}
	return append([]byte(workspaceNote+"\n"), modfile.Format(f.Syntax)...), nil
}

// unpacked is a folder with the calculators' sources as this program has them.
func unpacked(c cache.Cache) (string, error) {
	key := cache.NewKey("sources")
	if err := key.Files(calculators.Sources, ".", shipped); err != nil {
		return "", err
	}
	folder := c.Path("sources", key.String())
	if _, err := os.Stat(folder); err == nil {
		return folder, nil
	}
	if err := os.MkdirAll(filepath.Dir(folder), 0o777); err != nil {
		return "", err
	}
	part, err := os.MkdirTemp(filepath.Dir(folder), ".part-*")
	if err != nil {
		return "", err
	}
	defer os.RemoveAll(part)
	if err := unpack(part); err != nil {
		return "", err
	}
	if err := os.Rename(part, folder); err != nil && !errors.Is(err, fs.ErrExist) {
		if _, there := os.Stat(folder); there != nil { // or another run was quicker
			return "", err
		}
	}
	return folder, os.Chmod(folder, 0o755)
}
