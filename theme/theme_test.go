package theme

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/calculators/standard"
)

// said matches the words of a message in a template and in a script.
var said = map[string]*regexp.Regexp{
	".html": regexp.MustCompile(`\.Say "((?:[^"\\]|\\.)*)"`),
	".ts":   regexp.MustCompile(`\bsay\(\s*"((?:[^"\\]|\\.)*)"`),
}

// texts are the English texts that the theme, the pages and the calculators say.
func texts(t *testing.T) []string {
	t.Helper()
	found := make(map[string]bool)
	err := fs.WalkDir(Files, ".", func(name string, d fs.DirEntry, err error) error {
		pattern := said[filepath.Ext(name)]
		if err != nil || pattern == nil {
			return err
		}
		text, err := fs.ReadFile(Files, name)
		for _, m := range pattern.FindAllStringSubmatch(string(text), -1) {
			s, err := strconv.Unquote(`"` + m[1] + `"`)
			if err != nil {
				t.Errorf("%s: %q: %v", name, m[1], err)
			}
			found[s] = true
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, folder := range []string{"../calculators", "../cmd/internal/page", "../cmd/internal/cue", "../cmd/internal/pack", "../cmd/internal/still"} {
		sources(t, folder, found)
	}
	declared(found)
	delete(found, "")
	return slices.Sorted(maps.Keys(found))
}

// shownFields are the fields of composite literals that are shown to a reader.
var shownFields = map[string]bool{"Label": true, "Title": true, "Question": true, "Sentence": true, "Help": true, "Caution": true, "Moot": true, "Says": true}

// sources collects what Go files say: first arguments of Say and Happened, and the fields that are shown.
func sources(t *testing.T, folder string, found map[string]bool) {
	t.Helper()
	err := filepath.WalkDir(folder, func(name string, d fs.DirEntry, err error) error {
		if err == nil && saying.MatchString(name) {
			return templates(name, found)
		}
		if err != nil || d.IsDir() || filepath.Ext(name) != ".go" || strings.HasSuffix(name, "_test.go") || strings.Contains(name, "/guest/") {
			return err
		}
		file, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
		if err != nil {
			return err
		}
		ast.Inspect(file, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.CallExpr:
				if f, ok := n.Fun.(*ast.SelectorExpr); ok && (f.Sel.Name == "Say" || f.Sel.Name == "Happened") && len(n.Args) > 0 {
					add(found, n.Args[0])
				}
			case *ast.BasicLit:
				// Units and roundings as they are spoken: patterns that are chosen from a table.
				if s, ok := literal(n); ok && filepath.Base(name) == "spoken.go" && (strings.Contains(s, "{} ") || strings.HasSuffix(s, " {}")) {
					add(found, n)
				}
			case *ast.KeyValueExpr:
				if key, ok := n.Key.(*ast.Ident); ok && shownFields[key.Name] {
					add(found, n.Value)
				}
			}
			return true
		})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// saying matches the templates of what is printed beside the pages, and printed what they say.
var (
	saying  = regexp.MustCompile(`/(cue|pack)/[a-z]+\.(html|md|txt|opf)$`)
	printed = regexp.MustCompile(`[sS]ay "((?:[^"\\]|\\.)*)"`)
)

func templates(name string, found map[string]bool) error {
	text, err := os.ReadFile(name)
	for _, m := range printed.FindAllStringSubmatch(string(text), -1) {
		found[m[1]] = true
	}
	return err
}

// add takes a text that is written as one, perhaps as a sum of literals.
func add(found map[string]bool, e ast.Expr) {
	if s, ok := literal(e); ok && strings.ContainsFunc(s, func(r rune) bool { return r >= 'a' && r <= 'z' }) {
		found[s] = true
	}
}

func literal(e ast.Expr) (string, bool) {
	switch e := e.(type) {
	case *ast.BasicLit:
		s, err := strconv.Unquote(e.Value)
		return s, err == nil
	case *ast.BinaryExpr:
		left, ok := literal(e.X)
		right, also := literal(e.Y)
		return left + right, ok && also && e.Op == token.ADD
	}
	return "", false
}

// declared collects what the calculators declare, and what their tables say at their defaults.
func declared(found map[string]bool) {
	found[kit.StandingCaution] = true
	for _, c := range standard.Set {
		for _, s := range append([]string{c.Title, c.Question, c.Caution, c.Takes}, c.Assumptions...) {
			found[s] = true
		}
		for _, s := range c.Sources {
			found[s.Title] = true
		}
		for _, f := range c.Figures {
			found[f.Title] = true
		}
		for _, in := range c.Inputs {
			found[in.Label], found[in.Help] = true, true
			for _, choice := range in.Choices {
				found[choice.Label] = true
			}
		}
		for _, out := range c.Outputs {
			found[out.Label], found[out.Sentence] = true, true
			for _, word := range out.Words {
				found[word] = true
			}
		}
		if w, err := standard.Set.Work(c.ID); err == nil {
			for _, table := range w.Series {
				words(table, found)
			}
			for i := range c.Figures {
				words(w.Scene(i, figure.Style{Reader: &quantity.Reader{}}).Table, found)
			}
		}
	}
}

func words(t figure.Table, found map[string]bool) {
	for _, column := range t.Columns {
		found[column.Label] = true
		for _, s := range column.Words {
			found[s] = true
		}
	}
}

func TestCataloguesAreWhole(t *testing.T) {
	english := texts(t)
	for _, tag := range []string{"de", "hi", "ar"} {
		text, err := Files.ReadFile("messages/" + tag + ".yaml")
		if err != nil {
			t.Fatal(err)
		}
		var catalogue map[string]string
		if err := yaml.Unmarshal(text, &catalogue); err != nil {
			t.Fatalf("%s: %v", tag, err)
		}
		var missing []string
		for _, s := range english {
			switch word := catalogue[s]; {
			case word == "":
				missing = append(missing, s)
			case strings.Count(word, "{}") != strings.Count(s, "{}"):
				t.Errorf("%s: %q has other {} marks than %q", tag, word, s)
			}
			delete(catalogue, s)
		}
		if len(missing) > 0 {
			t.Errorf("%s lacks %d texts: %q", tag, len(missing), missing)
		}
	}
}
