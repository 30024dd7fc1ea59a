package pack

import (
	"bytes"
	"cmp"
	"crypto/sha1"
	_ "embed"
	"encoding/hex"
	"fmt"
	htmltemplate "html/template"
	"io"
	"path"
	"slices"
	"strings"
	"text/template"

	"golang.org/x/net/html"
	"golang.org/x/net/html/atom"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/fault"
)

//go:embed leaf.css
var leafCSS []byte

//go:embed epub.html
var ebookPages string

//go:embed package.opf
var packageOPF string

// container points a reader of e-books to the package (EPUB 3.3, 4.2.6.3.1).
const container = `<?xml version="1.0" encoding="UTF-8"?>
<container version="1.0" xmlns="urn:oasis:names:tc:opendocument:xmlns:container">
  <rootfiles><rootfile full-path="book/package.opf" media-type="application/oebps-package+xml"/></rootfiles>
</container>
`

// ebook is an EPUB being made.
type ebook struct {
	*Book
	Sections []*section
	Items    []item
	pages    *htmltemplate.Template
	images   map[string]item // by file of the site
	faults   fault.List
}

// item is one file of the package's manifest.
type item struct {
	ID, Path, Type string
	Properties     string
	Spine          bool
	data           []byte
}

// section is one page of the e-book as its templates see it.
type section struct {
	*ebook
	Path, Title string
	Entry       *course.Entry
	Body        htmltemplate.HTML
	Answers     htmltemplate.HTML
	Headings    []heading
	Cited       []*course.Source
	Standing    string
}

type heading struct{ ID, Text string }

// WriteEPUB writes the course as an e-book (EPUB 3.3): a page a lesson with its formulas as MathML and its figures as
// SVG, glossary and sources, and what readers with assistive technology are told about it. The same course gives the
// same bytes.
func (b *Book) WriteEPUB(w io.Writer) error {
	e := &ebook{Book: b, images: make(map[string]item)}
	e.pages = htmltemplate.Must(htmltemplate.New("").Funcs(htmltemplate.FuncMap{"say": b.Language.Say}).Parse(ebookPages))
	if err := e.chapters(); err != nil {
		return err
	}
	for _, name := range []string{"Glossary", "Sources"} {
		s := &section{ebook: e, Path: strings.ToLower(name) + ".xhtml", Title: b.Language.Say(name)}
		if err := e.add(s, strings.ToLower(name)); err != nil {
			return err
		}
	}
	if err := e.contents(); err != nil {
		return err
	}
	if len(e.faults) > 0 {
		return e.faults
	}
	return e.archive(w)
}

// chapters adds the lessons and the pages beside them, each with a page of its own.
func (e *ebook) chapters() error {
	for _, c := range slices.Concat(e.Lessons, e.Pages) {
		root, err := e.leafOf(c, e.ways())
		if err != nil {
			return err
		}
		s := &section{ebook: e, Path: e.pathOf(c.Entry), Title: c.Entry.Title, Entry: c.Entry, Standing: e.Language.Say(kit.StandingCaution)}
		for d := range root.Descendants() {
			if d.DataAtom == atom.H2 && attribute(d, "id") != "" {
				s.Headings = append(s.Headings, heading{attribute(d, "id"), textOf(d)})
			}
		}
		solved := &html.Node{Type: html.DocumentNode}
		for _, a := range answers(root, e.Language.Say, linked) {
			solved.AppendChild(a)
		}
		s.Body, s.Answers = rendered(root), rendered(solved)
		for _, cited := range c.Lesson.Citations {
			if source, ok := e.Course.Source(cited.ID); ok && !slices.Contains(s.Cited, source) {
				s.Cited = append(s.Cited, source)
			}
		}
		if err := e.add(s, "chapter"); err != nil {
			return err
		}
	}
	return nil
}

// rendered is what a node holds, as HTML.
func rendered(n *html.Node) htmltemplate.HTML {
	var b bytes.Buffer
	for c := range n.ChildNodes() {
		if err := html.Render(&b, c); err != nil {
			panic(err) // a buffer takes everything
		}
	}
	return htmltemplate.HTML(b.String())
}

func (e *ebook) pathOf(entry *course.Entry) string {
	if entry.Beside {
		return "page-" + entry.Name + ".xhtml"
	}
	return entry.Name + ".xhtml"
}

func (e *ebook) ways() ways {
	return ways{
		lesson: func(to *course.Entry, hash string) string {
			if !e.has(to) {
				return e.online(to, hash)
			}
			return e.pathOf(to) + after("#", hash)
		},
		term:   func(id string) string { return "glossary.xhtml#" + id },
		source: func(id string) string { return "sources.xhtml#" + id },
		image:  e.image,
	}
}

// has reports whether a lesson or page is in the book.
func (b *Book) has(e *course.Entry) bool {
	return slices.ContainsFunc(slices.Concat(b.Lessons, b.Pages), func(c Chapter) bool { return c.Entry == e })
}

// online is where a lesson stands in the web; empty if nobody knows.
func (b *Book) online(e *course.Entry, hash string) string {
	if b.Course.Site.Address == "" {
		return ""
	}
	return b.Course.Site.Address + e.Address + after("#", hash)
}

