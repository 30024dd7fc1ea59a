package lesson

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/rogpeppe/go-internal/txtar"
	"github.com/yuin/goldmark/ast"

	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/locale"
)

var update = flag.Bool("update", false, "rewrite what the archives in testdata expect")

var english = &locale.Locale{Quotes: locale.Quotes{Open: "“", Close: "”", OpenInner: "‘", CloseInner: "’", Apostrophe: "’"}}

// Each archive in testdata is a lesson, the pieces that it has with their places, its tree, and its faults.
func TestRead(t *testing.T) {
	names, err := filepath.Glob("testdata/*.txtar")
	if err != nil || len(names) == 0 {
		t.Fatal("no archives", err)
	}
	for _, name := range names {
		t.Run(strings.TrimSuffix(filepath.Base(name), ".txtar"), func(t *testing.T) { archive(t, name) })
	}
}

func archive(t *testing.T, name string) {
	a, err := txtar.ParseFile(name)
	if err != nil {
		t.Fatal(err)
	}
	l, faults := NewReader(english, false).Read(&fault.Source{File: "lesson.md", Text: a.Files[0].Data})
	var wrong strings.Builder
	if err := faults.Print(&wrong, false); err != nil {
		t.Fatal(err)
	}
	got := &txtar.Archive{Comment: a.Comment, Files: []txtar.File{a.Files[0], {Name: "pieces", Data: []byte(pieceList(l))},
		{Name: "tree", Data: []byte(tree(l.Body, 0))}, {Name: "faults", Data: []byte(wrong.String())}}}
	if diff := cmp.Diff(string(txtar.Format(a)), string(txtar.Format(got))); diff != "" {
		if !*update {
			t.Fatal(diff)
		}
		if err := os.WriteFile(name, txtar.Format(got), 0o666); err != nil {
			t.Fatal(err)
		}
	}
}

// pieceList is every piece with the source that it claims to be.
func pieceList(l *Lesson) string {
	var b strings.Builder
	say := func(format string, arguments ...any) { fmt.Fprintf(&b, format+"\n", arguments...) }
	say("words %d, formulas %d", l.Words, l.Formulas)
	for _, h := range l.Headings {
		at := ""
		if h.Timed {
			at = " at " + FormatMoment(h.At) + " from " + l.Text(h.AtSpan)
		}
		say("heading %d #%s %q from %q%s", h.Level, h.ID, h.Text, l.Text(h.Span), at)
	}
	for _, n := range l.Numbers {
		say("number %q %q from %q, %s %s %q in %s", n.Prefix, n.Written, l.Text(n.WrittenSpan), n.Output, n.Relation, n.Other, l.Text(n.Span))
	}
	for _, n := range l.Claims {
		say("claim %s %s %q in %s", n.Output, n.Relation, n.Other, l.Text(n.Span))
	}
	for _, n := range l.Steps {
		say("step %q from %q, %s %s in %s", n.Formula, string(l.Source.Text[n.FormulaAt:n.FormulaAt+len(n.Formula)]), n.Output, n.Relation, l.Text(n.Span))
	}
	for _, n := range l.Explorers {
		say("explorer #%s %q in %s", n.ID, n.Caption, l.Text(n.Span))
	}
	for _, n := range l.Figures {
		say("figure #%s %s %q in %s", n.ID, n.Name, n.Caption, l.Text(n.Span))
	}
	for _, n := range l.Terms {
		say("term %s from %q, %q", n.ID, string(l.Source.Text[n.IDAt:n.IDAt+len(n.ID)]), n.Words)
	}
	for _, n := range l.Citations {
		say("citation %s %q, %q", n.ID, n.Place, n.Words)
	}
	for _, n := range l.Links {
		say("link %s %q in %s", n.Destination, n.Title, l.Text(n.Span))
	}
	for _, n := range l.Images {
		say("picture %s %q %q in %s", n.Destination, n.Alt, n.Title, l.Text(n.Span))
	}
	for _, n := range l.Questions {
		say("question #%s: %d choices, answer %v, draws %v", n.ID, len(n.Choices), n.Answer != nil, draws(n))
		for _, c := range n.Choices {
			say("  right %v: %s", c.Right, l.Text(c.Span))
		}
	}
	return b.String()
}

func draws(q *Question) []string {
	var list []string
	for _, d := range q.Draws {
		list = append(list, fmt.Sprintf("%s %g to %g by %g %s", d.Input, d.From, d.To, d.Step, d.Unit))
	}
	return list
}

// tree is the kinds of the nodes.
func tree(n ast.Node, depth int) string {
	kind := n.Kind().String()
	if n.Kind() == KindPiece {
		kind = strings.TrimPrefix(fmt.Sprintf("%T", n), "*lesson.")
	}
	text := strings.Repeat("  ", depth) + kind + "\n"
	for c := n.FirstChild(); c != nil; c = c.NextSibling() {
		text += tree(c, depth+1)
	}
	return text
}

func FuzzRead(f *testing.F) {
	names, _ := filepath.Glob("testdata/*.txtar")
	for _, name := range names {
		a, err := txtar.ParseFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(a.Files[0].Data))
	}
	f.Add("---\ntitle: x\n---\n[][a]\n\n[a]: calc:stop#x;times;y\n")
	f.Add("---\n\ufeff\n---\n```question\n- [x] a — b\n***\n")
	r, w := NewReader(english, true), NewRenderer(plainPieces{silent{}}, true)
	f.Fuzz(func(t *testing.T, text string) {
		l, faults := r.Read(&fault.Source{File: "x.md", Text: []byte(text)})
		_ = pieceList(l) // every span lies within the source
		for _, one := range faults {
			if one.Line < 1 || one.Column < 1 || one.Text == "" {
				t.Fatalf("%q: %+v", text, one)
			}
		}
		if err := w.Render(new(bytes.Buffer), l); err != nil {
			t.Fatal(err)
		}
	})
}

// A question knows where the fence ends that it stands in (CommonMark 0.31, 4.5).
func TestFenceEnds(t *testing.T) {
	for text, want := range map[string]string{
		"```question\na\n```\nb":             "```question\na\n```\n",
		"````question\n```\na\n```\n````\nb": "````question\n```\na\n```\n````\n",
		"~~~ question\n```\n~~~~\nb":         "~~~ question\n```\n~~~~\n",
		"```question\na\n```":                "```question\na\n```",
		"```question\nnever closed":          "```question\nnever closed",
		"- ```question\n  a\n  ```\n\nb":     "```question\n  a\n  ```\n",
	} {
		head := "---\ntitle: x\n---\n"
		l, _ := NewReader(&locale.Locale{}, false).Read(&fault.Source{File: "x.md", Text: []byte(head + text)})
		if len(l.Questions) != 1 {
			t.Fatalf("%q has %d questions", text, len(l.Questions))
		}
		if got := string(l.Source.Text[l.Questions[0].Span.Start:l.Questions[0].End]); got != want {
			t.Errorf("%q: got %q, want %q", text, got, want)
		}
	}
}
