package begin

import (
	"bytes"
	"fmt"
	"io/fs"
	"path"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"

	"github.com/rogpeppe/go-internal/txtar"

	"example.org/gripleaf/cmd/internal/fault"
)

// Note is a Markdown file that was not written for this program.
type Note struct {
	File  string // in the folder of notes, with slashes
	Name  string // of the lesson that is made of it
	Title string // its first heading, or else the name of its file
	Text  []byte // without that heading, and without metadata
	Line  int    // of the file, on which Text begins
}

// ReadNotes reads the Markdown files below a folder, in the order of their names.
func ReadNotes(files fs.FS, shown string) ([]Note, error) {
	var notes []Note
	names := make(map[string]bool)
	err := fs.WalkDir(files, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || name != "." && strings.HasPrefix(d.Name(), ".") {
			if err == nil && d.IsDir() {
				return fs.SkipDir
			}
			return err
		}
		if d.IsDir() || !strings.EqualFold(path.Ext(name), ".md") {
			return nil
		}
		text, err := fs.ReadFile(files, name)
		if err != nil {
			return err
		}
		n := readNote(name, text)
		for i := 2; names[n.Name]; i++ {
			n.Name = fmt.Sprintf("%s-%d", strings.TrimRight(n.Name, "-0123456789"), i)
		}
		names[n.Name] = true
		notes = append(notes, n)
		return nil
	})
	if err == nil && len(notes) == 0 {
		err = fault.Fault{Code: "no-notes", File: shown, Text: "there is no Markdown file in here", Hint: "name a folder with files that end in .md"}
	}
	return notes, err
}

func readNote(name string, text []byte) Note {
	base := strings.TrimSuffix(path.Base(name), path.Ext(name))
	n := Note{File: name, Name: plain(base), Title: base, Text: text, Line: 1}
	drop := func(size int) {
		n.Line += bytes.Count(n.Text[:size], []byte("\n"))
		n.Text = n.Text[size:]
	}
	if m := metadata.Find(n.Text); m != nil {
		drop(len(m))
	}
	if m := firstHeading.FindSubmatchIndex(n.Text); m != nil {
		n.Title = string(n.Text[m[2]:m[3]])
		drop(m[1])
	}
	return n
}

var (
	metadata     = regexp.MustCompile(`^---\r?\n(?s:.*?)\n---[ \t]*\r?(?:\n|$)`)
	firstHeading = regexp.MustCompile(`^\s*#[ \t]+(.+?)[ \t#]*\r?(?:\n|$)`)
	unplain      = regexp.MustCompile(`[^a-z0-9]+`)
)

// plain is a name as addresses have it.
func plain(name string) string {
	name = strings.Trim(unplain.ReplaceAllString(strings.ToLower(name), "-"), "-")
	if bare := strings.TrimLeft(name, "0123456789-"); bare != "" {
		return bare // what numbers a file is for the order of files
	}
	return strings.TrimSuffix("lesson-"+name, "-")
}

// WriteNotes writes a site whose lessons are the notes as they stand, each unfinished.
func WriteNotes(folder, language string, notes []Note) ([]string, error) {
	var site strings.Builder
	fmt.Fprintf(&site, "title: %s\nlanguages: [%s]\nlessons:\n", strconv.Quote(filepath.Base(folder)), language)
	var files []txtar.File
	for _, n := range notes {
		fmt.Fprintf(&site, "  - %s\n", n.Name)
		head := fmt.Sprintf("---\ntitle: %s\nunfinished: true\n---\n", strconv.Quote(n.Title))
		files = append(files, txtar.File{Name: language + "/" + n.Name + ".md", Data: append([]byte(head), bytes.TrimLeft(n.Text, "\r\n")...)})
	}
	files = append(files, txtar.File{Name: "site.yaml", Data: []byte(site.String())})
	for _, f := range txtar.Parse(archive).Files {
		if f.Name == ".gitignore" {
			files = append(files, f)
		}
	}
	names := make([]string, len(files))
	for i, f := range files {
		names[i] = f.Name
	}
	return names, write(folder, files)
}
