package proof

import (
	"math"
	"strings"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/cmd/internal/expression"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/lesson"
)

// closeEnough is how far a worked step may be from what the calculator gives, relative to it. Both compute the same
// formula in another order.
const closeEnough = 1e-6

// step reads a worked step, puts the state's values in, and compares with the output.
func (c *checker) step(s *lesson.Step) {
	r, ok := c.state(&s.Target, s.Span, s.Question)
	if !ok || !c.derive(&s.Target, s.Comparison, s.Span, s.Question, &r) {
		return
	}
	f, err := expression.Parse(s.Formula)
	if err != nil {
		c.formula(s, err, "")
		return
	}
	symbols := symbolsOf(r.Work, c.reader)
	value, err := f.Work(func(name string) (float64, bool) { v, ok := symbols.find(name); return v.si, ok })
	if err != nil {
		c.formula(s, err, fault.Meant("", symbols.names()))
		return
	}
	if math.Abs(value-r.Value) > closeEnough*max(math.Abs(r.Value), 1e-9) {
		s.Disagree = r
		shown := finer(r.Shown)
		wrong := c.lesson.At(lesson.Span{Start: s.FormulaAt, End: s.FormulaAt + len(s.Formula)}, "wrong-step",
			"the formula gives "+c.reader.Quantity(value, shown)+", the calculator "+c.reader.Quantity(r.Value, shown),
			"correct the formula, or link to the output that it works out")
		wrong.Notes = []fault.Note{{Text: "put in: " + symbols.put(f)}}
		c.faults.Add(wrong)
		return
	}
	s.Symbols = f.MathML(nil)
	s.Values = f.MathML(func(name string) (expression.Quantity, bool) { v, ok := symbols.find(name); return v.text, ok })
	r.Text = c.reader.Quantity(r.Value, r.Shown)
	s.Result = r
}

func (c *checker) formula(s *lesson.Step, err error, hint string) {
	e := err.(*expression.Error)
	if e.Hint != "" {
		hint = e.Hint
	}
	at := s.FormulaAt + e.Offset
	c.fault(lesson.Span{Start: at, End: at + max(1, e.Length)}, "formula", e.Text, hint)
}

// symbols are the letters that a state gives values to.
type symbols []symbol

type symbol struct {
	name string
	si   float64
	text expression.Quantity
}

func symbolsOf(w *kit.Work, r *quantity.Reader) symbols {
	var list symbols
	add := func(name string, si float64, kind quantity.Kind) {
		if name != "" {
			list = append(list, symbol{name, si, inSI(si, kind, r)})
		}
	}
	for i := range w.Inputs {
		if in := &w.Calculator.Inputs[i]; w.Inputs[i].Set && !in.IsWord() {
			add(in.Symbol, w.Inputs[i].Number, w.Inputs[i].Kind)
		}
	}
	for i := range w.Outputs {
		add(w.Calculator.Outputs[i].Symbol, w.Outputs[i], w.Calculator.Outputs[i].Shown.Kind)
	}
	add("g", quantity.StandardGravity, quantity.Acceleration)
	add("π", math.Pi, quantity.Number)
	return list
}

func (s symbols) find(name string) (symbol, bool) {
	for _, one := range s {
		if expression.Same(one.name, name) {
			return one, true
		}
	}
	return symbol{}, false
}

// put lists the values that a formula was worked out with.
func (s symbols) put(f *expression.Formula) string {
	var list []string
	for _, name := range f.Symbols() {
		if one, ok := s.find(name); ok {
			list = append(list, name+" = "+quantity.Join(one.text.Number, one.text.Unit))
		}
	}
	if len(list) == 0 {
		return "no symbols"
	}
	return strings.Join(list, ", ")
}

func (s symbols) names() []string {
	names := make([]string, len(s))
	for i := range s {
		names[i] = s[i].name
	}
	return names
}

// inSI writes a value in its SI unit, because a formula that is shown with values must work out as it stands. It has
// four significant digits, without trailing zeros.
func inSI(si float64, kind quantity.Kind, r *quantity.Reader) expression.Quantity {
	unit := ""
	if list := quantity.Symbols(kind); len(list) > 0 && kind != quantity.Share {
		unit = r.Say(quantity.Must(kind, list[0]).Shown)
	}
	decimals := 0
	for scale := math.Abs(si); scale > 0 && scale < 1000 && decimals < 6; scale *= 10 {
		decimals++
	}
	for decimals > 0 && math.Abs(si-roundTo(si, decimals-1)) <= 1e-9*math.Abs(si) {
		decimals--
	}
	return expression.Quantity{Number: r.Locale.Format(si, decimals), Unit: unit}
}

func roundTo(v float64, decimals int) float64 {
	p := math.Pow10(decimals)
	return math.Round(v*p) / p
}
