package page

import (
	"errors"
	"html/template"
	"slices"
	"strconv"
	"strings"

	"github.com/yuin/goldmark/util"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/calculators/standard"
	"example.org/gripleaf/calculators/test"
	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/lesson"
)

// writer writes the pieces of one lesson.
type writer struct {
	printer   *Printer
	frame     *frame
	entry     *course.Entry
	lesson    *lesson.Lesson
	cited     []cited
	explained map[string]bool // terms whose meaning the page holds already
	after     string          // what follows the caption of the explorer that is being written
}

// cited is a source that the lesson cites, with its number on the page.
type cited struct {
	*course.Source
	Number int
	Places []string
}

var escape = template.HTMLEscapeString

func say(w util.BufWriter, parts ...string) error {
	for _, p := range parts {
		if _, err := w.WriteString(p); err != nil {
			return err
		}
	}
	return nil
}

// state is the link to a calculation: to an explorer of this page if one has the calculator, or to the calculator's own page.
func (b *writer) state(w *kit.Work) string {
	id, pairs, _ := strings.Cut(w.Canonical(), "?")
	for _, e := range b.lesson.Explorers {
		if e.Result.Work != nil && e.Result.Work.Calculator == w.Calculator {
			return "#" + e.ID + "?" + pairs
		}
	}
	return b.frame.In("calculators/" + id + ".html#" + id + "?" + pairs)
}

// both is a text for metric readers with the imperial one beside it, as attributes.
func both(metric, imperial string) string {
	if metric == imperial {
		return ""
	}
	return ` data-imperial="` + escape(imperial) + `"`
}

func (b *writer) imperial() *quantity.Reader { return b.entry.Language.Reader(quantity.Imperial) }

// Number writes a checked number as a link to its state, or the field of a question.
func (b *writer) Number(w util.BufWriter, n *lesson.Number) error {
	r := &n.Result
	if n.Question != nil && n.Question.Answer == n {
		return b.field(w, n)
	}
	if r.Work == nil {
		return say(w, escape(n.Prefix+n.Written))
	}
	return say(w, `<a class="checked" href="`, escape(b.state(r.Work)), `" title="`, escape(b.origin(r)), `"`,
		both(r.Text, n.Prefix+b.imperial().Quantity(r.Value, r.Shown)), ">", escape(r.Text), "</a>")
}

// origin says in a few words where a number is from.
func (b *writer) origin(r *lesson.Result) string {
	c := r.Work.Calculator
	text := b.frame.Say(c.Title)
	if r.Output >= 0 {
		text += ": " + b.frame.Say(c.Outputs[r.Output].Label)
	}
	return text
}

// field is where a reader writes the number that a question asks for.
func (b *writer) field(w util.BufWriter, n *lesson.Number) error {
	r := &n.Result
	if r.Work == nil {
		return say(w, "…")
	}
	id := n.Question.ID + "-answer"
	unit := b.frame.UnitName(r.Shown)
	return say(w, `<span class="answer"><span class="blank unscripted">……………</span><input class="scripted" id="`, id, `" type="text" inputmode="decimal" autocomplete="off" aria-label="`,
		escape(b.frame.Say("Your answer")), `"> <span class="answer-unit"`, both(unit, b.imperial().UnitName(r.Shown)), ">", escape(unit),
		`</span> <button class="press scripted" type="button" data-do="check">`, escape(b.frame.Say("Check")), "</button></span>")
}

// Step writes a formula, the same with its values put in, and what comes out. It is worked in SI, as its formula wants
// it; readers of other units get the result in theirs as well.
func (b *writer) Step(w util.BufWriter, n *lesson.Step) error {
	r := &n.Result
	if r.Work == nil {
		return say(w, "<code>", escape(n.Formula), "</code>")
	}
	spoken, also := n.Formula+" = "+r.Text, ""
	if imperial := b.imperial().Quantity(r.Value, r.Shown); imperial != r.Text {
		also = " = " + imperial
	}
	return say(w, `<a class="step" href="`, escape(b.state(r.Work)), `"><span class="aside"`, both(spoken, spoken+also), ">", escape(spoken),
		// Three formulas, so that a narrow page can break the line between them.
		`</span><math aria-hidden="true">`, n.Symbols, `</math><math aria-hidden="true"><mo>=</mo>`, n.Values, `</math><math aria-hidden="true"><mo>=</mo><mtext>`, escape(r.Text), `</mtext></math><span aria-hidden="true"`, both("", also), "></span></a>")
}

