package page

import (
	"bytes"
	"html/template"
	"io"
	"slices"
	"strings"

	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/util"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/measured"
	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/calculators/standard"
	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/lesson"
)

// body writes the bodies of lessons, one after the other: goldmark writes what is Markdown, and the theme's templates
// what is more.
type body struct {
	renderer *lesson.Renderer
	html     bytes.Buffer

	// Of the lesson that is being written.
	page      *Lesson
	lesson    *lesson.Lesson
	cited     []cited
	explained map[string]bool // terms whose meaning the page holds already
	open      []string        // what follows the words of each piece that is being written
	sealed    int             // explorers and figures among them, whose numbers are the script's
}

// cited is a source that a lesson cites, with its number on the page.
type cited struct {
	*course.Source
	Number int
}

func newBody(several bool) *body {
	b := new(body)
	b.renderer = lesson.NewRenderer(b, several)
	return b
}

func (b *body) render(v *Lesson, l *lesson.Lesson) (template.HTML, []cited, error) {
	b.page, b.lesson, b.cited, b.explained, b.open, b.sealed = v, l, nil, make(map[string]bool), b.open[:0], 0
	b.html.Reset()
	err := b.renderer.Render(&b.html, l)
	return template.HTML(b.html.String()), b.cited, err
}

// piece is what the template of a piece is given, and all that it shows: equal ones look the same. Each uses what it
// needs.
type piece struct {
	*quantity.Reader
	Template              string
	Words                 template.HTML // its children in the lesson
	Href                  template.HTMLAttr
	Source                template.URL // of a picture
	ID, Name, Title, Text string
	Imperial              string // the text for readers of imperial units; empty if it is the same
	Metric                string // the text for readers of metric units, where the site speaks to the others
	Number, Width, Height int
	Spoken                string
	Symbols, Values       template.HTML // of a worked step
	Means, Query, Video   string
	Practice              *practice
	Bets                  string // the explorer that a question is a bet on
	Road                  *road
	Draws, Right, Several bool
}

// wordsMark stands in a template's output for the words, which goldmark writes between the halves of it.
const wordsMark template.HTML = "\x00"

// write writes a piece without words of its own. Equal pieces are executed once.
func (b *body) write(w io.Writer, name string, p piece) error {
	html, err := b.once(name, p)
	if err == nil {
		_, err = io.WriteString(w, string(html))
	}
	return err
}

// enter writes what stands before the words of a piece, and leave what stands behind them.
func (b *body) enter(w util.BufWriter, name string, p piece) error {
	html, err := b.once(name, p)
	if err != nil {
		return err
	}
	return b.around(w, string(html))
}

func (b *body) once(name string, p piece) (template.HTML, error) {
	p.Reader, p.Template = b.page.Site.reader, name
	return b.page.Site.printer.once(name, p, func() any { return &p })
}

func (b *body) around(w util.BufWriter, html string) error {
	before, after, _ := strings.Cut(html, string(wordsMark))
	b.open = append(b.open, after)
	_, err := w.WriteString(before)
	return err
}

func (b *body) leave(w util.BufWriter) error {
	last := len(b.open) - 1
	after := b.open[last]
	b.open = b.open[:last]
	_, err := w.WriteString(after)
	return err
}

// plain is a piece that has nothing but its words.
func (b *body) plain(w util.BufWriter, name string, entering bool) error {
	if !entering {
		return b.leave(w)
	}
	return b.enter(w, name, piece{Words: wordsMark})
}

// state is the link to a calculation: to an explorer of this page if one has the calculator, or to the calculator's own
// page.
func (b *body) state(w *kit.Work) template.HTMLAttr {
	id, pairs, _ := strings.Cut(w.Canonical(), "?")
	for _, e := range b.lesson.Explorers {
		if e.Result.Work != nil && e.Result.Work.Calculator == w.Calculator {
			return href("#" + e.ID + "?" + pairs)
		}
	}
	return href(b.page.In("calculators/" + id + ".html#" + id + "?" + pairs))
}

