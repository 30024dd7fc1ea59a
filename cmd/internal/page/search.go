package page

import (
	"bytes"
	"html"
	"strings"

	"github.com/yuin/goldmark/ast"

	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/lesson"
	"example.org/gripleaf/cmd/internal/search"
)

// Passages are what the search finds of a lesson: what stands before the first heading, and each part below one.
func Passages(e *course.Entry, l *lesson.Lesson) []search.Passage {
	passages := make([]search.Passage, 1, 1+len(l.Headings))
	passages[0] = search.Passage{Path: e.Address, Title: e.Title, Kind: search.Lesson}
	headings := l.Headings
	var room [2 << 10]byte // for most parts
	text := room[:0]
	flush := func() {
		passages[len(passages)-1].Text = string(bytes.TrimSpace(text))
		text = text[:0]
	}
	for n := l.Body.FirstChild(); n != nil; n = n.NextSibling() {
		if n.Kind() == ast.KindHeading && len(headings) > 0 {
			flush()
			h := headings[0]
			headings = headings[1:]
			passages = append(passages, search.Passage{Path: e.Address + "#" + h.ID, Title: e.Title + ": " + h.Text,
				Kind: search.Lesson})
			continue
		}
		text = append(l.AppendPlain(text, n), ' ')
	}
	flush()
	passages[0].Text = strings.TrimSpace(e.Question + " " + e.Summary + " " + passages[0].Text)
	return passages
}

// Besides are what the search finds besides lessons: the glossary of a language, and the calculators in it.
func Besides(c *course.Course, l *course.Language) []search.Passage {
	var list []search.Passage
	for _, t := range l.Glossary {
		list = append(list, search.Passage{Path: home(l) + "glossary.html#" + t.ID, Title: t.Term, Kind: search.Term,
			Text: bare(t.HTML) + " " + strings.Join(t.Forms, ", ")})
	}
	for _, one := range c.Calculators {
		text := l.Say(one.Question)
		for i := range one.Outputs {
			text += " " + l.Say(one.Outputs[i].Label) + "."
		}
		list = append(list, search.Passage{Path: home(l) + "calculators/" + one.ID + ".html", Title: l.Say(one.Title),
			Kind: search.Calculator, Text: text})
	}
	return list
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
