package page

import (
	"strings"

	"github.com/yuin/goldmark/util"

	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/cmd/internal/lesson"
)

// practice is what the script needs to judge an answer: the calculation, the output, how exact, and what to draw.
type practice struct{ Query, Output, Value, Scale, Units, Within, Draws string }

// Question writes a self-test. Its answer is looked up at once by the script, and stands below without one.
func (b *body) Question(w util.BufWriter, n *lesson.Question, entering bool) error {
	if !entering {
		return b.leave(w)
	}
	return b.enter(w, "question", &piece{Frame: &b.page.Frame, ID: n.ID, Bets: betOn(n), Practice: newPractice(n), Draws: len(n.Draws) > 0, Words: wordsMark})
}

// betOn is the explorer that a question stands right before: who reads bets on what it will show.
func betOn(n *lesson.Question) string {
	if e, ok := n.NextSibling().(*lesson.Explorer); ok {
		return e.ID
	}
	return ""
}

func newPractice(n *lesson.Question) *practice {
	a := n.Answer
	if a == nil || a.Result.Work == nil || a.Result.Output < 0 {
		return nil
	}
	r := &a.Result
	unit, _ := r.Shown.In(quantity.Metric)
	draws := make([]string, len(n.Draws))
	for i, d := range n.Draws {
		draws[i] = strings.Join([]string{d.Input, plain(d.From), plain(d.To), plain(d.Step), d.Unit}, " ")
	}
	return &practice{r.Work.Canonical(), r.Work.Calculator.Outputs[r.Output].Name, plain(r.Value), plain(unit.Scale), units(r.Shown.Kind), a.Other, strings.Join(draws, ";")}
}

// Choices writes the list of choices.
func (b *body) Choices(w util.BufWriter, _ *lesson.Choices, entering bool) error {
	return b.plain(w, "choices", entering)
}

// Choice writes one choice.
func (b *body) Choice(w util.BufWriter, n *lesson.Choice, entering bool) error {
	if !entering {
		return b.leave(w)
	}
	q := n.Parent().Parent().(*lesson.Question)
	rights := 0
	for _, c := range q.Choices {
		if c.Right {
			rights++
		}
	}
	return b.enter(w, "choice", &piece{Name: q.ID, Right: n.Right, Several: rights > 1, Words: wordsMark})
}

// Reason writes why a choice is right or wrong; it is seen once the choice is made.
func (b *body) Reason(w util.BufWriter, _ *lesson.Reason, entering bool) error {
	return b.plain(w, "reason", entering)
}

// Explanation is folded away until it is asked for.
func (b *body) Explanation(w util.BufWriter, n *lesson.Explanation, entering bool) error {
	if !entering {
		return b.leave(w)
	}
	v := piece{Frame: &b.page.Frame, Words: wordsMark}
	if q, ok := n.Parent().(*lesson.Question); ok && q.Answer != nil && q.Answer.Result.Work != nil {
		r := &q.Answer.Result
		v.Href = b.state(r.Work)
		b.both(&v, func(reader *quantity.Reader) string { return reader.Quantity(r.Value, r.Shown) })
	}
	return b.enter(w, "explanation", &v)
}

// units are those in which an answer of a kind may be written, with their SI values: "m 1;ft 0.3048". A unit that does not
// begin at nought is left out.
func units(kind quantity.Kind) string {
	var list []string
	for _, symbol := range quantity.Symbols(kind) {
		if u := quantity.Must(kind, symbol); u.SI(0) == 0 {
			list = append(list, symbol+" "+plain(u.Scale))
		}
	}
	return strings.Join(list, ";")
}