// both gives a piece a text in the units of the site, and in the others for who chooses them.
func (b *body) both(p piece, text func(*quantity.Reader) string) piece {
	metric, imperial := text(b.page.Site.metric), text(b.page.Site.imperial)
	p.Text, p.Imperial = metric, unless(imperial, metric)
	if b.page.Site.reader.System == quantity.Imperial {
		p.Text = imperial
		if p.Imperial != "" {
			p.Metric = metric
		}
	}
	return p
}

// unless gives the imperial text if it is another one than the metric.
func unless(imperial, metric string) string {
	if imperial == metric {
		return ""
	}
	return imperial
}

// Piece writes a piece of a lesson.
func (b *body) Piece(w util.BufWriter, n ast.Node, entering bool) error {
	switch n := n.(type) {
	case *lesson.Number:
		return b.number(w, n)
	case *lesson.Claim:
		return b.claim(w, n, entering)
	case *lesson.Step:
		return b.step(w, n)
	case *lesson.Drawn:
		return b.drawn(w, n)
	case *lesson.Explorer:
		return b.show(w, n, entering)
	case *lesson.Figure:
		return b.figure(w, n, entering)
	case *lesson.Term:
		return b.term(w, n, entering)
	case *lesson.Citation:
		return b.citation(w, n, entering)
	case *lesson.Caution:
		return b.plain(w, "caution", entering)
	case *lesson.Question:
		return b.question(w, n, entering)
	case *lesson.Choices:
		return b.plain(w, "choices", entering)
	case *lesson.Choice:
		return b.choice(w, n, entering)
	case *lesson.Reason:
		return b.plain(w, "reason", entering)
	case *lesson.Explanation:
		return b.explanation(w, n, entering)
	case *lesson.Link:
		return b.link(w, n, entering)
	case *lesson.Image:
		return b.image(w, n)
	}
	return nil
}

// number writes a checked number as a link to its state, or the field of a question.
func (b *body) number(w util.BufWriter, n *lesson.Number) error {
	r := &n.Result
	switch {
	case n.Question != nil && n.Question.Answer == n:
		return b.answer(w, n)
	case r.Work == nil:
		_, err := w.WriteString(template.HTMLEscapeString(n.Prefix + n.Written))
		return err
	}
	imperial := n.Prefix + b.page.Site.imperial.Quantity(r.Value, r.Shown)
	p := piece{Href: b.state(r.Work), Title: b.origin(r), Text: r.Text, Imperial: unless(imperial, r.Text)}
	if n.Written == "" {
		p = b.both(p, func(reader *quantity.Reader) string { return n.Prefix + reader.Quantity(r.Value, r.Shown) })
	}
	return b.write(w, "number", p)
}

// origin says in a few words where a number is from.
func (b *body) origin(r *lesson.Result) string {
	c := r.Work.Calculator
	text := b.page.Say(c.Title)
	if r.Output >= 0 {
		text += ": " + b.page.Say(c.Outputs[r.Output].Label)
	}
	return text
}

// answer is where a reader writes the number that a question asks for.
func (b *body) answer(w util.BufWriter, n *lesson.Number) error {
	r := &n.Result
	if r.Work == nil {
		_, err := w.WriteString("…")
		return err
	}
	p := piece{ID: n.Question.ID, Road: b.newRoad(n)}
	return b.write(w, "answer", b.both(p, func(reader *quantity.Reader) string { return reader.UnitName(r.Shown) }))
}

// step writes a formula, the same with its values put in, and what comes out. It is worked in SI, as its formula wants
// it; readers of other units get the result in theirs as well.
func (b *body) step(w util.BufWriter, n *lesson.Step) error {
	r := &n.Result
	if r.Work == nil {
		_, err := w.WriteString("<code>" + template.HTMLEscapeString(n.Formula) + "</code>")
		return err
	}
	p := piece{Href: b.state(r.Work), Text: r.Text,
		Imperial: unless(b.page.Site.imperial.Quantity(r.Value, r.Shown), r.Text),
		Spoken:   n.Formula + " = " + r.Text, Symbols: template.HTML(n.Symbols), Values: template.HTML(n.Values)}
	if b.page.Site.reader.System == quantity.Imperial && p.Imperial != "" {
		p.Metric = r.Text
	}
	return b.write(w, "step", p)
}

