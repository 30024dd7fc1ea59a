// Package page writes a course as HTML: the lessons as they are read, the map of the course, the lists beside it, and
// each calculator alone. A page is complete as it is written; the script only adds to it.
package page

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"html/template"
	"io"
	"io/fs"
	"strings"
	"sync"

	"github.com/yuin/goldmark/util"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/calculators/standard"
	"example.org/gripleaf/cmd/internal/asset"
	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/lesson"
)

// Printer writes the pages of one course. Any number of goroutines may use it at once.
type Printer struct {
	course    *course.Course
	assets    asset.Set
	templates *template.Template
	words     map[*course.Language]words
	digests   map[*course.Language]func() *digest
	works     map[string]func() (*kit.Work, error) // each calculator at its defaults
	same      sync.Map                             // parts that are the same on many pages: samePart -> template.HTML
	renderers sync.Pool                            // of *bodyRenderer, whose making costs more than a paragraph
}

// samePart names a part that all pages of a language have in common whose way to the root is the same.
type samePart struct {
	language   *course.Language
	root, name string
}

// New makes a Printer. theme is the theme's files with the site's own laid over them.
func New(c *course.Course, assets asset.Set, theme fs.FS) (*Printer, error) {
	t, err := template.New("").ParseFS(theme, "templates/*.html")
	if err != nil {
		return nil, fmt.Errorf("theme: %w", err)
	}
	p := &Printer{course: c, assets: assets, templates: t, words: make(map[*course.Language]words), digests: digests(c.Languages),
		works: make(map[string]func() (*kit.Work, error))}
	p.renderers.New = func() any { return newRenderer(c.Site.Several) }
	for _, l := range c.Languages {
		p.words[l] = newWords(l)
	}
	for _, calculator := range c.Calculators {
		p.works[calculator.ID] = sync.OnceValues(func() (*kit.Work, error) { return c.Work(calculator.ID) })
	}
	return p, nil
}

// WorkAhead works out the standard calculators at their defaults, so that their pages need not wait for it.
func (p *Printer) WorkAhead(ctx context.Context) {
	for _, c := range standard.Set {
		if work, ok := p.works[c.ID]; ok && ctx.Err() == nil {
			_, _ = work() // who asks next gets the error
		}
	}
}

// frame is what every page has around its own content.
type frame struct {
	*quantity.Reader
	Site     course.Site
	Assets   asset.Set
	Words    string // script of the language's catalogue; empty in English
	Language *course.Language
	Path     string // of this page, from the site's root
	Root     string // from this page to the site's root
	Home     string // from the site's root to the course page of this language
	Title    string
	About    string // one or two sentences
	Kind     string // article or website, after the Open Graph protocol
	Others   []alternate
	Strip    []strip
	Facts    template.JS // JSON-LD
	Signs    string
	Social   Social
	Embedded bool
	Lesson   string // name of the lesson that this page is

	printer *Printer
}

// alternate is the same page in another language, or this one.
type alternate struct {
	Tag, Name, Path string
	Here            bool
}

// strip is one stop on the strip of road at the top.
type strip struct {
	Title, Path string
	Index       int // in the course
	Here, Far   bool
}

func (p *Printer) frame(l *course.Language, path string) frame {
	r := l.Reader(quantity.Metric)
	f := frame{printer: p, Reader: r, Site: p.course.Site, Assets: p.assets, Words: p.words[l].path, Language: l, Path: path, Kind: "website",
		Root: strings.Repeat("../", strings.Count(path, "/")), Home: home(l) + "index.html",
		Signs: strings.TrimSuffix(string(kit.AppendReader(nil, r)), "\n")}
	for _, other := range p.course.Languages {
		f.Others = append(f.Others, alternate{other.Tag.String(), other.Name, home(other) + strings.TrimPrefix(path, home(l)), other == l})
	}
	return f
}

// home is the folder of a language's pages, with its slash; the main language has none.
func home(l *course.Language) string {
	if l.Main {
		return ""
	}
	return l.Tag.String() + "/"
}

// SiteTitle is the title in this language.
func (f *frame) SiteTitle() string {
	if f.Language.Title != "" {
		return f.Language.Title
	}
	return f.Site.Title
}

// Direction of the script, for the dir attribute.
func (f *frame) Direction() string {
	if f.Language.RightToLeft {
		return "rtl"
	}
	return "ltr"
}

// Full is the address of a path of the site in the web; empty if nobody knows where the site will stand.
func (f *frame) Full(path string) string {
	if f.Site.Address == "" {
		return ""
	}
	return f.Site.Address + strings.TrimSuffix(path, "index.html")
}

// To is the way from this page to a path of the site.
func (f *frame) To(path string) string { return f.Root + path }

// In is the way from this page to a path of this language.
func (f *frame) In(path string) string { return f.Root + home(f.Language) + path }

// Ordinal is the number of a stop, in the reader's digits.
func (f *frame) Ordinal(index int) string { return f.Count(index + 1) }

// Count prints a whole number in the reader's digits.
func (f *frame) Count(n int) string { return f.Locale.Format(float64(n), 0) }

// HTML marks what the course has rendered already.
func (f *frame) HTML(s string) template.HTML { return template.HTML(s) }

// Logo is the way to the site's logo, if it has one.
func (f *frame) Logo() string {
	if p, ok := f.Assets.Pictures[f.Site.Look.Logo]; ok {
		return f.To(p.Path)
	}
	return ""
}