// Drawn writes a value that practice draws anew.
func (b *writer) Drawn(w util.BufWriter, n *lesson.Drawn) error {
	imperial := n.Written
	if n.Question != nil && n.Question.Answer != nil {
		if work := n.Question.Answer.Result.Work; work != nil {
			if i, ok := work.Calculator.Input(n.Input); ok {
				imperial = work.InputText(i, b.imperial())
			}
		}
	}
	return say(w, `<span class="drawn" data-draw="`, escape(n.Input), `"`, both(n.Written, imperial), ">", escape(n.Written), "</span>")
}

// Image writes a picture of the site with its size, so that nothing moves when it arrives.
func (b *writer) Image(w util.BufWriter, n *lesson.Image) error {
	src, size := n.Destination, ""
	if p, ok := b.printer.assets.Pictures[b.entry.Picture(n.Destination)]; ok {
		src = b.frame.To(p.Path)
		if p.Width > 0 {
			size = ` width="` + strconv.Itoa(p.Width) + `" height="` + strconv.Itoa(p.Height) + `"`
		}
	}
	title := ""
	if n.Title != "" {
		title = ` title="` + escape(n.Title) + `"`
	}
	return say(w, `<img class="picture" src="`, escape(src), `" alt="`, escape(n.Alt), `"`, title, size, ` loading="lazy" decoding="async">`)
}

// Claim writes words that hold because one calculation gave more than another.
func (b *writer) Claim(w util.BufWriter, n *lesson.Claim, entering bool) error {
	if n.Result.Work == nil {
		return nil
	}
	if !entering {
		return say(w, "</a>")
	}
	return say(w, `<a class="claim" href="`, escape(b.state(n.Result.Work)), `" title="`, escape(b.origin(&n.Result)), `">`)
}

// Explorer writes a calculator at its first state, worked out.
func (b *writer) Explorer(w util.BufWriter, n *lesson.Explorer, entering bool) error {
	if n.Result.Work == nil {
		return nil
	}
	if !entering {
		return say(w, b.after)
	}
	v := b.printer.explorer(b.frame, n.ID, n.Result.Work)
	v.Caption = captionMark
	var html strings.Builder
	if err := b.printer.execute(&html, "explorer", v); err != nil {
		return err
	}
	before, after, _ := strings.Cut(html.String(), string(captionMark))
	b.after = after
	return say(w, before)
}

// captionMark stands in a template's output for the caption, whose words are written by the lesson's renderer.
const captionMark template.HTML = "\x00"

// Figure writes one figure with its caption and its numbers.
func (b *writer) Figure(w util.BufWriter, n *lesson.Figure, entering bool) error {
	work := n.Result.Work
	if work == nil {
		return nil
	}
	i, ok := work.Calculator.Figure(n.Name)
	if !ok {
		return nil
	}
	if !entering {
		return say(w, "</figcaption></figure></gripleaf-figure>\n")
	}
	p := plate{b.frame.Reader, work.Plate(i, b.frame.Reader)}
	var numbers strings.Builder
	if err := b.printer.execute(&numbers, "numbers", p); err != nil {
		return err
	}
	name := escape(p.Name)
	return say(w, `<gripleaf-figure class="lone" id="`, escape(n.ID), `" data-query="`, escape(work.Canonical()), `" data-figure="`, name, `"><figure class="plate" data-figure="`, name, `">`,
		`<div class="plate-drawing">`, p.SVG, `</div><p class="lone-tools"><a class="press" href="`, escape(b.state(work)), `">`, escape(b.frame.Say("Move it yourself")),
		`</a> <button class="press scripted" type="button" data-do="stage">`, escape(b.frame.Say("On stage")), "</button></p>",
		numbers.String(), "<figcaption>")
}

