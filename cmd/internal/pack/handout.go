package pack

import (
	"context"
	htmltemplate "html/template"
	"path/filepath"
	"slices"

	"golang.org/x/net/html"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/fault"
)

// chapter is a lesson on paper as its template sees it.
type chapter struct {
	Number  int
	ID      string
	Entry   *course.Entry
	Body    htmltemplate.HTML
	Answers htmltemplate.HTML
}

// handout is a whole handout as its template sees it.
type handout struct {
	printed
	Terms    []*course.Term
	Cited    []*course.Source
	Standing string
}

// WriteHandout writes the chosen lessons as one page to print, with the words
// and sources that they use behind them, and prints it as PDF. It gives the
// files written; without a browser that is the page alone, and a fault.
func (b *Book) WriteHandout(ctx context.Context, dir string) ([]string, error) {
	var faults fault.List
	h := handout{printed: printed{Book: b}, Standing: b.Language.Say(kit.StandingCaution)}
	var titles []string
	for i, c := range b.Lessons {
		root, err := b.leafOf(c, &faults)
		if err != nil {
			return nil, err
		}
		solved := &html.Node{Type: html.DocumentNode}
		for _, a := range answers(root, b.Language.Say, true) {
			solved.AppendChild(a)
		}
		id := "l-" + c.Entry.Name
		prefix(root, id+"-")
		prefix(solved, id+"-")
		h.Chapters = append(h.Chapters, chapter{i + 1, id, c.Entry, rendered(root), rendered(solved)})
		titles = append(titles, c.Entry.Title)
		h.note(c)
	}
	if len(faults) > 0 {
		return nil, faults
	}
	h.Style = b.style(titles)
	return b.writePages(ctx, view{filepath.Join(dir, b.Name()+"-handout"), "handout", &h})
}

// note adds the words and sources of a lesson.
func (h *handout) note(c Chapter) {
	for _, t := range c.Lesson.Terms {
		if term, ok := h.Language.Term(t.ID); ok && !slices.Contains(h.Terms, term) {
			h.Terms = append(h.Terms, term)
		}
	}
	for _, s := range c.Lesson.Citations {
		if source, ok := h.Course.Source(s.ID); ok && !slices.Contains(h.Cited, source) {
			h.Cited = append(h.Cited, source)
		}
	}
}

// Means is a definition of the glossary as HTML.
func (b *Book) Means(t *course.Term) htmltemplate.HTML { return htmltemplate.HTML(t.HTML) }

// leafOf is a lesson on paper, as a tree.
func (b *Book) leafOf(c Chapter, faults *fault.List) (*html.Node, error) {
	body, err := b.body(c, ways{
		lesson: func(to *course.Entry, hash string) string {
			if !b.has(to) || to.Beside {
				return b.online(to, hash)
			}
			if hash != "" {
				hash = "-" + hash
			}
			return "#~l-" + to.Name + hash
		},
		term:   func(id string) string { return "#~term-" + id },
		source: func(id string) string { return "#~source-" + id },
		image:  func(file string) string { return b.embedded(file, faults) },
	})
	if err != nil {
		return nil, err
	}
	return fragment(body)
}
