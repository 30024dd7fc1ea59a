package page

import (
	"html"
	"io"
	"strings"

	"github.com/yuin/goldmark/ast"

	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/lesson"
	"example.org/gripleaf/cmd/internal/search"
)

// index gives the search the passages of a lesson: what stands before the first heading, and each part below one.
func (p *Printer) index(e *course.Entry, l *lesson.Lesson) {
	passages := []search.Passage{{Path: e.Address, Title: e.Title, Kind: search.Lesson, Text: e.Question + " " + e.Summary}}
	headings := l.Headings
	var text strings.Builder
	flush := func() {
		last := &passages[len(passages)-1]
		last.Text = strings.TrimSpace(last.Text + " " + strings.TrimSpace(text.String()))
		text.Reset()
	}
	for n := l.Body.FirstChild(); n != nil; n = n.NextSibling() {
		if n.Kind() == ast.KindHeading && len(headings) > 0 {
			flush()
			h := headings[0]
			headings = headings[1:]
			passages = append(passages, search.Passage{Path: e.Address + "#" + h.ID, Title: e.Title + ": " + h.Text, Kind: search.Lesson})
			continue
		}
		text.WriteString(l.Plain(n) + " ")
	}
	flush()
	p.indexes[e.Language].Add(e.Address, passages)
}

// searchFiles are the index of a language, with its glossary and the calculators in it.
func (p *Printer) searchFiles(l *course.Language) []File {
	index := p.indexes[l]
	var terms, calculators []search.Passage
	for _, t := range l.Glossary {
		terms = append(terms, search.Passage{Path: home(l) + "glossary.html#" + t.ID, Title: t.Term, Kind: search.Term, Text: bare(t.HTML) + " " + strings.Join(t.Forms, ", ")})
	}
	for _, c := range p.course.Calculators {
		text := l.Say(c.Question)
		for i := range c.Outputs {
			text += " " + l.Say(c.Outputs[i].Label) + "."
		}
		calculators = append(calculators, search.Passage{Path: home(l) + "calculators/" + c.ID + ".html", Title: l.Say(c.Title), Kind: search.Calculator, Text: text})
	}
	index.Add("glossary", terms)
	index.Add("calculators", calculators)
	var files []File
	for _, f := range index.Files() {
		files = append(files, File{"search/" + l.Tag.String() + "/" + f.Name, func(w io.Writer) error { _, err := w.Write(f.Data); return err }})
	}
	return files
}

// bare is the text of inline HTML that the course has rendered.
func bare(markup string) string {
	var b strings.Builder
	for markup != "" {
		text, rest, found := strings.Cut(markup, "<")
		b.WriteString(text)
		if !found {
			break
		}
		_, markup, _ = strings.Cut(rest, ">")
	}
	return html.UnescapeString(b.String())
}