// explorer makes the view of an explorer that stands on a page.
func (p *Printer) explorer(f *frame, id string, w *kit.Work) *explorerView {
	v := newExplorer(id, w, f.Reader)
	v.Page = f.In("calculators/" + w.Calculator.ID + ".html")
	v.Embed = f.In("calculators/" + w.Calculator.ID + "-embed.html")
	_, ours := standard.Set.Find(w.Calculator.ID)
	v.Own = !ours
	if w.Calculator.ID == test.Calculator.ID {
		v.Logged, v.LoggedScript = f.Assets.Logged, f.Assets.LoggedJS
	}
	return v
}

// Term writes a word of the glossary with its meaning at hand.
func (b *writer) Term(w util.BufWriter, n *lesson.Term, entering bool) error {
	t, ok := b.entry.Language.Term(n.ID)
	if !ok {
		return nil
	}
	if !entering {
		return say(w, "</a>")
	}
	if err := say(w, `<a class="term" href="`, b.frame.In("glossary.html#"), escape(n.ID), `" data-term="`, escape(n.ID), `"`); err != nil || b.explained[n.ID] {
		return errors.Join(err, say(w, ">"))
	}
	b.explained[n.ID] = true
	return say(w, ` data-name="`, escape(t.Term), `" data-means="`, escape(t.HTML), `">`)
}

// Citation writes a link to the page's list of sources.
func (b *writer) Citation(w util.BufWriter, n *lesson.Citation, entering bool) error {
	s, ok := b.printer.course.Source(n.ID)
	if !ok {
		return nil
	}
	if !entering {
		return say(w, "</a>")
	}
	i := b.cite(s, n.Place)
	if err := say(w, `<a class="cite" href="#source-`, strconv.Itoa(i), `" title="`, escape(s.Title), `">`); err != nil || n.Words != "" {
		return err
	}
	return say(w, escape(s.Short()))
}

func (b *writer) cite(s *course.Source, place string) int {
	i := slices.IndexFunc(b.cited, func(c cited) bool { return c.Source == s })
	if i < 0 {
		i = len(b.cited)
		b.cited = append(b.cited, cited{Source: s, Number: i + 1})
	}
	if c := &b.cited[i]; place != "" && !slices.Contains(c.Places, place) {
		c.Places = append(c.Places, place)
	}
	return i + 1
}

// Caution writes a safety note.
func (b *writer) Caution(w util.BufWriter, n *lesson.Caution, entering bool) error {
	if !entering {
		return say(w, "</aside>\n")
	}
	return say(w, `<aside class="caution" role="note"><p class="caution-name">`, escape(b.frame.Say("Caution")), "</p>\n")
}

// Link writes a link within the course or out into the web.
func (b *writer) Link(w util.BufWriter, n *lesson.Link, entering bool) error {
	if !entering {
		return say(w, "</a>")
	}
	title := ""
	if n.Title != "" {
		title = ` title="` + escape(n.Title) + `"`
	}
	return say(w, `<a href="`, escape(b.destination(n.Destination)), `"`, title, ">")
}

// Table lets a wide table scroll by itself and not the page.
func (b *writer) Table(w util.BufWriter, entering bool) error {
	if !entering {
		return say(w, "</div>")
	}
	return say(w, `<div class="scroll" tabindex="0" role="group" aria-label="`, escape(b.frame.Say("Table")), `">`)
}

// Heading adds the moment of the video at which the heading is spoken of.
func (b *writer) Heading(w util.BufWriter, h *lesson.Heading) error {
	if !h.Timed || b.entry.Video == nil {
		return nil
	}
	return say(w, ` <a class="moment" href="`, escape(b.entry.Video.AddressAt(h.At)), `" aria-label="`, escape(b.frame.Say("Watch from {}", clock(h.At))), `">▷ `, clock(h.At), "</a>")
}

// destination makes a link to another file of the course one to its page; others stay as they are.
func (b *writer) destination(to string) string {
	file, hash, found := strings.Cut(to, "#")
	if file == "" || !strings.HasSuffix(file, ".md") {
		return to
	}
	e := b.entry.Resolve(file)
	if e == nil {
		return to
	}
	if found {
		hash = "#" + hash
	}
	return b.frame.To(e.Address) + hash
}
