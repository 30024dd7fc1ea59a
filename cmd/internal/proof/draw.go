package proof

import (
	"math"
	"strconv"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/cmd/internal/lesson"
)

// draws settles the value that each drawn input has without a seed: what the question's text says, or the first.
func (c *checker) draws(q *lesson.Question) {
	if q.Answer == nil {
		return
	}
	calculator, known := c.book.Set().Find(q.Answer.Query.Calculator)
	if !known {
		return
	}
	for i := range q.Draws {
		d := &q.Draws[i]
		d.Shown = number(d.From) + d.Unit
		k, ok := calculator.Input(d.Input)
		if !ok {
			continue // the query itself reports it
		}
		c.ends(d, &calculator.Inputs[k])
		for _, drawn := range q.Drawn {
			if drawn.Input == d.Input {
				c.shown(d, drawn, &calculator.Inputs[k])
			}
		}
	}
}

func number(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// ends checks that both ends of a range are values of the input, so that a practice set never meets a fault.
func (c *checker) ends(d *lesson.Draw, in *kit.Input) {
	if in.IsWord() {
		c.fault(d.Span, "range", in.Name+" is a word and cannot be drawn from a range", "write one of its words")
		return
	}
	for _, end := range []float64{d.From, d.To} {
		text := number(end) + d.Unit
		if q, err := quantity.Parse(text, in.Shown.Kind); err == nil && !(in.Min <= q.Value && q.Value <= in.Max) {
			c.fault(d.Span, "range", text+" is out of the range of "+in.Name, "draw from values that "+in.Name+" may have")
		}
	}
}

func (c *checker) shown(d *lesson.Draw, drawn *lesson.Drawn, in *kit.Input) {
	q, err := quantity.ParseWritten(drawn.Written, c.reader.Locale, in.Shown.Kind)
	if err != nil {
		c.fault(drawn.WrittenSpan, "drawn", err.Error(), "write a value of the range, such as "+d.Shown)
		return
	}
	unit, ok := quantity.Find(in.Shown.Kind, d.Unit)
	if !ok {
		return // the query itself reports it
	}
	v := unit.From(q.Value)
	steps := (v - d.From) / d.Step
	if v < d.From-1e-9 || v > d.To+1e-9 || math.Abs(steps-math.Round(steps)) > 1e-6 {
		c.fault(drawn.WrittenSpan, "drawn", quote(drawn.Written)+" is not a value that the question draws",
			"write one from "+number(d.From)+" to "+number(d.To)+" in steps of "+number(d.Step)+" "+d.Unit)
		return
	}
	d.Shown = number(math.Round(v*1e9)/1e9) + d.Unit
}
