package page

import (
	"strconv"
	"strings"

	"github.com/yuin/goldmark/util"

	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/cmd/internal/lesson"
)

// Question opens a self-test. Its answer is looked up at once by the script, and stands below without one.
func (b *writer) Question(w util.BufWriter, n *lesson.Question, entering bool) error {
	if entering {
		return say(w, `<div class="question" role="group" id="`, n.ID, `" aria-labelledby="`, n.ID, `-name"`, b.practice(n), `><h3 class="question-name" id="`, n.ID, `-name">`,
			escape(b.frame.Say("Ask yourself")), "</h3>\n")
	}
	again := ""
	if len(n.Draws) > 0 {
		again = `<button class="press scripted" type="button" data-do="again">` + escape(b.frame.Say("Other numbers")) + "</button>"
	}
	return say(w, `<p class="verdict" role="status"></p>`, again, "</div>\n")
}

// practice is what the script needs to judge an answer: the calculation, the output, how exact, and what to draw.
func (b *writer) practice(n *lesson.Question) string {
	a := n.Answer
	if a == nil || a.Result.Work == nil || a.Result.Output < 0 {
		return ""
	}
	r := &a.Result
	unit, _ := r.Shown.In(quantity.Metric)
	draws := make([]string, len(n.Draws))
	for i, d := range n.Draws {
		draws[i] = strings.Join([]string{d.Input, plain(d.From), plain(d.To), plain(d.Step), d.Unit}, " ")
	}
	return ` data-query="` + escape(r.Work.Canonical()) + `" data-output="` + r.Work.Calculator.Outputs[r.Output].Name +
		`" data-value="` + plain(r.Value) + `" data-scale="` + plain(unit.Scale) + `" data-within="` + escape(a.Other) + `" data-draws="` + escape(strings.Join(draws, ";")) + `"`
}

// Choices opens the list of choices.
func (b *writer) Choices(w util.BufWriter, n *lesson.Choices, entering bool) error {
	if !entering {
		return say(w, "</ul>\n")
	}
	return say(w, `<ul class="choices">`)
}

// Choice writes one choice. Several right ones make boxes to tick; a single one, a choice of one.
func (b *writer) Choice(w util.BufWriter, n *lesson.Choice, entering bool) error {
	if !entering {
		return say(w, "</span></label></li>\n")
	}
	q := n.Parent().Parent().(*lesson.Question)
	rights := 0
	for _, c := range q.Choices {
		if c.Right {
			rights++
		}
	}
	kind := "radio"
	if rights > 1 {
		kind = "checkbox"
	}
	return say(w, `<li><label class="choice" data-right="`, strconv.FormatBool(n.Right), `"><input type="`, kind, `" name="`, q.ID, `"><span>`)
}

// Reason writes why a choice is right or wrong; it is seen once the choice is made.
func (b *writer) Reason(w util.BufWriter, n *lesson.Reason, entering bool) error {
	if entering {
		return say(w, `<span class="reason"> — `)
	}
	return say(w, "</span>")
}

// Explanation is folded away until it is asked for.
func (b *writer) Explanation(w util.BufWriter, n *lesson.Explanation, entering bool) error {
	if !entering {
		return say(w, "</details>\n")
	}
	q, _ := n.Parent().(*lesson.Question)
	answer := ""
	if q != nil && q.Answer != nil && q.Answer.Result.Work != nil {
		answer = `<p class="unscripted">` + b.answer(q.Answer) + "</p>"
	}
	return say(w, `<details class="more why"><summary>`, escape(b.frame.Say("Answer and why")), "</summary>", answer)
}

// answer is the number that a question asks for, for readers without the script.
func (b *writer) answer(n *lesson.Number) string {
	r := &n.Result
	return `<a class="checked" href="` + escape(b.state(r.Work)) + `">` + escape(b.frame.Quantity(r.Value, r.Shown)) + "</a>"
}
