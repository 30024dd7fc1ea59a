package proof

import (
	"cmp"
	"math"
	"regexp"
	"strconv"
	"strings"

	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/cmd/internal/lesson"
)

// How numbers between two states are shown when they are filled in.
var (
	ratio  = quantity.Shown{Kind: quantity.Number, MetricDecimals: 1}
	change = quantity.Shown{Kind: quantity.Share, Metric: "%"}
)

func (c *checker) number(n *lesson.Number) {
	r, ok := c.state(&n.Target, n.Span, n.Question)
	if !ok || !c.derive(&n.Target, n.Comparison, n.Span, n.Question, &r) {
		return
	}
	if n.Relation == lesson.Within {
		if !c.tolerance(n, r) {
			return
		}
	}
	if n.Written == "" {
		r.Text = n.Prefix + c.filled.Quantity(r.Value, r.Shown)
		n.Result = r
		return
	}
	written, ok := c.written(n, r.Shown.Kind)
	if !ok {
		return
	}
	if math.Abs(Margin(r.Value, written)) > 0.5+1e-9 {
		n.Disagree = r
		c.disagree(n, r, written)
		return
	}
	r.Shown = asWritten(r.Shown, written)
	r.Text = n.Prefix + n.Written
	n.Result = r
}

// derive turns a result into what its relation makes of it: a ratio, a difference, a change.
func (c *checker) derive(t *lesson.Target, with lesson.Comparison, whole lesson.Span, q *lesson.Question, r *lesson.Result) bool {
	if with.Relation == lesson.None || with.Relation == lesson.Within {
		return true
	}
	r.Other = c.changed(t, whole, with.Other, with.OtherAt, q)
	if r.Other == nil {
		return false
	}
	a, b := r.Value, r.Other.Outputs[r.Output]
	if with.Relation != lesson.Minus && b == 0 {
		c.fault(whole, "calculation", "the other state gives 0, and nothing can be divided by 0", "use ;minus;, or change the other state")
		return false
	}
	switch with.Relation {
	case lesson.Times:
		r.Value, r.Shown = a/b, ratio
	case lesson.Change:
		r.Value, r.Shown = (a-b)/b, change
	case lesson.Minus:
		r.Value = a - b
		if r.Shown.Kind == quantity.Temperature {
			r.Shown.Kind, r.Shown.Metric, r.Shown.Imperial = quantity.Warming, "K", "degF"
		}
	}
	return true
}

// tolerance checks what stands behind ;within;: a percentage, or a quantity of the output's kind.
func (c *checker) tolerance(n *lesson.Number, r lesson.Result) bool {
	within, err := tolerated(n, r)
	if err != nil {
		e := err.(*quantity.Error)
		c.fault(n.Place(n.Span, n.OtherAt+e.Offset, n.OtherAt+e.Offset+max(1, e.Length)), "within", e.Text,
			"write a percentage, such as 5%, or so much, such as 0.5m")
		return false
	}
	if within >= math.Abs(r.Value) && r.Value != 0 {
		c.fault(n.Place(n.Span, n.OtherAt, n.OtherAt+len(n.Other)), "within",
			"with this tolerance 0 would be a right answer", "write less, such as 5%")
		return false
	}
	return true
}

// tolerated is how far an answer may be off, in SI.
func tolerated(n *lesson.Number, r lesson.Result) (float64, error) {
	kind := r.Work.Calculator.Outputs[r.Output].Shown.Kind
	if share, ok := strings.CutSuffix(n.Other, "%"); ok && kind != quantity.Share {
		v, err := strconv.ParseFloat(share, 64)
		if err == nil && v > 0 {
			return math.Abs(r.Value) * v / 100, nil
		}
	}
	q, err := quantity.Parse(n.Other, kind)
	if err == nil && !(q.Value > 0) {
		err = &quantity.Error{Length: len(n.Other), Text: quote(n.Other) + " is no tolerance"}
	}
	return q.Value, err
}

// written reads what the author wrote, in a unit of the kind.
func (c *checker) written(n *lesson.Number, kind quantity.Kind) (quantity.Quantity, bool) {
	if kind == quantity.YesNo {
		return c.yesNo(n)
	}
	q, err := quantity.ParseWritten(n.Written, c.reader.Locale, kind)
	if e, ok := err.(*quantity.Error); ok {
		at := lesson.Span{Start: n.WrittenSpan.Start + e.Offset, End: n.WrittenSpan.Start + e.Offset + e.Length}
		if c.lesson.Text(n.WrittenSpan) != n.Written {
			at = n.Span
		}
		sign := string(cmp.Or(c.reader.Locale.Decimal, '.'))
		if m := decimals.FindStringSubmatch(n.Written); m != nil && m[2] != sign {
			c.fault(at, "written", quote(m[2])+" is not the decimal sign of this lesson's language", "write "+m[1]+sign+m[3])
			return q, false
		}
		c.fault(at, "written", e.Text, e.Hint)
		return q, false
	}
	return q, true
}

// decimals is a number as any language writes it, cut at its sign.
var decimals = regexp.MustCompile(`^([-−]?\p{Nd}+)([.,٫])(\p{Nd}.*)$`)

func (c *checker) yesNo(n *lesson.Number) (quantity.Quantity, bool) {
	unit := quantity.Must(quantity.YesNo, "")
	switch n.Written {
	case c.reader.Say("yes"):
		return quantity.Quantity{Value: 1, Unit: unit}, true
	case c.reader.Say("no"):
		return quantity.Quantity{Value: 0, Unit: unit}, true
	}
	c.fault(n.WrittenSpan, "written", quote(n.Written)+" is neither yes nor no", "write "+c.reader.Say("yes")+" or "+c.reader.Say("no"))
	return quantity.Quantity{}, false
}

// Margin is worked out minus written, in units of the last place that was written.
func Margin(si float64, q quantity.Quantity) float64 {
	return (q.Unit.From(si) - q.Unit.From(q.Value)) * math.Pow10(q.Decimals)
}

// asWritten shows a number to a metric reader as its author did.
func asWritten(s quantity.Shown, q quantity.Quantity) quantity.Shown {
	if q.Unit.Kind == quantity.YesNo || q.Unit.Symbol == "" && s.Kind == quantity.Share {
		return s
	}
	if _, ok := quantity.Find(s.Kind, q.Unit.Symbol); ok {
		s.Metric, s.MetricDecimals = q.Unit.Symbol, q.Decimals
	}
	return s
}

func (c *checker) disagree(n *lesson.Number, r lesson.Result, q quantity.Quantity) {
	worked := c.exact(r.Value, q, q.Decimals)
	closer := c.exact(r.Value, q, q.Decimals+2)
	hint := "write " + worked + ", or change the link"
	if opposite := -r.Value; r.Other != nil && math.Abs(Margin(opposite, q)) <= 0.5 {
		hint = "the sign is the other way round: swap the two states, or write " + worked
	}
	c.fault(n.WrittenSpan, "wrong-number", quote(n.Written)+" is written, "+closer+" is worked out", hint)
}

// exact prints a value in the unit that was written.
func (c *checker) exact(si float64, q quantity.Quantity, decimals int) string {
	if q.Unit.Kind == quantity.YesNo {
		return c.reader.Quantity(si, quantity.Shown{Kind: quantity.YesNo})
	}
	return quantity.Join(c.reader.Locale.Format(q.Unit.From(si), decimals), c.reader.Say(q.Unit.Shown))
}
