package main

import (
	"errors"
	"fmt"
	"io/fs"
	"path"
	"path/filepath"
	"regexp"
	"strings"
	"text/tabwriter"

	"golang.org/x/text/language"

	"example.org/gripleaf/cmd/internal/build"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/locale"
	"example.org/gripleaf/cmd/internal/whole"
	"example.org/gripleaf/theme"
)

type themeCommand struct {
	File string `arg:"" optional:"" help:"A file of the theme, such as style/tokens.css; without one, all are listed."`
	Site string `default:"." placeholder:"DIR" help:"Folder of the site (the current one)."`
}

func (themeCommand) Help() string {
	return `A file in the folder theme/ of a site stands in for the one of the same name in the program. This command writes one
out as it is in the program, for you to change; one that is there already is never overwritten. Take it away again, and
the program's is back.

messages/TAG.yaml of a language that the program does not speak is written with all texts and without their translations:
what is left empty stays English.

Examples:
  gripleaf theme
  gripleaf theme style/tokens.css
  gripleaf theme messages/fr.yaml`
}

// Run lists the files, or writes one out.
func (c *themeCommand) Run(w *world) error {
	if c.File == "" {
		return themeList(w)
	}
	site, err := build.Find(c.Site)
	if err != nil {
		return err
	}
	text, err := themeFile(path.Clean(filepath.ToSlash(c.File)))
	if err != nil {
		return err
	}
	name := filepath.Join(site, "theme", filepath.FromSlash(c.File))
	err = whole.Create(name, text)
	if errors.Is(err, fs.ErrExist) {
		return fault.Fault{Code: "in-the-way", File: name, Text: "this is there already", Hint: "change it, or take it away first"}
	}
	if err != nil {
		return err
	}
	_, err = fmt.Fprintln(w.stdout, name)
	return err
}

// themeList lists the files with what each is for: what its first comment says.
func themeList(w *world) error {
	t := tabwriter.NewWriter(w.stdout, 0, 0, 2, ' ', 0)
	err := fs.WalkDir(theme.Files, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		text, err := theme.Files.ReadFile(name)
		fmt.Fprintf(t, "%s\t%s\n", name, purpose(name, text))
		return err
	})
	return errors.Join(err, t.Flush())
}

var (
	comment  = regexp.MustCompile(`^\s*(?:/\*|\{\{-? ?/\*|//|#)\s*((?s:.*?))(?:\*/|\n[^/]|\n\n)`)
	sentence = regexp.MustCompile(`^(?s:(.*?))\.(?:\s|$)`)
)

// purpose is the first sentence of a file's first comment.
func purpose(name string, text []byte) string {
	if strings.HasPrefix(name, "messages/") {
		return "the interface's words in " + strings.TrimSuffix(path.Base(name), ".yaml")
	}
	m := comment.FindSubmatch(text)
	if m == nil {
		return ""
	}
	words := strings.Join(strings.Fields(strings.ReplaceAll(string(m[1]), "//", " ")), " ")
	if s := sentence.FindStringSubmatch(words); s != nil {
		words = s[1]
	}
	return words
}

// themeFile is a file of the theme, or a catalogue without translations for a language that has none.
func themeFile(name string) ([]byte, error) {
	text, err := theme.Files.ReadFile(name)
	if err == nil {
		return text, nil
	}
	if tag, found := strings.CutSuffix(name, ".yaml"); found && path.Dir(name) == "messages" {
		if language, err := language.Parse(path.Base(tag)); err == nil {
			return emptyCatalogue(language), nil
		}
	}
	var names []string
	_ = fs.WalkDir(theme.Files, ".", func(name string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			names = append(names, name)
		}
		return nil
	})
	return nil, fault.Fault{Code: "no-file", Text: fmt.Sprintf("the theme has no file %q", name), Hint: fault.Meant(name, names)}
}

// emptyCatalogue has the texts of all catalogues, each without its translation.
func emptyCatalogue(tag language.Tag) []byte {
	text := []byte("# English text: the same in this language. What is left empty stays English; {} stands for a number or a name.\n")
	for _, english := range locale.Unsaid(theme.Files, "messages", tag, nil) {
		text = fmt.Appendf(text, "%q: \"\"\n", english)
	}
	return text
}
