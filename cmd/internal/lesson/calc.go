package lesson

import (
	"strings"
	"unicode"

	"github.com/yuin/goldmark/ast"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/cmd/internal/fault"
)

// relations are what may stand behind the first ; of a fragment.
var relations = []Relation{Times, Minus, Change, Within, LongerThan, ShorterThan, MoreThan, LessThan, AtLeast, AtMost, SameAs}

func relationNames() []string {
	names := make([]string, len(relations))
	for i, r := range relations {
		names[i] = string(r)
	}
	return names
}

// IsClaim reports whether the relation holds or not, rather than being a number.
func (r Relation) IsClaim() bool {
	switch r {
	case None, Times, Minus, Change, Within:
		return false
	}
	return true
}

// about are the words that may stand before a checked number, in the languages that the interface speaks.
var about = []string{"about", "≈", "~", "etwa", "rund", "ca.", "circa", "लगभग", "क़रीब", "करीब", "حوالي", "نحو", "تقريبًا"}

func (c *collector) target(a address) Target {
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

// calculation is a calc: link: a number, a claim, a worked step, or a value that a question draws.
func (c *collector) calculation(parent ast.Node, n *ast.Link, a address) {
	t := c.target(a)
	if t.Query.Calculator == "" && t.Query.FragmentAt >= 0 && len(t.Query.Pairs) == 0 {
		c.drawn(parent, n, a, t)
		return
	}
	relation, other, otherAt := t.relation()
	if code, ok := alone(n).(*ast.CodeSpan); ok && !relation.IsClaim() {
		c.step(parent, n, code, &Step{inline: inline{Span: a.whole}, Target: t, FormulaAt: a.words.Start,
			Relation: relation, Other: other, OtherAt: otherAt, Question: c.question})
		return
	}
	if relation.IsClaim() {
		claim := &Claim{inline: inline{Span: a.whole}, Target: t, Relation: relation, Other: other, OtherAt: otherAt}
		c.lesson.Claims = append(c.lesson.Claims, claim)
		c.replace(parent, n, claim)
		return
	}
	c.number(parent, n, &Number{inline: inline{Span: a.whole}, Target: t, WrittenSpan: a.words,
		Relation: relation, Other: other, OtherAt: otherAt, Question: c.question})
}

// relation takes "times;speed=50km/h" apart. A relation that there is not is a fault of the target.
func (t *Target) relation() (r Relation, other string, otherAt int) {
	if t.Rest == "" {
		return None, "", 0
	}
	name, other, _ := strings.Cut(t.Rest, ";")
	at := t.Query.FragmentAt + len(t.Output) + 1
	for _, r := range relations {
		if name == string(r) {
			return r, other, at + len(name) + 1
		}
	}
	t.Faults = append(t.Faults, kit.Fault{Offset: at, Length: len(name), Text: "there is no relation " + quote(name), Hint: fault.Meant(name, relationNames())})
	return None, "", 0
}

func (c *collector) number(parent ast.Node, link *ast.Link, n *Number) {
	text := c.lesson.Plain(link)
	n.Prefix, n.Written = cutAbout(text)
	if at := strings.Index(c.lesson.Text(n.WrittenSpan), n.Written); at >= 0 && n.Written != "" {
		n.WrittenSpan = Span{n.WrittenSpan.Start + at, n.WrittenSpan.Start + at + len(n.Written)}
	}
	c.lesson.Words += words([]byte(text))
	c.lesson.Numbers = append(c.lesson.Numbers, n)
	parent.ReplaceChild(parent, link, n)
	if n.Relation != Within {
		return
	}
	switch q := n.Question; {
	case q == nil:
		c.fault(n.Span, "within", "only a question asks for a number within a tolerance", "put it into a question fence, or leave ;within;… out")
	case q.Answer != nil:
		c.fault(n.Span, "two-answers", "this question asks for a number already", "ask one number a question")
	default:
		q.Answer = n
	}
}

// cutAbout takes "about " off, with the space behind it.
func cutAbout(text string) (prefix, rest string) {
	for _, word := range about {
		if after, found := strings.CutPrefix(text, word); found {
			rest = strings.TrimLeftFunc(after, unicode.IsSpace)
			return text[:len(text)-len(rest)], rest
		}
	}
	return "", text
}

func (c *collector) step(parent ast.Node, link *ast.Link, code *ast.CodeSpan, s *Step) {
	s.Formula = c.lesson.Plain(code)
	if text, ok := code.FirstChild().(*ast.Text); ok {
		s.FormulaAt = text.Segment.Start
	}
	if s.Relation == Within {
		c.fault(s.Span, "within", "a worked step has no tolerance", "leave ;within;… out")
	}
	c.lesson.Steps = append(c.lesson.Steps, s)
	parent.ReplaceChild(parent, link, s)
}

func (c *collector) drawn(parent ast.Node, link *ast.Link, a address, t Target) {
	d := &Drawn{inline: inline{Span: a.whole}, Input: t.Query.Fragment, Written: c.lesson.Plain(link), WrittenSpan: a.words, Question: c.question}
	if c.question == nil {
		c.fault(a.whole, "drawn", "only a question draws values", "name the calculator: calc:NAME?…")
	} else {
		c.question.Drawn = append(c.question.Drawn, d)
	}
	parent.ReplaceChild(parent, link, d)
}
