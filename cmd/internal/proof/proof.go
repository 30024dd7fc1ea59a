// Package proof works out what a lesson claims: checked numbers, claims between two states, worked steps, and the
// numbers that questions ask for. What is right gets its Result; what is wrong is a fault that says both values.
package proof

import (
	"errors"
	"regexp"
	"slices"
	"strings"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/lesson"
	"example.org/gripleaf/cmd/internal/locale"
	"example.org/gripleaf/cmd/internal/sum"
)

// Check works a lesson out. It fills in the Result of every piece that has no fault.
func Check(l *lesson.Lesson, words *locale.Locale, book *sum.Book) fault.List {
	c := &checker{lesson: l, reader: words.Reader(quantity.Metric), filled: words.Reader(words.Units), book: book}
	for _, q := range l.Questions {
		c.draws(q)
	}
	for _, n := range l.Numbers {
		c.number(n)
	}
	for _, s := range l.Steps {
		c.step(s)
	}
	for _, k := range l.Claims {
		c.claim(k)
	}
	for _, e := range l.Explorers {
		for _, state := range append([]*lesson.Explorer{e}, e.Beside...) {
			if w := c.work(&state.Target, state.Span, nil); w != nil {
				state.Result = lesson.Result{Work: w, Output: -1}
			}
		}
	}
	for _, f := range l.Figures {
		c.figure(f)
	}
	return c.faults
}

type checker struct {
	lesson *lesson.Lesson
	reader *quantity.Reader
	filled *quantity.Reader // of numbers that are left to be filled in
	book   *sum.Book
	faults fault.List
}

func (c *checker) fault(s lesson.Span, code, text, hint string) {
	c.faults.Add(c.lesson.At(s, code, text, hint))
}

// UnknownCalculator is the code of faults in links to a calculator that there is not.
const UnknownCalculator = "unknown-calculator"

// kit adds what the calculators found wrong with a query that was parsed from the target's Raw.
func (c *checker) kit(t *lesson.Target, whole lesson.Span, err error) {
	var faults kit.Faults
	var code fault.Fault // in a calculator's own code
	switch {
	case errors.As(err, &code):
		here := c.lesson.At(whole, "", "", "")
		code.Notes = append(slices.Clone(code.Notes), fault.Note{File: here.File, Line: here.Line, Column: here.Column, Text: "worked out for this"})
		c.faults.Add(code)
		return
	case !errors.As(err, &faults):
		c.fault(whole, "calculation", err.Error(), "")
		return
	}
	for _, f := range faults {
		kind := "calculation"
		if f.Offset == t.Query.At && f.Length > 0 {
			kind = UnknownCalculator
		}
		at := whole
		if f.Length > 0 || f.Offset > 0 {
			at = t.Place(whole, f.Offset, f.Offset+max(f.Length, 1))
		}
		text, hint := f.Text, f.Hint
		if from, to := f.Offset, f.Offset+f.Length; 0 <= from && from < to && to <= len(t.Raw) {
			text, hint = cause(t.Raw[from:to], text, hint)
		}
		c.fault(at, kind, text, hint)
	}
}

// commaFirst is what is left of a number that was written with a decimal comma.
var commaFirst = regexp.MustCompile(`^[,٫]\p{Nd}`)

// cause says more plainly what is wrong with a value of a link.
func cause(value, text, hint string) (string, string) {
	switch {
	case commaFirst.MatchString(value):
		return "a link has a point in its numbers, whatever the language", "write . for the comma"
	case strings.HasPrefix(value, "-") && strings.Contains(text, "out of range"):
		return text, "leave the minus out, or " + hint
	}
	return text, hint
}