// Footer is the site's own line at the bottom.
func (f *frame) Footer() template.HTML {
	return template.HTML(lesson.Inline(f.Language.Footer))
}

// SearchFolder is where the search index of this language lies.
func (f *frame) SearchFolder() string { return "search/" + f.Language.Tag.String() + "/" }

// Social is the picture that stands for a page where its address is shared; without a path there is none.
type Social struct {
	asset.Picture
	Alt string
}

// Picture is the address of the social picture; it needs to be a whole address.
func (f *frame) Picture() string {
	if f.Social.Path == "" {
		return ""
	}
	return f.Full(f.Social.Path)
}

// Once executes a template with what all pages of this language at this depth have in common, and only once for all of
// them.
func (f *frame) Once(name string) (template.HTML, error) {
	part := samePart{f.Language, f.Root, name}
	if html, ok := f.printer.same.Load(part); ok {
		return html.(template.HTML), nil
	}
	common := f.printer.frame(f.Language, f.Root)
	common.Others = nil
	var b strings.Builder
	if err := f.printer.execute(&b, name, &common); err != nil {
		return "", err
	}
	html := template.HTML(b.String())
	f.printer.same.Store(part, html)
	return html, nil
}

func (p *Printer) execute(w io.Writer, name string, data any) error {
	return p.templates.ExecuteTemplate(w, name, data)
}

// lessonPage is a lesson on its way to its template.
type lessonPage struct {
	*frame
	Entry   *course.Entry
	Minutes int
	Moments []moment
	Cited   []cited
}

// lessonView is a lesson as its template sees it: parts that are finished, since a template finds a field of the view
// itself several times sooner than it calls a method. Frame and Entry are there for themes of a site's own.
type lessonView struct {
	Frame                                 *frame
	Entry                                 *course.Entry
	Title, Question, About                string
	Head, Top                             template.HTML
	Place, Stretches, Body, After, Onward template.HTML
	Bottom                                template.HTML
}

type moment struct{ ID, Text, Time, Address string }

// minutes is the reading time at 200 words a minute (common practice, no source), at least one.
func minutes(words int) int { return max(1, (words+100)/200) }

// Lesson writes a lesson, or a page beside the lessons. The lesson's pieces have been checked.
func (p *Printer) Lesson(w io.Writer, e *course.Entry, l *lesson.Lesson, social Social) error {
	f := p.frame(e.Language, e.Address)
	f.Title, f.About, f.Kind, f.Social = e.Title, e.Summary, "article", social
	f.Others = alternates(e)
	body := &writer{printer: p, frame: &f, entry: e, lesson: l, explained: make(map[string]bool)}
	r := p.renderers.Get().(*bodyRenderer)
	defer p.renderers.Put(r)
	html, err := r.render(body)
	if err != nil {
		return err
	}
	v := lessonPage{frame: &f, Entry: e, Minutes: minutes(l.Words), Moments: moments(l, e), Cited: body.cited}
	f.Facts = jsonLD(p.lessonFacts(&v, l))
	view := lessonView{Frame: &f, Entry: e, Title: f.Title, Question: e.Question, About: f.About, Body: template.HTML(f.given(html)), After: v.after()}
	name := "beside"
	if !e.Beside {
		f.Strip, f.Lesson, name = p.strip(e), e.Name, "lesson"
		view.Place, view.Stretches, view.Onward = v.place(), v.stretches(), v.onward()
	}
	var errs [3]error
	view.Head, errs[0] = f.Head()
	view.Top, errs[1] = f.Top()
	view.Bottom, errs[2] = f.Once("bottom")
	if err := errors.Join(errs[:]...); err != nil {
		return err
	}
	return p.execute(w, name, &view)
}

// bodyRenderer renders the body of one lesson after the other.
type bodyRenderer struct {
	renderer *lesson.Renderer
	html     room
	*writer  // of the lesson that is being rendered
}

// room is a buffer that goldmark writes into as it is, without one of its own between.
type room struct{ bytes.Buffer }

func (r *room) Buffered() int { return 0 }
func (r *room) Flush() error  { return nil }

var _ util.BufWriter = (*room)(nil)

func newRenderer(several bool) *bodyRenderer {
	r := new(bodyRenderer)
	r.renderer = lesson.NewRenderer(r, several)
	return r
}

func (r *bodyRenderer) render(w *writer) (string, error) {
	r.writer = w
	defer func() { r.writer = nil }()
	r.html.Reset()
	err := r.renderer.Render(&r.html, w.lesson)
	return r.html.String(), err
}

func alternates(e *course.Entry) []alternate {
	list := []alternate{{e.Language.Tag.String(), e.Language.Name, e.Address, true}}
	for _, o := range e.Others {
		list = append(list, alternate{o.Language.Tag.String(), o.Language.Name, o.Address, false})
	}
	return list
}

// near is how many stops to each side stay on a narrow strip.
const near = 3

func (p *Printer) strip(e *course.Entry) []strip {
	var list []strip
	for _, o := range e.Near() {
		list = append(list, strip{o.Title, o.Address, o.Index, o == e, o.Index < e.Index-near || o.Index > e.Index+near})
	}
	return list
}

func moments(l *lesson.Lesson, e *course.Entry) []moment {
	var list []moment
	for _, h := range l.Headings {
		if h.Level != 2 {
			continue
		}
		m := moment{ID: h.ID, Text: h.Text}
		if h.Timed && e.Video != nil {
			m.Time, m.Address = clock(h.At), e.Video.AddressAt(h.At)
		}
		list = append(list, m)
	}
	return list
}
