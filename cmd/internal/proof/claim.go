package proof

import (
	"math"
	"strings"

	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/cmd/internal/lesson"
)

// claim checks a relation between a state and another one, or a quantity.
func (c *checker) claim(k *lesson.Claim) {
	r, ok := c.state(&k.Target, k.Span, nil)
	if !ok {
		return
	}
	var other float64
	if strings.Contains(k.Other, "=") {
		r.Other = c.changed(&k.Target, k.Span, k.Other, k.OtherAt, nil)
		if r.Other == nil {
			return
		}
		other = r.Other.Outputs[r.Output]
	} else {
		q, err := quantity.Parse(k.Other, r.Shown.Kind)
		if e, ok := err.(*quantity.Error); ok {
			at := k.OtherAt + e.Offset
			c.fault(k.Place(k.Span, at, at+max(1, e.Length)), "claim", e.Text, "write a change of this state, such as speed=50km/h, or so much, such as 40m")
			return
		}
		other = q.Value
	}
	if !holds(k.Relation, r.Value, other, r.Shown) {
		c.fault(k.Span, "wrong-claim", quote(c.lesson.Plain(k))+" does not hold: "+c.reader.Quantity(r.Value, r.Shown)+" is not "+
			strings.ReplaceAll(string(k.Relation), "-", " ")+" "+c.reader.Quantity(other, r.Shown), "correct the words, or change the link")
		return
	}
	r.Text = c.lesson.Plain(k)
	k.Result = r
}

// Right is the value on the right side of a claim that holds.
func Right(k *lesson.Claim) float64 {
	if k.Result.Other != nil {
		return k.Result.Other.Outputs[k.Result.Output]
	}
	q, _ := quantity.Parse(k.Other, k.Result.Shown.Kind)
	return q.Value
}

func holds(relation lesson.Relation, a, b float64, shown quantity.Shown) bool {
	switch relation {
	case lesson.LongerThan, lesson.MoreThan:
		return a > b
	case lesson.ShorterThan, lesson.LessThan:
		return a < b
	case lesson.AtLeast:
		return a >= b
	case lesson.AtMost:
		return a <= b
	}
	// the same to a metric reader: within half of the last place shown
	u, decimals := shown.In(quantity.Metric)
	return math.Abs(u.From(a)-u.From(b)) <= 0.5*math.Pow10(-decimals)
}