// work works a target's state out, with what a question draws put in; nil after a fault.
func (c *checker) work(t *lesson.Target, whole lesson.Span, q *lesson.Question) *kit.Work {
	if len(t.Faults) > 0 {
		c.kit(t, whole, t.Faults)
		return nil
	}
	query := t.Query
	query.Pairs = make([]kit.Pair, len(t.Query.Pairs))
	for i, p := range t.Query.Pairs {
		if strings.Contains(p.Value, "..") {
			d := q.Draw(p.Name)
			if d == nil {
				c.fault(t.Place(whole, p.ValueAt, p.End), "range", "a range of values is for questions", "write one value")
				return nil
			}
			p.Value = d.Shown
		}
		query.Pairs[i] = p
	}
	w, err := c.book.Work(query)
	if err != nil {
		c.kit(t, whole, err)
		return nil
	}
	return w
}

// output finds the output that a target names; -1 after a fault.
func (c *checker) output(t *lesson.Target, whole lesson.Span, w *kit.Work) int {
	if t.Output == "" {
		c.fault(t.Place(whole, len(t.Raw), len(t.Raw)), "no-output", "this link does not say which number it means",
			"add # and one of "+strings.Join(w.Calculator.OutputNames(), ", "))
		return -1
	}
	i, ok := w.Calculator.Output(t.Output)
	if !ok {
		at := t.Query.FragmentAt
		c.fault(t.Place(whole, at, at+len(t.Output)), "unknown-output", w.Calculator.ID+" has no output "+quote(t.Output),
			fault.Meant(t.Output, w.Calculator.OutputNames()))
		return -1
	}
	return i
}

// state works out the target and the output that it names.
func (c *checker) state(t *lesson.Target, whole lesson.Span, q *lesson.Question) (lesson.Result, bool) {
	w := c.work(t, whole, q)
	if w == nil {
		return lesson.Result{}, false
	}
	i := c.output(t, whole, w)
	if i < 0 {
		return lesson.Result{}, false
	}
	if w.Moot[i] {
		at := t.Place(whole, t.Query.FragmentAt, t.Query.FragmentAt+len(t.Output))
		c.fault(at, "moot", w.Calculator.Outputs[i].Name+" says nothing in this state", "link to another number, or give the input that it needs")
		return lesson.Result{}, false
	}
	return lesson.Result{Work: w, Output: i, Value: w.Outputs[i], Shown: w.Calculator.Outputs[i].Shown}, true
}

// changed works out the state on the right side of a relation: changes laid over the target's query.
func (c *checker) changed(t *lesson.Target, whole lesson.Span, other string, otherAt int, q *lesson.Question) *kit.Work {
	changes, faults := kit.Parse("x?" + other)
	shift := func(at int) int { return at - len("x?") + otherAt }
	query := kit.Query{Calculator: t.Query.Calculator, At: t.Query.At, FragmentAt: -1}
	for _, p := range t.Query.Pairs {
		if d := q.Draw(p.Name); d != nil && strings.Contains(p.Value, "..") {
			p.Value = d.Shown
		}
		if !slices.ContainsFunc(changes.Pairs, func(c kit.Pair) bool { return c.Name == p.Name }) {
			query.Pairs = append(query.Pairs, p)
		}
	}
	for _, p := range changes.Pairs {
		p.At, p.End, p.ValueAt = shift(p.At), shift(p.End), shift(p.ValueAt)
		query.Pairs = append(query.Pairs, p)
	}
	for i := range faults {
		faults[i].Offset = shift(faults[i].Offset)
	}
	if len(faults) > 0 {
		c.kit(t, whole, faults)
		return nil
	}
	w, err := c.book.Work(query)
	if err != nil {
		c.kit(t, whole, err)
		return nil
	}
	return w
}

func (c *checker) figure(f *lesson.Figure) {
	w := c.work(&f.Target, f.Span, nil)
	if w == nil {
		return
	}
	i, ok := w.Calculator.Figure(f.Name)
	if !ok {
		at := f.Query.FragmentAt
		c.fault(f.Place(f.Span, at, at+len(f.Name)), "unknown-figure", w.Calculator.ID+" has no figure "+quote(f.Name),
			fault.Meant(f.Name, w.Calculator.FigureNames()))
		return
	}
	f.Result = lesson.Result{Work: w, Output: i}
}

func quote(s string) string { return `"` + s + `"` }
