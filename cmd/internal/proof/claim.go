package proof

import (
	"math"
	"regexp"
	"strings"
	"unicode"

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
			c.fault(k.Place(k.Span, at, at+max(1, e.Length)), "claim", e.Text,
				"write a change of this state, such as speed=50km/h, or so much, such as 40m")
			return
		}
		other = q.Value
	}
	if !c.claimed(k, r.Shown) {
		return
	}
	if !holds(k.Relation, r.Value, other, r.Shown) {
		k.Disagree = r
		c.fault(k.Span, "wrong-claim", quote(c.lesson.Plain(k))+" does not hold: "+c.reader.Quantity(r.Value, r.Shown)+" is not "+
			strings.ReplaceAll(string(k.Relation), "-", " ")+" "+c.reader.Quantity(other, r.Shown), "correct the words, or change the link")
		return
	}
	r.Text = c.lesson.Plain(k)
	k.Result = r
}

// claimed checks the words of a claim: a number in them must be the one that is compared with, and they must not say
// the contrary.
func (c *checker) claimed(k *lesson.Claim, shown quantity.Shown) bool {
	words := c.lesson.Plain(k)
	if at := strings.IndexFunc(words, unicode.IsDigit); at >= 0 {
		if !c.names(words[at:], k, shown) {
			c.fault(k.Span, "claim-number", "the number in "+quote(words)+" is not the one that is compared with",
				"write the same number behind ;"+string(k.Relation)+";, or leave it out of the words and check it by itself")
			return false
		}
	}
	if word := contrary(words, k.Relation, shown.Kind); word != "" {
		c.fault(k.Span, "claim-words", quote(word)+" says the contrary of "+strings.ReplaceAll(string(k.Relation), "-", " "),
			"correct the words, or the relation")
		return false
	}
	return true
}

// amountFirst is a number at the beginning of a text, and the word behind it, which may be its unit.
var amountFirst = regexp.MustCompile(`^(\p{Nd}(?:[\p{Nd}.,٫٬\x{00a0}\x{202f}]*\p{Nd})?)[ \x{00a0}\x{202f}]?([^\s\p{Nd}.,;:!?()]*)(.*)$`)

// names reports whether the number that a text begins with is the quantity on a claim's right side, and the only one.
func (c *checker) names(text string, k *lesson.Claim, shown quantity.Shown) bool {
	right, err := quantity.Parse(k.Other, shown.Kind)
	if err != nil {
		return false // another state, which no number names
	}
	m := amountFirst.FindStringSubmatch(text)
	if m == nil || strings.IndexFunc(m[3], unicode.IsDigit) >= 0 {
		return false
	}
	for _, unit := range []string{m[2], right.Unit.Symbol} {
		q, err := quantity.ParseWritten(m[1]+" "+unit, c.reader.Locale, shown.Kind)
		if err == nil && math.Abs(Margin(right.Value, q)) <= 0.5+1e-9 {
			return true
		}
	}
	return false
}

// opposites are words that say more and less of something, and those that turn them round, in the languages that the
// interface speaks. Words for faster and slower are not among them: a faster stop takes less time.
var opposites = struct{ more, less, longer, shorter, not *regexp.Regexp }{
	more:    regexp.MustCompile(`(?i)\b(more|higher|greater|larger|bigger|mehr|höher|größer)\b|ज़्यादा|अधिक|أكثر|أكبر|أعلى`),
	less:    regexp.MustCompile(`(?i)\b(less|lower|smaller|fewer|weniger|niedriger|kleiner|geringer)\b|कम|أقل|أصغر|أدنى`),
	longer:  regexp.MustCompile(`(?i)\b(longer|länger)\b|लंबी|लंबा|أطول`),
	shorter: regexp.MustCompile(`(?i)\b(shorter|kürzer)\b|छोटी|छोटा|أقصر`),
	not:     regexp.MustCompile(`(?i)\b(not|no|never|nor|n't|nicht|kein\pL*|nie|weder)\b|नहीं|لا |ليس|لن `),
}

// contrary finds a word that says the contrary of a relation; "" if there is none.
func contrary(words string, relation lesson.Relation, kind quantity.Kind) string {
	says, against := opposites.more, opposites.less
	long, short := opposites.longer, opposites.shorter
	switch relation {
	case lesson.ShorterThan, lesson.LessThan, lesson.AtMost:
		says, against, long, short = against, says, short, long
	case lesson.SameAs:
		return ""
	}
	extends := kind == quantity.Length || kind == quantity.Time
	if opposites.not.MatchString(words) || says.MatchString(words) || extends && long.MatchString(words) {
		return ""
	}
	if word := against.FindString(words); word != "" {
		return word
	}
	if extends {
		return short.FindString(words)
	}
	return ""
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
