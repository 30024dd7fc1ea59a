package page

import (
	"math"
	"slices"
	"strings"

	"github.com/yuin/goldmark/util"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/cmd/internal/lesson"
)

// practice is what the script needs to judge an answer: the calculation, the output, how exact, and what to draw. Scale
// and Imperial are the SI values of the units in which it is asked for, Shown says how it is shown in them.
type practice struct {
	Query, Output, Value, Scale, Imperial, Units, Within, Draws string
	Shown                                                       quantity.Shown
}

// road is the picture of a bet on where a bike stops: the reader sets a cone on it.
type road struct {
	*Frame
	Most, Step string // SI: its far end, and how finely the cone is set
	Ticks      []piece
}

// question writes a self-test. Its answer is looked up at once by the script, and stands below without one.
func (b *body) question(w util.BufWriter, n *lesson.Question, entering bool) error {
	if !entering {
		return b.leave(w)
	}
	return b.enter(w, "question", piece{ID: n.ID, Bets: betOn(n), Practice: newPractice(n),
		Draws: len(n.Draws) > 0, Words: wordsMark})
}

// betOn is the explorer that a question stands right before: the reader bets on what it will show.
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
	imperial, _ := r.Shown.In(quantity.Imperial)
	return &practice{Query: r.Work.Canonical(), Output: r.Work.Calculator.Outputs[r.Output].Name, Value: plain(r.Value),
		Scale: plain(unit.Scale), Imperial: plain(imperial.Scale), Units: units(r.Shown.Kind),
		Within: a.Other, Draws: strings.Join(draws, ";"), Shown: r.Shown}
}

// newRoad is the road of the explorer that a number is a bet on, if its film shows where that number is.
func (b *body) newRoad(n *lesson.Number) *road {
	e, ok := n.Question.NextSibling().(*lesson.Explorer)
	if !ok || n.Result.Output < 0 || e.Result.Work == nil {
		return nil
	}
	c := e.Result.Work.Calculator
	if n.Result.Work.Calculator != c || c.Film == nil {
		return nil
	}
	for i := range c.Figures {
		scene := n.Result.Work.Scene(i, figure.Style{Bare: true})
		if axis, runs, ok := scene.Along(c.Outputs[n.Result.Output].Name); ok && runs == "distance" {
			return b.layRoad(n.Result, axis)
		}
	}
	return nil
}

// roads are lengths that a road may have, as shares of a power of ten, and into how many parts its ticks cut it.
var roads = []struct{ length, parts float64 }{{1, 4}, {1.5, 3}, {2, 4}, {3, 3}, {4, 4}, {6, 3}, {8, 4}, {10, 4}}

// layRoad makes a road so much longer than the answer that its end says nothing about that.
func (b *body) layRoad(r lesson.Result, axis figure.Axis) *road {
	const longer = 1.6
	power := math.Pow(10, math.Floor(math.Log10(longer*r.Value)))
	i := slices.IndexFunc(roads, func(of struct{ length, parts float64 }) bool {
		return of.length*power >= longer*r.Value
	})
	most := roads[i].length * power
	v := &road{Frame: &b.page.Frame, Most: plain(most), Step: plain(most / 120)}
	for k := range int(roads[i].parts) + 1 {
		at := most * float64(k) / roads[i].parts
		tick := func(reader *quantity.Reader) string { return reader.Quantity(at, axis.Shown) }
		v.Ticks = append(v.Ticks, b.both(piece{}, tick))
	}
	return v
}

// choice writes one choice.
func (b *body) choice(w util.BufWriter, n *lesson.Choice, entering bool) error {
	if !entering {
		return b.leave(w)
	}
	q := n.Parent().Parent().(*lesson.Question)
	return b.enter(w, "choice", piece{Name: q.ID, Right: n.Right, Several: q.Rights() > 1, Words: wordsMark})
}

// explanation is folded away until it is asked for.
func (b *body) explanation(w util.BufWriter, n *lesson.Explanation, entering bool) error {
	if !entering {
		return b.leave(w)
	}
	v := piece{Words: wordsMark}
	if q, ok := n.Parent().(*lesson.Question); ok && q.Answer != nil && q.Answer.Result.Work != nil {
		r := &q.Answer.Result
		v.Href = b.state(r.Work)
		v = b.both(v, func(reader *quantity.Reader) string { return reader.Quantity(r.Value, r.Shown) })
	}
	return b.enter(w, "explanation", v)
}

// units are those in which an answer of a kind may be written, with their SI values: "m 1;ft 0.3048". A unit whose zero
// is not that of SI, such as °C, is left out.
func units(kind quantity.Kind) string {
	var list []string
	for _, symbol := range quantity.Symbols(kind) {
		if u := quantity.Must(kind, symbol); u.SI(0) == 0 {
			list = append(list, symbol+" "+plain(u.Scale))
		}
	}
	return strings.Join(list, ";")
}
