package page

import (
	"html/template"
	"io"
	"path"
	"strings"

	"example.org/gripleaf/cmd/internal/asset"
	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/lesson"
)

// Lesson is all that the page of a lesson, or of a page beside the lessons, shows. Its own words are there as the hash
// of its file; of the rest of the course it has what it says of it.
type Lesson struct {
	Frame
	File     string // of the lesson, which its links and pictures start from
	Text     string // SHA-256 of it
	Beside   bool
	Of       int // how many lessons there are
	Before   Named
	Previous *Link
	Next     *Link

	// What its words refer to.
	Terms    []Term
	Sources  []*course.Source
	Pictures Pictures
	Links    map[string]string // path of a page by file
}

// Pictures are those of a site, by file.
type Pictures = map[string]asset.Picture

// Term is an entry of the glossary.
type Term struct {
	ID, Term string
	HTML     template.HTML // what it means
}

// Lesson makes the value of an entry whose facts are known. text is the hash of its file.
func (s *Site) Lesson(c *course.Course, e *course.Entry, facts *course.Facts, text string, pictures Pictures) *Lesson {
	v := &Lesson{File: e.File, Text: text, Beside: e.Beside, Of: len(e.Language.Lessons),
		Pictures: make(Pictures), Links: make(map[string]string)}
	v.Frame = Frame{Site: s, Path: e.Address, Root: root(e.Address), Kind: "article",
		Title: e.Title, About: e.Summary, Number: e.Index + 1}
	for _, o := range append([]*course.Entry{e}, e.Others...) {
		v.Others = append(v.Others, v.alternate(o.Language.Tag.String(), o.Language.Name, o.Address))
	}
	if !e.Beside {
		v.along(e)
	}
	v.Before = v.name(e.Before)
	for _, id := range facts.Terms {
		if t, ok := e.Language.Term(id); ok {
			v.Terms = append(v.Terms, Term{t.ID, t.Term, template.HTML(t.HTML)})
		}
	}
	for _, id := range facts.Sources {
		if source, ok := c.Source(id); ok {
			v.Sources = append(v.Sources, source)
		}
	}
	for _, file := range facts.Images {
		v.Pictures[file] = pictures[file]
	}
	for _, file := range facts.Links {
		if to := c.Entry(file); to != nil {
			v.Links[file] = to.Address
		}
	}
	return v
}

// along says where on the road a lesson is.
func (v *Lesson) along(e *course.Entry) {
	v.Name = e.Name
	road := v.Site.road
	if e.Previous != nil {
		v.Previous = &road[e.Previous.Index]
	}
	if e.Next != nil {
		v.Next = &road[e.Next.Index]
	}
	near := e.Near()
	v.Strip = road[near[0].Index:][:len(near)]
}

// lessonView is a lesson as its template sees it.
type lessonView struct {
	Frame   *Frame
	Lesson  *Lesson
	Meta    *lesson.Meta
	Place   string // on the road
	Reading string // how long that takes
	Before  *named
	Moments []moment
	Video   string
	Body    template.HTML // all of it
	Opening template.HTML // the paragraph that it begins with, if it does
	Rest    template.HTML // what follows that
	Cited   []cited
}

type moment struct {
	Href template.HTMLAttr
	Text string
}

// Write writes the page. The lesson is that of the text which the value names, and its pieces have been checked; social
// is the picture that was drawn of it, if there is one.
func (v *Lesson) Write(w io.Writer, l *lesson.Lesson, social *Social) error {
	frame := v.Frame
	view := lessonView{Frame: &frame, Lesson: v, Meta: &l.Meta, Before: frame.Named(v.Before), Moments: moments(l),
		Place:   v.Say("Lesson {} of {}", v.Count(v.Number), v.Count(v.Of)),
		Reading: v.Say("{} min to read", v.Count(minutes(l.Words)))}
	r := v.Site.printer.renderers.Get().(*body)
	defer v.Site.printer.renderers.Put(r)
	html, cited, err := r.render(v, l)
	if err != nil {
		return err
	}
	view.Body, view.Cited = html, cited
	view.Opening, view.Rest = opening(html)
	if l.Meta.Video != nil {
		view.Video = l.Meta.Video.AddressAt(0)
	}
	frame.Facts, frame.Social = jsonLD(v.facts(l)), social
	if v.Beside {
		return v.Site.printer.execute(w, "beside", &view)
	}
	return v.Site.printer.execute(w, "lesson", &view)
}

// opening parts a body behind the paragraph that it begins with: a reader meets the first sentence before the links to
// the parts of the lesson.
func opening(body template.HTML) (first, rest template.HTML) {
	const end = "</p>"
	if at := strings.Index(string(body), end); at > 0 && strings.HasPrefix(string(body), "<p") {
		return body[:at+len(end)], body[at+len(end):]
	}
	return "", body
}

// minutes is the reading time at 200 words a minute (common practice, no source), at least one.
func minutes(words int) int { return max(1, (words+100)/200) }

func moments(l *lesson.Lesson) []moment {
	var list []moment
	for _, h := range l.Headings {
		if h.Level == 2 {
			list = append(list, moment{href("#" + h.ID), h.Text})
		}
	}
	return list
}

// file is the file of the site that a relative link of the lesson means.
func (v *Lesson) file(link string) string { return path.Join(path.Dir(v.File), link) }

// term finds a term that the lesson uses.
func (v *Lesson) term(id string) *Term {
	for i := range v.Terms {
		if v.Terms[i].ID == id {
			return &v.Terms[i]
		}
	}
	return nil
}

// source finds a source that the lesson cites.
func (v *Lesson) source(id string) *course.Source {
	for _, s := range v.Sources {
		if s.ID == id {
			return s
		}
	}
	return nil
}

// Named are links to lessons in a sentence, and how many more there are.
type Named struct {
	Links []Link
	More  int
}

// mostNamed is how many lessons a sentence names; of a course of usual size it names all.
const mostNamed = 40

func (f *Frame) name(list []*course.Entry) Named {
	some := list[:min(mostNamed, len(list))]
	return Named{f.links(some), len(list) - len(some)}
}

// named is a Named on its page.
type named struct {
	*Frame
	Named
}

// Named are links to lessons for a template; nil without any.
func (f *Frame) Named(n Named) *named {
	if len(n.Links) == 0 {
		return nil
	}
	return &named{f, n}
}
