package pack

import (
	"bytes"
	"html"
	"path"
	"slices"
	"strings"

	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/util"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/lesson"
)

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
	ways
	closing []string // of links that are open
}

// body is a lesson's text as HTML.
func (b *Book) body(c Chapter, w ways) (string, error) {
	l := &leaf{book: b, entry: c.Entry, reader: b.Language.Reader(quantity.Metric), ways: w}
	var out bytes.Buffer
	err := lesson.NewRenderer(l, b.Course.Site.Several).Render(&out, c.Lesson)
	return out.String(), err
}

func (l *leaf) say(english string, arguments ...string) string {
	return html.EscapeString(l.reader.Say(english, arguments...))
}

func write(w util.BufWriter, parts ...string) error {
	for _, p := range parts {
		if _, err := w.WriteString(p); err != nil {
			return err
		}
	}
	return nil
}

// around writes what stands before a node, or behind it.
func around(w util.BufWriter, before, behind string, entering bool) error {
	if entering {
		return write(w, before)
	}
	return write(w, behind)
}

var escape = html.EscapeString

// link opens or closes a link; without an address its words stand alone.
func (l *leaf) link(w util.BufWriter, class, address string, entering bool) error {
	if !entering {
		n := len(l.closing) - 1
		end := l.closing[n]
		l.closing = l.closing[:n]
		return write(w, end)
	}
	if address == "" {
		l.closing = append(l.closing, "</span>")
		return write(w, `<span class="`, class, `">`)
	}
	l.closing = append(l.closing, "</a>")
	return write(w, `<a class="`, class, `" href="`, escape(address), `">`)
}

// Piece writes a piece of the lesson. The class of a choice says whether it is right, until the answers are collected.
func (l *leaf) Piece(w util.BufWriter, n ast.Node, entering bool) error {
	switch n := n.(type) {
	case *lesson.Number:
		return l.number(w, n)
	case *lesson.Step: // the formula, with its values put in, and what comes out
		return write(w, `<math class="step">`, n.Symbols, "<mo>=</mo>", n.Values, "<mo>=</mo><mtext>", escape(n.Result.Text), "</mtext></math>")
	case *lesson.Drawn:
		return write(w, escape(n.Written))
	case *lesson.Image:
		return l.picture(w, n)
	case *lesson.Claim:
		return around(w, `<span class="claim">`, "</span>", entering)
	case *lesson.Term:
		return l.link(w, "term", l.term(n.ID), entering)
	case *lesson.Citation:
		return l.citation(w, n, entering)
	case *lesson.Link:
		return l.courseLink(w, n, entering)
	case *lesson.Caution:
		return around(w, `<aside class="caution" role="note"><p class="name">`+l.say("Caution")+"</p>\n", "</aside>\n", entering)
	case *lesson.Figure:
		return l.figure(w, n, entering)
	case *lesson.Explorer:
		return l.explorer(w, n, entering)
	case *lesson.Question:
		return around(w, `<section class="question" id="`+escape(n.ID)+`"><p class="name">`+l.say("Ask yourself")+"</p>\n", "</section>\n", entering)
	case *lesson.Choices:
		return around(w, `<ol class="choices" type="A">`, "</ol>\n", entering)
	case *lesson.Choice:
		if n.Right {
			return around(w, `<li class="right">`, "</li>\n", entering)
		}
		return around(w, "<li>", "</li>\n", entering)
	case *lesson.Reason:
		return around(w, `<span class="reason">`, "</span>", entering)
	case *lesson.Explanation:
		return around(w, `<div class="explanation">`, "</div>", entering)
	}
	return nil
}

