package pack

import (
	"bytes"
	_ "embed"
	"html/template"
	"path"
	"reflect"
	"slices"
	"strings"

	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/util"
	"golang.org/x/net/html"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/lesson"
)

//go:embed leaf.html
var leafPieces string

// ways are where links of a leaf lead. An empty address makes plain words of a link.
type ways struct {
	lesson func(e *course.Entry, hash string) string
	term   func(id string) string
	source func(id string) string
	image  func(file string) string // a picture of the site
	paper  bool                     // addresses are written out, with codes
	task   bool                     // figures are there to read values from: the place of the answer is not marked
}

// leaf writes a lesson's pieces for paper: nothing on it can be pressed or moved. Answers stand where the questions
// are, with the class "answer", until they are collected.
type leaf struct {
	book   *Book
	entry  *course.Entry
	reader *quantity.Reader
	pieces *template.Template
	ways
	open []string // what follows the words of each piece that is being written
}

// leafOf is a lesson on paper, as a tree.
func (b *Book) leafOf(c Chapter, w ways) (*html.Node, error) {
	l := &leaf{book: b, entry: c.Entry, reader: b.Language.Reader(quantity.Metric), ways: w}
	l.pieces = template.Must(template.New("").Funcs(template.FuncMap{
		"say": l.reader.Say, "unit": l.reader.UnitName, "quantity": l.reader.Quantity, "within": l.within, "picture": l.picture,
		"link": newLink, "term": l.term, "source": l.source, "short": l.short, "page": l.page,
		"drawing": l.drawing, "set": l.set, "results": l.results, "online": l.online, "code": l.code,
		"warning": func(w *kit.Work) string { return w.Calculator.Warning(l.reader) },
		"asked":   func(n *lesson.Number) bool { return n.Question != nil && n.Question.Answer == n },
		"markup":  func(html string) template.HTML { return template.HTML(html) },
		"words":   func() template.HTML { return wordsMark },
	}).Parse(leafPieces))
	var out bytes.Buffer
	if err := lesson.NewRenderer(l, b.Course.Site.Several).Render(&out, c.Lesson); err != nil {
		return nil, err
	}
	return fragment(out.String())
}

// wordsMark stands in a piece for its words, which goldmark writes between the halves of it.
const wordsMark = "\x00"

// Piece writes a piece of the lesson by the template that has the name of its type.
func (l *leaf) Piece(w util.BufWriter, n ast.Node, entering bool) error {
	if !entering {
		last := len(l.open) - 1
		_, err := w.WriteString(l.open[last])
		l.open = l.open[:last]
		return err
	}
	var html strings.Builder
	if err := l.pieces.ExecuteTemplate(&html, reflect.TypeOf(n).Elem().Name(), n); err != nil {
		return err
	}
	before, after, around := strings.Cut(html.String(), wordsMark)
	if around {
		l.open = append(l.open, after)
	}
	_, err := w.WriteString(before)
	return err
}

// Text writes words as they are.
func (l *leaf) Text(w util.BufWriter, _ *ast.Text, html string) error {
	_, err := w.WriteString(html)
	return err
}

// Heading adds nothing: paper has no moments.
func (l *leaf) Heading(util.BufWriter, *lesson.Heading) error { return nil }

// Table adds nothing: on paper and in a reading device nothing scrolls sideways.
func (l *leaf) Table(util.BufWriter, bool) error { return nil }

// link is one whose words a lesson has, or that says something short without any. Without an address the words stand
// alone.
type link struct {
	Class   string
	Address template.URL
	Short   string
}

func newLink(class, address, short string) link { return link{class, template.URL(address), short} }

// short is the name of a source that is cited without words.
func (l *leaf) short(n *lesson.Citation) string {
	s, ok := l.book.Course.Source(n.ID)
	if !ok || n.Words != "" {
		return ""
	}
	return s.Short()
}

// page is where a link within the course or out into the web leads.
func (l *leaf) page(n *lesson.Link) string {
	file, hash, _ := strings.Cut(n.Destination, "#")
	if !strings.HasSuffix(file, ".md") {
		return n.Destination
	}
	if e := l.entry.Resolve(file); e != nil {
		return l.lesson(e, hash)
	}
	return ""
}

// within says how far off an answer may be.
func (l *leaf) within(n *lesson.Number) string {
	if n.Relation != lesson.Within {
		return ""
	}
	q, err := quantity.Parse(n.Other, quantity.Share, n.Result.Shown.Kind)
	if err != nil {
		return ""
	}
	number := l.reader.Locale.Format(q.Unit.From(q.Value), q.Decimals)
	if q.Unit.Symbol == "" && q.Unit.Kind == quantity.Share { // written as a fraction
		number = l.reader.Number(q.Value, quantity.Shown{Kind: quantity.Share, Metric: "%"}) + "\u00a0%"
	}
	return " ± " + quantity.Join(number, l.reader.Say(q.Unit.Shown))
}

// picture is the address of a picture.
func (l *leaf) picture(n *lesson.Image) template.URL {
	if strings.Contains(n.Destination, "://") {
		return template.URL(n.Destination)
	}
	return template.URL(l.image(path.Join(path.Dir(l.entry.File), n.Destination)))
}

// drawing is a figure of a calculation.
func (l *leaf) drawing(w *kit.Work, name string) template.HTML {
	i, _ := w.Calculator.Figure(name)
	style := figure.Style{Reader: l.reader}
	if l.task {
		style = figure.Style{Reader: l.reader, Width: 660, Height: 380, Readable: true}
	}
	scene := w.Scene(i, style)
	if l.task {
		scene.Marks = slices.DeleteFunc(scene.Marks, func(m figure.Mark) bool { return m.Role == "now" })
	}
	return template.HTML(l.book.palette.SVG(&scene))
}

// set is what is worth telling of the inputs: those given, and those without which nobody knows what was worked out;
// not what a preset has filled in.
func (l *leaf) set(w *kit.Work) (rows [][2]string) {
	preset := make(map[string]bool)
	for _, p := range w.Calculator.Presets {
		for _, s := range p.Sets {
			preset[s.Input] = true
		}
	}
	for i, in := range w.Calculator.Inputs {
		if v := &w.Inputs[i]; v.Given || v.Set && !preset[in.Name] {
			rows = append(rows, [2]string{l.reader.Say(in.Label), w.InputText(i, l.reader)})
		}
	}
	return rows
}

// results are the outputs that say something.
func (l *leaf) results(w *kit.Work) (rows [][2]string) {
	for i, out := range w.Calculator.Outputs {
		if !w.Moot[i] {
			rows = append(rows, [2]string{l.reader.Say(out.Label), l.reader.Quantity(w.Outputs[i], out.Shown)})
		}
	}
	return rows
}

// online is where an explorer can be moved; empty for a site without an address.
func (l *leaf) online(n *lesson.Explorer) template.URL {
	site := l.book.Course.Site.Address
	if site == "" {
		return ""
	}
	_, pairs, _ := strings.Cut(n.Result.Work.Canonical(), "?")
	return template.URL(site + l.entry.Address + "#" + n.ID + after("?", pairs))
}

// code is an address as a code, where nothing can be pressed.
func (l *leaf) code(address template.URL) template.HTML {
	if !l.paper {
		return ""
	}
	return code(string(address))
}
