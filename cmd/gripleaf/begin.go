package main

import (
	"fmt"
	"path/filepath"

	"example.org/gripleaf/cmd/internal/begin"
	"example.org/gripleaf/cmd/internal/cache"
	"example.org/gripleaf/cmd/internal/wasm"
)

type beginCommand struct {
	Folder string `arg:"" name:"dir" help:"Where to write the site. It is made if it is not there."`
}

func (beginCommand) Help() string {
	return `The site has two lessons, a glossary, a list of sources, and two calculators of its own in Go: the smallest, and one with
choices and a table. Nothing that is there already is ever overwritten. Beside the calculators stands a go.work, which
lets the go command and editors find the packages that they import, without a network; build and preview write it anew on
another machine.

Example: gripleaf begin my-course && cd my-course && gripleaf preview`
}

// Run writes the site.
func (c *beginCommand) Run(w *world) error {
	if err := begin.Write(c.Folder); err != nil {
		return err
	}
	if err := wasm.Workspace(cache.Open(), c.Folder); err != nil {
		return err
	}
	for _, name := range begin.Files() {
		fmt.Fprintln(w.stdout, filepath.Join(c.Folder, name))
	}
	fmt.Fprintf(w.stdout, "\nnow: cd %s && gripleaf preview\n", c.Folder)
	return nil
}