// drawn writes a value that practice draws anew.
func (b *body) drawn(w util.BufWriter, n *lesson.Drawn) error {
	imperial := n.Written
	if n.Question != nil && n.Question.Answer != nil {
		if work := n.Question.Answer.Result.Work; work != nil {
			if i, ok := work.Calculator.Input(n.Input); ok {
				imperial = work.InputText(i, b.page.Site.imperial)
			}
		}
	}
	return b.write(w, "drawn", piece{Name: n.Input, Text: n.Written, Imperial: unless(imperial, n.Written)})
}

// image writes a picture of the site with its size, so that nothing moves when it arrives.
func (b *body) image(w util.BufWriter, n *lesson.Image) error {
	p, ok := b.page.Pictures[b.page.file(n.Destination)]
	src := n.Destination
	if ok {
		src = b.page.To(p.Path)
	}
	return b.write(w, "image", piece{Source: template.URL(src), Title: n.Title, Text: n.Alt,
		Width: p.Width, Height: p.Height})
}

// claim writes words that hold because one calculation gave more than another.
func (b *body) claim(w util.BufWriter, n *lesson.Claim, entering bool) error {
	if n.Result.Work == nil {
		return nil
	}
	if !entering {
		return b.leave(w)
	}
	return b.enter(w, "claim", piece{Href: b.state(n.Result.Work), Title: b.origin(&n.Result), Words: wordsMark})
}

// show writes a calculator at its first state, worked out.
func (b *body) show(w util.BufWriter, n *lesson.Explorer, entering bool) error {
	if n.Result.Work == nil {
		return nil
	}
	if !entering {
		b.sealed--
		return b.leave(w)
	}
	b.sealed++
	view := &kit.View{Now: n.Result.Work}
	for _, other := range n.Beside {
		if other.Result.Work != nil {
			view.Kept = append(view.Kept, other.Result.Work)
		}
	}
	v := b.page.explorer(n.ID, view, levers(n, b.page.Site.reader))
	v.Caption = wordsMark
	_, v.Asked = n.PreviousSibling().(*lesson.Question)
	var html strings.Builder
	if err := b.page.Site.printer.execute(&html, "explorer", v); err != nil {
		return err
	}
	return b.around(w, html.String())
}

// explorer makes the view of an explorer that stands on a page.
func (f *Frame) explorer(id string, view *kit.View, levers []string) *explorerView {
	w := view.Now
	v := newExplorer(id, view, levers, f.Site.reader)
	v.Page = f.In("calculators/" + w.Calculator.ID + ".html")
	v.Embed = f.In("calculators/" + w.Calculator.ID + "-embed.html")
	_, ours := standard.Set.Find(w.Calculator.ID)
	v.Own = !ours
	if w.Calculator.ID == measured.Calculator.ID {
		v.Measured, v.MeasuredScript = f.Site.Assets.Measured, f.Site.Assets.MeasuredJS
	}
	return v
}

// figurePiece is a piece with what is drawn for its query.
type figurePiece struct {
	piece
	Plate plate
}

// figure writes one figure with its caption and its numbers.
func (b *body) figure(w util.BufWriter, n *lesson.Figure, entering bool) error {
	work := n.Result.Work
	if work == nil {
		return nil
	}
	i, ok := work.Calculator.Figure(n.Name)
	if !ok {
		return nil
	}
	if !entering {
		b.sealed--
		return b.leave(w)
	}
	b.sealed++
	p := piece{Href: b.state(work), ID: n.ID, Name: n.Name, Query: work.Canonical(), Words: wordsMark}
	r := b.page.Site.reader
	html, err := b.page.Site.printer.once("figure", p, func() any {
		return &figurePiece{p, plate{Reader: r, Plate: work.Plate(i, r)}}
	})
	if err != nil {
		return err
	}
	return b.around(w, string(html))
}

