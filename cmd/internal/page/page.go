// Package page writes a course as HTML: the lessons as they are read, the map of the course, the lists beside it, and
// each calculator alone. A page is complete as it is written; the script only adds to it.
//
// Everything that a page shows is one plain value, such as a [Lesson] or a [Map], which is made from the course. The
// page is written from that value alone, through the theme's templates, and is known by the value's [Key]: if the key
// is what it was, so is the page.
package page

import (
	"cmp"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"html/template"
	"io"
	"io/fs"
	"path"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"

	"github.com/yuin/goldmark/util"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/calculators/standard"
	"example.org/gripleaf/cmd/internal/asset"
	"example.org/gripleaf/cmd/internal/cache"
	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/lesson"
	"example.org/gripleaf/cmd/internal/version"
)

// Printer writes pages through the templates of a theme. Any number of goroutines may use it at once.
type Printer struct {
	templates *template.Template
	renderers sync.Pool // of *body, whose making costs more than a paragraph

	mu   sync.Mutex
	made map[any]template.HTML // parts that were executed, by all that they show
	held int                   // bytes of them
}

// mostHeld is how many bytes of parts are kept. A course of a hundred thousand lessons has more than fit in memory, and
// what is forgotten is only executed again.
const mostHeld = 8 << 20

// spoken matches a text of a template that takes no values.
var spoken = regexp.MustCompile(`{{\$?(?:\.\w+)*\.Say ("(?:[^"\\]|\\.)*")}}`)

// newPrinter reads the templates of a theme, those of each layer over those of the layers below it: a site replaces a
// single part by defining it. Texts that take no values are translated here, once, and not on every page.
func newPrinter(theme asset.Layers, several bool, r *quantity.Reader) (*Printer, error) {
	p := &Printer{templates: template.New(""), made: make(map[any]template.HTML)}
	p.renderers.New = func() any { return newBody(several) }
	say := func(action []byte) []byte {
		english, err := strconv.Unquote(string(spoken.FindSubmatch(action)[1]))
		if err != nil {
			return action // the template's own parser tells
		}
		return []byte(template.HTMLEscapeString(r.Say(english)))
	}
	for _, layer := range slices.Backward(theme) {
		names, err := fs.Glob(layer, "templates/*.html")
		if err != nil {
			return nil, fmt.Errorf("theme: %w", err)
		}
		for _, name := range names {
			text, err := fs.ReadFile(layer, name)
			if err == nil {
				_, err = p.templates.New(path.Base(name)).Parse(string(spoken.ReplaceAllFunc(text, say)))
			}
			if err != nil {
				return nil, fmt.Errorf("theme: %w", err)
			}
		}
	}
	return p, nil
}

func (p *Printer) execute(w io.Writer, name string, data any) error {
	return p.templates.ExecuteTemplate(w, name, data)
}

// Site is what all pages of one language show of the whole site, with what makes HTML of it: the program and the theme.
type Site struct {
	Program     string // the running one
	Theme       string // hash of the templates and the words
	Version     string // of the program, shown in a page's source
	Title       string // in this language, as are the next two
	Summary     string
	Footer      template.HTML
	Address     string // where the site will stand; ends with /, or empty
	Publisher   string
	Logo        string // path of the picture, if the site has one
	Language    Language
	Direction   string     // of the script: ltr or rtl
	Home        string     // the course page of this language
	Languages   []Language // all of the site
	Signs       string     // how the language writes numbers, for the script
	Words       string     // script of the language's catalogue; empty in English
	Assets      asset.Set
	Calculators []string // ids
	Several     bool     // lessons come from several hands
	Units       string   // metric or imperial: those of a reader who has not chosen
	Pictures    string   // hash of what social pictures are drawn with; empty if there are none

	reader           *quantity.Reader // who has not chosen units
	metric, imperial *quantity.Reader
	words            []byte // the script of that name
	road             []Link // from one lesson to each
	printer          *Printer
	key              string
}

// Language is one of the languages of a site.
type Language struct{ Tag, Name, Folder string }

