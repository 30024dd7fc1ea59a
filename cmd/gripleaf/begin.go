package main

import (
	"fmt"
	"path/filepath"

	"example.org/gripleaf/calculators/standard"
	"example.org/gripleaf/cmd/internal/begin"
	"example.org/gripleaf/cmd/internal/cache"
	"example.org/gripleaf/cmd/internal/candidate"
	"example.org/gripleaf/cmd/internal/folder"
	"example.org/gripleaf/cmd/internal/locale"
	"example.org/gripleaf/cmd/internal/wasm"
)

type beginCommand struct {
	Folder   string `arg:"" name:"dir" help:"Where to write the site. It is made if it is not there."`
	From     string `placeholder:"FOLDER" help:"Make the lessons of the Markdown files in this folder, and list what in them could be linked to a calculator."`
	Language string `default:"en" placeholder:"TAG" help:"The language of these files (${default})."`
}

func (beginCommand) Help() string {
	return `The site has two lessons, a glossary, a list of sources, and two calculators of its own in Go: the smallest, and one with
choices and a table. Nothing that is there already is ever overwritten. Beside the calculators stands a go.work, which
lets the go command and editors find the packages that they import, without a network; build and preview write it anew on
another machine.

With --from, the lessons are your notes instead, word for word, each unfinished; its title is its first heading. Listed are
the numbers with a unit, with ready links for what works out to them from the numbers beside them, or, if nothing does, for
what those numbers do work out to. What a link means is for you to judge. The notes themselves stay as they are.

Examples:
  gripleaf begin my-course && cd my-course && gripleaf preview
  gripleaf begin --from notes my-course`
}

// Run writes the site.
func (c *beginCommand) Run(w *world) error {
	if c.From != "" {
		return c.notes(w)
	}
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

// notes makes a site of notes, and lists their numbers.
func (c *beginCommand) notes(w *world) error {
	words, err := locale.New(c.Language, nil)
	if err != nil {
		return usage(err.Error())
	}
	files, err := folder.Open(c.From)
	if err != nil {
		return err
	}
	defer files.Close()
	list, err := begin.ReadNotes(files, c.From)
	if err != nil {
		return err
	}
	names, err := begin.WriteNotes(c.Folder, c.Language, list)
	if err != nil {
		return err
	}
	for _, name := range names {
		fmt.Fprintln(w.stdout, filepath.Join(c.Folder, name))
	}
	for _, n := range list {
		for _, found := range candidate.Find(n.Text, standard.Set, words) {
			found.Line += n.Line - 1
			w.found(filepath.Join(c.From, n.File), &found)
		}
	}
	fmt.Fprintf(w.stdout, "\nnow: cd %s && gripleaf preview\n", c.Folder)
	return nil
}

// found lists a number of a note with its links.
func (w *world) found(file string, n *candidate.Number) {
	fmt.Fprintf(w.stdout, "\n%s:%d:%d: %s\n", file, n.Line, n.Column, n.Written)
	for _, l := range n.Exact {
		fmt.Fprintf(w.stdout, "  [%s](%s)\n", n.Written, l.Query)
	}
	switch {
	case len(n.Others) > 0:
		fmt.Fprintln(w.stdout, "  nothing works out to it; with the numbers beside it there are")
	case len(n.Exact) == 0:
		fmt.Fprintln(w.stdout, "  no calculator works it out from the numbers beside it: link it to one yourself, or cite its source")
	}
	for _, l := range n.Others {
		fmt.Fprintf(w.stdout, "  [](%s)  %s\n", l.Query, l.Works)
	}
}