// number writes a worked number, or room for the one that a question asks for.
func (l *leaf) number(w util.BufWriter, n *lesson.Number) error {
	if n.Question != nil && n.Question.Answer == n {
		return write(w, `<span class="blank"></span> `, escape(l.reader.UnitName(n.Result.Shown)),
			`<span class="answer">`, escape(l.reader.Quantity(n.Result.Value, n.Result.Shown)+l.within(n)), "</span>")
	}
	return write(w, `<span class="checked">`, escape(n.Result.Text), "</span>")
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

// picture writes a picture of the site.
func (l *leaf) picture(w util.BufWriter, n *lesson.Image) error {
	address := n.Destination
	if !strings.Contains(address, "://") {
		address = l.image(path.Join(path.Dir(l.entry.File), address))
	}
	return write(w, `<img src="`, escape(address), `" alt="`, escape(n.Alt), `">`)
}

// citation writes what is cited; without words of its own, the source's short name.
func (l *leaf) citation(w util.BufWriter, n *lesson.Citation, entering bool) error {
	if err := l.link(w, "citation", l.source(n.ID), entering); err != nil || !entering || n.Words != "" {
		return err
	}
	s, ok := l.book.Course.Source(n.ID)
	if !ok {
		return nil
	}
	return write(w, escape(s.Short()))
}

// courseLink writes a link within the course or out into the web.
func (l *leaf) courseLink(w util.BufWriter, n *lesson.Link, entering bool) error {
	address := n.Destination
	if file, hash, _ := strings.Cut(address, "#"); strings.HasSuffix(file, ".md") {
		address = ""
		if e := l.entry.Resolve(file); e != nil {
			address = l.lesson(e, hash)
		}
	}
	return l.link(w, "link", address, entering)
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

// figure writes one figure with its caption.
func (l *leaf) figure(w util.BufWriter, n *lesson.Figure, entering bool) error {
	if !entering {
		return write(w, "</figcaption></figure>\n")
	}
	i, _ := n.Result.Work.Calculator.Figure(n.Name)
	return write(w, `<figure class="lone" id="`, escape(n.ID), `">`, l.drawing(n.Result.Work, i), "<figcaption>")
}

func (l *leaf) drawing(w *kit.Work, i int) string {
	style := figure.Style{Reader: l.reader}
	if l.task {
		style = figure.Style{Reader: l.reader, Width: 660, Height: 380, Readable: true}
	}
	scene := w.Scene(i, style)
	if l.task {
		scene.Marks = slices.DeleteFunc(scene.Marks, func(m figure.Mark) bool { return m.Role == "now" })
	}
	return l.book.palette.SVG(&scene)
}

// explorer writes what was set, what comes out, and the figures of it.
func (l *leaf) explorer(w util.BufWriter, n *lesson.Explorer, entering bool) error {
	if entering {
		class := ""
		switch figures := len(n.Result.Work.Calculator.Figures); {
		case figures == 1:
			class = " single"
		case figures > 2:
			class = " long" // needs a page or more
		}
		return write(w, `<figure class="explorer`, class, `" id="`, escape(n.ID), `"><figcaption>`)
	}
	work := n.Result.Work
	var b strings.Builder
	b.WriteString(`</figcaption><div class="sheet"><table><caption>` + l.say("What was set") + "</caption>")
	for _, i := range told(work) {
		row(&b, l.reader.Say(work.Calculator.Inputs[i].Label), work.InputText(i, l.reader))
	}
	b.WriteString(`</table><table class="results"><caption>` + l.say("What comes out") + "</caption>")
	for i := range work.Outputs {
		if out := &work.Calculator.Outputs[i]; !work.Moot[i] {
			row(&b, l.reader.Say(out.Label), l.reader.Quantity(work.Outputs[i], out.Shown))
		}
	}
	b.WriteString(`</table></div><div class="plates">`)
	for i := range work.Calculator.Figures {
		b.WriteString(`<div class="plate"><p class="name">` + l.say(work.Calculator.Figures[i].Title) + "</p>" + l.drawing(work, i) + "</div>")
	}
	b.WriteString("</div>")
	if site := l.book.Course.Site.Address; site != "" {
		address := site + l.entry.Address + "#" + n.ID + pairs(work)
		b.WriteString(`<div class="online"><p><a href="` + escape(address) + `">` + l.say("Move it yourself"))
		if l.paper {
			b.WriteString(": " + escape(address) + "</a></p>" + string(code(address)) + "</div>")
		} else {
			b.WriteString("</a></p></div>")
		}
	}
	b.WriteString(`<p class="fine">` + escape(work.Calculator.Warning(l.reader)) + "</p></figure>\n")
	return write(w, b.String())
}

// told are the inputs worth telling: those given, and those without which nobody knows what was worked out; not what a
// preset has filled in.
func told(w *kit.Work) []int {
	preset := make(map[string]bool)
	for _, p := range w.Calculator.Presets {
		for _, s := range p.Sets {
			preset[s.Input] = true
		}
	}
	var list []int
	for i := range w.Inputs {
		if v := &w.Inputs[i]; v.Given || v.Set && !preset[w.Calculator.Inputs[i].Name] {
			list = append(list, i)
		}
	}
	return list
}

func row(b *strings.Builder, label, value string) {
	b.WriteString(`<tr><th scope="row">` + escape(label) + "</th><td>" + escape(value) + "</td></tr>")
}

// pairs is the state of a calculation as an explorer's address has it.
func pairs(w *kit.Work) string {
	_, query, found := strings.Cut(w.Canonical(), "?")
	if !found {
		return ""
	}
	return "?" + query
}
