package pack

import (
	"context"
	htmltemplate "html/template"
	"path/filepath"
	"slices"

	"golang.org/x/net/html"

	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/fault"
)

// chapter is a lesson on paper as its template sees it.
type chapter struct {
	ID      string
	Entry   *course.Entry
	Imprint Imprint
	Body    htmltemplate.HTML
	Answers htmltemplate.HTML
}

// handout is a whole handout as its template sees it.
type handout struct {
	printed
	Terms []*course.Term
	Cited []*course.Source
}

// WriteHandout writes the chosen lessons as one page to print, with the words and sources that they use behind them,
// and the answers to their questions as another, and prints both as PDF. It gives the files written; without a browser
// these are the pages alone, and a fault. Progress is told of lessons and files.
func (b *Book) WriteHandout(ctx context.Context, dir string, progress func(done, total int)) ([]string, error) {
	var faults fault.List
	h := handout{printed: b.printed("")}
	told := steps{total: len(b.Lessons) + 2, tell: progress}
	for _, c := range b.Lessons {
		root, err := b.leafOf(c, b.ways(false, &faults))
		if err != nil {
			return nil, err
		}
		solved := &html.Node{Type: html.DocumentNode}
		for _, a := range answers(root, b.Language.Say, named) {
			solved.AppendChild(a)
		}
		id := "l-" + c.Entry.Name
		prefix(root, id+"-")
		prefix(solved, id+"-")
		h.Chapters = append(h.Chapters, chapter{id, c.Entry, b.Imprint(c.Entry), rendered(root), rendered(solved)})
		h.note(c)
		told.step()
	}
	if len(faults) > 0 {
		return nil, faults
	}
	base := filepath.Join(dir, b.Name()+"-handout")
	views := []view{{base, "handout", &h}}
	if slices.ContainsFunc(h.Chapters, func(c chapter) bool { return c.Answers != "" }) {
		solved := b.printed(b.Language.Say("Answers"))
		solved.Chapters = h.Chapters
		views = append(views, view{base + "-answers", "answers", &solved})
	}
	return b.writePages(ctx, &told, views...)
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

// ways are those on paper; of a task, figures are there to read values from.
func (b *Book) ways(task bool, faults *fault.List) ways {
	return ways{
		paper: true,
		task:  task,
		lesson: func(to *course.Entry, hash string) string {
			if !b.has(to) || to.Beside {
				return b.online(to, hash)
			}
			return "#~l-" + to.Name + after("-", hash)
		},
		term:   func(id string) string { return "#~term-" + id },
		source: func(id string) string { return "#~source-" + id },
		image:  func(file string) string { return b.embedded(file, faults) },
	}
}