// term writes a word of the glossary with its meaning at hand, once on a page.
func (b *body) term(w util.BufWriter, n *lesson.Term, entering bool) error {
	t := b.page.term(n.ID)
	if t == nil {
		return nil
	}
	if !entering {
		return b.leave(w)
	}
	v := piece{Href: href(b.page.In("glossary.html#" + n.ID)), ID: n.ID, Text: t.Term, Words: wordsMark}
	if !b.explained[n.ID] {
		v.Means = string(t.HTML)
	}
	b.explained[n.ID] = true
	return b.enter(w, "term", v)
}

// citation writes a link to the page's list of sources.
func (b *body) citation(w util.BufWriter, n *lesson.Citation, entering bool) error {
	s := b.page.source(n.ID)
	if s == nil {
		return nil
	}
	if !entering {
		return b.leave(w)
	}
	v := piece{Title: s.Title, Number: b.cite(s), Words: wordsMark}
	if n.Words == "" {
		v.Text = s.Short()
	}
	return b.enter(w, "citation", v)
}

// cite gives the number of a source on the page.
func (b *body) cite(s *course.Source) int {
	i := slices.IndexFunc(b.cited, func(c cited) bool { return c.Source == s })
	if i < 0 {
		i = len(b.cited)
		b.cited = append(b.cited, cited{s, i + 1})
	}
	return i + 1
}

// Table lets a wide table scroll by itself and not the page.
func (b *body) Table(w util.BufWriter, entering bool) error { return b.plain(w, "table", entering) }

// link writes a link within the course or out into the web.
func (b *body) link(w util.BufWriter, n *lesson.Link, entering bool) error {
	if !entering {
		return b.leave(w)
	}
	return b.enter(w, "link", piece{Href: href(b.destination(n.Destination)), Title: n.Title, Words: wordsMark})
}

// destination makes a link to another file of the course one to its page; others stay as they are.
func (b *body) destination(to string) string {
	file, _, _ := strings.Cut(to, "#")
	page, ok := b.page.Links[b.page.file(file)]
	if !ok || !strings.HasSuffix(file, ".md") {
		return to
	}
	return b.page.To(page) + to[len(file):]
}

// Heading adds the moment of the video at which the heading is spoken of.
func (b *body) Heading(w util.BufWriter, h *lesson.Heading) error {
	if !h.Timed || b.lesson.Meta.Video == nil {
		return nil
	}
	return b.write(w, "moment", piece{Text: lesson.FormatMoment(h.At), Video: b.lesson.Meta.Video.AddressAt(h.At)})
}

// Text writes the text of Markdown, which goldmark has made HTML without tags, and gives every quantity that it states
// its form for imperial readers, as checked numbers have it.
func (b *body) Text(w util.BufWriter, n *ast.Text, text string) error {
	if b.sealed > 0 || inRawMarkup(n, b.lesson.Source.Text) {
		_, err := w.WriteString(text)
		return err
	}
	return quantities(text, b.page.Site.reader, func(plain, imperial string) error {
		if imperial == "" {
			_, err := w.WriteString(plain)
			return err
		}
		return b.write(w, "quantity", piece{Text: plain, Imperial: imperial})
	})
}

// rawMarkup are the elements whose numbers stand for themselves where an author has written the tags.
var rawMarkup = [...]string{"code", "pre", "svg", "math", "textarea"}

// inRawMarkup reports whether a text stands within such an element.
func inRawMarkup(n ast.Node, source []byte) bool {
	open := 0
	for s := n.PreviousSibling(); s != nil; s = s.PreviousSibling() {
		raw, ok := s.(*ast.RawHTML)
		if !ok {
			continue
		}
		tag := bytes.ToLower(raw.Segments.Value(source))
		for _, name := range rawMarkup {
			switch {
			case bytes.HasPrefix(tag, []byte("</"+name)):
				open--
			case bytes.HasPrefix(tag, []byte("<"+name)):
				open++
			}
		}
	}
	return open > 0
}