// NewSites makes the Site of each language of a course. logo is the path of the picture, if the site has one, and
// pictures a hash of what social pictures are drawn with.
func NewSites(
	c *course.Course, assets asset.Set, logo string, theme asset.Layers, pictures string,
) (map[*course.Language]*Site, error) {
	k := cache.NewKey("theme")
	for _, folder := range []string{"templates", "messages"} {
		if err := k.Files(theme, folder, func(string) bool { return true }); err != nil {
			return nil, err
		}
	}
	looks := k.String()
	sites := make(map[*course.Language]*Site, len(c.Languages))
	var all []Language
	for _, l := range c.Languages {
		all = append(all, Language{l.Tag.String(), l.Name, home(l)})
	}
	for i, l := range c.Languages {
		s := &Site{
			Program: cache.Program(), Theme: looks, Version: version.Name(),
			Title: l.Title, Summary: l.Summary, Footer: template.HTML(lesson.Inline(l.Footer)),
			Address: c.Site.Address, Publisher: c.Site.Publisher, Logo: logo,
			Language: all[i], Direction: l.Direction(), Home: home(l) + "index.html", Languages: all,
			Assets: assets, Several: c.Site.Several, Pictures: pictures, Units: "metric",
			reader: l.Reader(l.Units), metric: l.Reader(quantity.Metric), imperial: l.Reader(quantity.Imperial),
		}
		if l.Units == quantity.Imperial {
			s.Units = "imperial"
		}
		s.Signs = strings.TrimSuffix(string(kit.AppendReader(nil, s.metric)), "\n")
		for _, calculator := range c.Calculators {
			s.Calculators = append(s.Calculators, calculator.ID)
		}
		s.catalogue(l)
		for _, e := range l.Lessons {
			s.road = append(s.road, Link{e.Title, href(root(e.Address) + e.Address), e.Index + 1})
		}
		s.key = Key(*s)
		var err error
		if s.printer, err = newPrinter(theme, c.Site.Several, s.reader); err != nil {
			return nil, err
		}
		sites[l] = s
	}
	return sites, nil
}

// catalogue makes the script that brings the words of a language into the page.
func (s *Site) catalogue(l *course.Language) {
	if len(l.Words) == 0 {
		return
	}
	list, err := json.Marshal(l.Words)
	if err != nil {
		panic(err) // a map of strings
	}
	s.words = append([]byte("gripleafWords="), list...)
	sum := sha256.Sum256(s.words)
	s.Words = "words." + s.Language.Tag + "." + hex.EncodeToString(sum[:5]) + ".js"
}

// Key names a value that a file shows: two that are the same have the same one. It is a hash of all its exported
// fields.
func Key(shown any) string {
	text, err := json.Marshal(shown)
	if err != nil {
		panic(err) // what is shown are texts, numbers, and lists of them
	}
	sum := sha256.Sum256(text)
	return string(sum[:16])
}

// Key is the Site's own.
func (s *Site) Key() string { return s.key }

// MarshalJSON stands for the whole site in the values of its pages.
func (s *Site) MarshalJSON() ([]byte, error) { return json.Marshal(hex.EncodeToString([]byte(s.key))) }

// home is the folder of a language's pages, with its slash; the main language has none.
func home(l *course.Language) string {
	if l.Main {
		return ""
	}
	return l.Tag.String() + "/"
}

// Frame is what every page has around its own content.
type Frame struct {
	Site     *Site
	Path     string // of this page, from the site's root
	Root     string // from this page to the site's root
	Title    string
	About    string // one or two sentences
	Kind     string // article or website, after the Open Graph protocol
	Name     string // of the lesson that this page is
	Number   int    // its place among the lessons
	Others   []Alternate
	Strip    []Link // lessons along the road
	Embedded bool

	// What follows from the rest, and is put in when the page is written.
	Facts  template.JS `json:"-"` // JSON-LD
	Social *Social     `json:"-"`
}

// Tab is the title as a browser shows it.
func (f *Frame) Tab() string {
	if f.Title == f.Site.Title {
		return f.Title
	}
	return f.Title + " – " + f.Site.Title
}

// Alternate is the same page in another language, or this one.
type Alternate struct {
	Tag, Name string
	Href      template.HTMLAttr
	Address   template.HTMLAttr // its href in the web; Href where nobody knows that
}

func (f *Frame) alternate(tag, name, path string) Alternate {
	return Alternate{tag, name, href(f.To(path)), href(cmp.Or(f.Full(path), f.To(path)))}
}

// nearby is how many lessons to each side stay on a narrow strip.
const nearby = 3

// stretch is one lesson on the strip of road at the top, as its template sees it.
type stretch struct {
	Title, Ordinal string
	Href           template.HTMLAttr
	Here, Far      bool
}

// Road is the strip in HTML. A lesson stands on the strips of many pages, and looks the same on most of them.
func (f *Frame) Road() (template.HTML, error) {
	var all strings.Builder
	for _, to := range f.Strip {
		key := struct {
			Link
			here, far bool
		}{to, to.Number == f.Number, to.Number < f.Number-nearby || to.Number > f.Number+nearby}
		one, err := f.Site.printer.once("strip-lesson", key, func() any {
			return &stretch{to.Title, f.Count(to.Number), to.Href, key.here, key.far}
		})
		if err != nil {
			return "", err
		}
		all.WriteString(string(one))
	}
	return template.HTML(all.String()), nil
}

