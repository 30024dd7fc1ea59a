package lesson

import (
	"strings"

	"github.com/yuin/goldmark/ast"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/cmd/internal/fault"
)

// Target is a calc: destination taken apart, and where it stands.
type Target struct {
	Raw    string // as written, calc: and all
	At     int    // offset of Raw in the source
	Exact  bool   // every byte of Raw is one of the source: no escapes, no wrapped lines
	Query  kit.Query
	Output string // before the first ; of the fragment
	Rest   string // behind it
	Faults kit.Faults
}

// Result is what a calculation gave for a piece. Reading leaves it empty; checking fills it in, and with a fault in
// the piece it stays empty.
type Result struct {
	Work   *kit.Work      // the state that the link names
	Output int            // index of the output in it; -1 where the link names none
	Other  *kit.Work      // the state on the right side of a relation, if it is one
	Value  float64        // the number itself: SI, a ratio, or a fraction
	Shown  quantity.Shown // how Value is shown
	Text   string         // what the page shows to a metric reader: as written, or filled in
}

// Checked is what checking a piece gave: a result, or what was worked out although the piece says otherwise.
type Checked struct {
	Result   Result
	Disagree Result // with a fault in what is written; empty without
}

func newTarget(a address) Target {
	t := Target{Raw: a.text, At: a.at, Exact: a.exact}
	t.Query, t.Faults = kit.Parse(a.text)
	t.Output, t.Rest, _ = strings.Cut(t.Query.Fragment, ";")
	return t
}

// Place is where a part of the destination stands, from and to in bytes of Raw.
func (t *Target) Place(whole Span, from, to int) Span {
	if !t.Exact {
		return whole
	}
	return Span{t.At + from, t.At + to}
}

// Relation is how a derived number or a claim compares two states.
type Relation string

// The relations. Times, Minus and Change make numbers, the others claims; Within is a question's tolerance.
const (
	None        Relation = ""
	Times       Relation = "times"
	Minus       Relation = "minus"
	Change      Relation = "change"
	Within      Relation = "within"
	LongerThan  Relation = "longer-than"
	ShorterThan Relation = "shorter-than"
	MoreThan    Relation = "more-than"
	LessThan    Relation = "less-than"
	AtLeast     Relation = "at-least"
	AtMost      Relation = "at-most"
	SameAs      Relation = "same-as"
)

// relations are what may stand behind the first ; of a fragment.
var relations = []Relation{Times, Minus, Change, Within, LongerThan, ShorterThan, MoreThan, LessThan, AtLeast, AtMost, SameAs}

// IsClaim reports whether the relation holds or not, rather than being a number.
func (r Relation) IsClaim() bool {
	switch r {
	case None, Times, Minus, Change, Within:
		return false
	}
	return true
}

// Comparison is the right side of what a link says: "times;speed=50km/h".
type Comparison struct {
	Relation Relation
	Other    string // changes laid over the query, a quantity, or a tolerance
	OtherAt  int    // where Other begins, in bytes of the target's Raw
}

// comparison takes what follows the output apart. A relation that does not exist is a fault of the target.
func (t *Target) comparison() Comparison {
	if t.Rest == "" {
		return Comparison{}
	}
	name, other, _ := strings.Cut(t.Rest, ";")
	at := t.Query.FragmentAt + len(t.Output) + 1
	names := make([]string, len(relations))
	for i, r := range relations {
		if name == string(r) {
			return Comparison{r, other, at + len(name) + 1}
		}
		names[i] = string(r)
	}
	t.Faults = append(t.Faults, kit.Fault{Offset: at, Length: len(name), Text: "there is no relation " + quote(name),
		Hint: fault.Meant(name, names)})
	return Comparison{}
}

// calculation is a calc: link: a number, a claim, a worked step, or a value that a question draws.
func (c *collector) calculation(parent ast.Node, n *ast.Link, a address) {
	t := newTarget(a)
	if t.Query.Calculator == "" && t.Query.FragmentAt >= 0 && len(t.Query.Pairs) == 0 {
		c.drawn(parent, n, a, t)
		return
	}
	with := t.comparison()
	code, ok := alone(n).(*ast.CodeSpan)
	switch {
	case with.Relation.IsClaim():
		c.claim(parent, n, &Claim{inline: inline{Span: a.whole}, Target: t, Comparison: with})
	case ok:
		c.step(parent, n, code, &Step{inline: inline{Span: a.whole}, Target: t, Comparison: with, FormulaAt: a.words.Start, Question: c.question})
	default:
		c.number(parent, n, &Number{inline: inline{Span: a.whole}, Target: t, Comparison: with, WrittenSpan: a.words, Question: c.question})
	}
}