// after is a text behind a sign, and nothing if there is no text.
func after(sign, text string) string {
	if text == "" {
		return ""
	}
	return sign + text
}

// coreTypes are the pictures that every reader of e-books shows (EPUB 3.3, 3.2).
var coreTypes = map[string]string{".svg": "image/svg+xml", ".png": "image/png", ".jpg": "image/jpeg",
	".jpeg": "image/jpeg", ".gif": "image/gif", ".webp": "image/webp"}

// image takes a picture of the site into the book and gives its path there.
func (e *ebook) image(file string) string {
	if i, ok := e.images[file]; ok {
		return i.Path
	}
	media, ok := coreTypes[strings.ToLower(path.Ext(file))]
	if !ok {
		e.faults.Add(fault.Fault{Code: "picture", File: file,
			Text: "readers of e-books need not show this kind of picture", Hint: "save it as SVG, PNG, JPEG, GIF or WebP"})
		return file
	}
	data, faults := e.picture(file)
	e.faults.Add(faults...)
	i := item{ID: fmt.Sprintf("picture-%d", len(e.images)+1), Path: "pictures/" + identifier(file) + path.Ext(file), Type: media, data: data}
	e.images[file] = i
	e.Items = append(e.Items, i)
	return i.Path
}

// identifier is a short name made of a text.
func identifier(text string) string {
	sum := sha1.Sum([]byte(text))
	return hex.EncodeToString(sum[:6])
}

// add writes a section's page through a template and notes what is in it.
func (e *ebook) add(s *section, name string) error {
	root, err := e.page(name, s)
	if err != nil {
		return err
	}
	var properties []string
	for d := range root.Descendants() {
		switch {
		case d.Type != html.ElementNode:
		case d.Data == "math" && !slices.Contains(properties, "mathml"):
			properties = append(properties, "mathml")
		case d.Data == "svg" && !slices.Contains(properties, "svg"):
			properties = append(properties, "svg")
		}
	}
	slices.Sort(properties)
	i := item{ID: "s" + identifier(s.Path), Path: s.Path, Type: "application/xhtml+xml", Properties: strings.Join(properties, " "), Spine: true}
	i.data = document(root)
	e.Items, e.Sections = append(e.Items, i), append(e.Sections, s)
	return nil
}

// page is a whole page that a template has written.
func (e *ebook) page(template string, view any) (*html.Node, error) {
	var page bytes.Buffer
	if err := e.pages.ExecuteTemplate(&page, template, view); err != nil {
		return nil, err
	}
	return html.Parse(&page)
}

// document writes a whole page as XML.
func document(root *html.Node) []byte {
	return append([]byte(`<?xml version="1.0" encoding="UTF-8"?>`+"\n<!DOCTYPE html>\n"), asXML(root)...)
}

// contents writes the table of contents, which is a page too.
func (e *ebook) contents() error {
	root, err := e.page("contents", e)
	if err != nil {
		return err
	}
	data := bytes.ReplaceAll(document(root), []byte("epub-type="), []byte("epub:type="))
	data = bytes.Replace(data, []byte("<html "), []byte(`<html xmlns:epub="http://www.idpf.org/2007/ops" `), 1)
	first := item{ID: "contents", Path: "contents.xhtml", Type: "application/xhtml+xml", Properties: "nav", Spine: true, data: data}
	e.Items = append([]item{first}, e.Items...)
	e.Items = append(e.Items, item{ID: "style", Path: "leaf.css", Type: "text/css", data: leafCSS})
	return nil
}

func (e *ebook) archive(w io.Writer) error {
	var opf bytes.Buffer
	t := template.Must(template.New("").Funcs(template.FuncMap{"xml": xmlText}).Parse(packageOPF))
	if err := t.Execute(&opf, e); err != nil {
		return err
	}
	files := []file{{"META-INF/container.xml", []byte(container)}, {"book/package.opf", opf.Bytes()}}
	for _, i := range e.Items {
		files = append(files, file{"book/" + i.Path, i.data})
	}
	return archive(w, []file{{"mimetype", []byte("application/epub+zip")}}, files)
}

// Identifier names the e-book among all: a UUID made of its address, or its title, and its language (RFC 9562, version
// 5, in the namespace of URLs).
func (e *ebook) Identifier() string {
	space, _ := hex.DecodeString("6ba7b8119dad11d180b400c04fd430c8")
	sum := sha1.Sum(append(space, cmp.Or(e.Course.Site.Address, e.Course.Site.Title)+"#"+e.Language.Folder...))
	sum[6], sum[8] = sum[6]&0x0f|0x50, sum[8]&0x3f|0x80
	return fmt.Sprintf("urn:uuid:%x-%x-%x-%x-%x", sum[0:4], sum[4:6], sum[6:8], sum[8:10], sum[10:16])
}

// Modified is the date of the package, in UTC as EPUB wants it.
func (e *ebook) Modified() string { return e.Dated().Format("2006-01-02T15:04:05Z") }