// Social is the picture that stands for a page where its address is shared.
type Social struct {
	asset.Picture
	Alt string
}

// Link leads from a page to another of the site.
type Link struct {
	Title  string
	Href   template.HTMLAttr
	Number int // of a lesson
}

// href is the attribute that leads to an address, which was checked when it was read. It is made once for all pages
// that have it; html/template would take three steps to write an address, on each.
func href(to string) template.HTMLAttr {
	return template.HTMLAttr(`href="` + template.HTMLEscapeString(string(util.URLEscape([]byte(to), false))) + `"`)
}

func (f *Frame) link(e *course.Entry) Link { return Link{e.Title, href(f.To(e.Address)), e.Index + 1} }

func (f *Frame) links(list []*course.Entry) []Link {
	var links []Link
	for _, e := range list {
		links = append(links, f.link(e))
	}
	return links
}

// root is the way from a page to the site's root.
func root(path string) string { return strings.Repeat("../", strings.Count(path, "/")) }

// frame is that of a page which every language has.
func (s *Site) frame(path string) Frame {
	f := Frame{Site: s, Path: s.Language.Folder + path, Kind: "website"}
	f.Root = root(f.Path)
	for _, l := range s.Languages {
		f.Others = append(f.Others, f.alternate(l.Tag, l.Name, l.Folder+path))
	}
	return f
}

// Say translates an English text and puts the arguments in place of its {} marks.
func (f *Frame) Say(english string, arguments ...string) string {
	return f.Site.reader.Say(english, arguments...)
}

// Count prints a whole number in the reader's digits.
func (f *Frame) Count(n int) string { return f.Site.reader.Locale.Format(float64(n), 0) }

// Full is the address of a path of the site in the web; empty if nobody knows where the site will stand.
func (f *Frame) Full(path string) string { return f.Site.full(path) }

func (s *Site) full(path string) string {
	if s.Address == "" {
		return ""
	}
	return s.Address + strings.TrimSuffix(path, "index.html")
}

// To is the way from this page to a path of the site.
func (f *Frame) To(path string) string { return f.Root + path }

// In is the way from this page to a path of this language.
func (f *Frame) In(path string) string { return f.Root + f.Site.Language.Folder + path }

// Hash is what the page's policy knows its facts by (Content Security Policy Level 3).
func (f *Frame) Hash(facts template.JS) string {
	sum := sha256.Sum256([]byte(facts))
	return base64.StdEncoding.EncodeToString(sum[:])
}

// common names a part that the pages of a language have in common, as far as they are equally deep in the site.
type common struct{ name, root string }

// Once executes a template with what all pages of this language at this depth have in common, and only once for all of
// them.
func (f *Frame) Once(name string) (template.HTML, error) {
	return f.Site.printer.once(name, common{name, f.Root}, func() any {
		return &Frame{Site: f.Site, Path: f.Root, Root: f.Root}
	})
}

// once executes a template for a part of a page, or remembers what came of it. What the part shows follows from key.
func (p *Printer) once(name string, key any, data func() any) (template.HTML, error) {
	p.mu.Lock()
	html, ok := p.made[key]
	p.mu.Unlock()
	if ok {
		return html, nil
	}
	var b strings.Builder
	if err := p.execute(&b, name, data()); err != nil {
		return "", err
	}
	html = template.HTML(b.String())
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.held += len(html); p.held > mostHeld {
		clear(p.made)
		p.held = len(html)
	}
	p.made[key] = html
	return html, nil
}

// File is one file of the site that is not a lesson.
type File struct {
	Path  string
	Shows any // all that it is made from, as a plain value
	Write func(w io.Writer) error
}

// Key names what the file shows.
func (f *File) Key() string {
	return Key(struct {
		Program, Path string
		Shows         any
	}{cache.Program(), f.Path, f.Shows})
}

// page makes a File of a page that goes through a template.
func (s *Site) page(path, name string, shows any) File {
	return File{path, shows, func(w io.Writer) error { return s.printer.execute(w, name, shows) }}
}

// Ridden are the calculators that ride simulated stops, which are in a module of their own.
func (s *Site) Ridden() string {
	var ids []string
	for _, c := range standard.Set {
		if c.Simulates || c.Long {
			ids = append(ids, c.ID)
		}
	}
	return strings.Join(ids, " ")
}
