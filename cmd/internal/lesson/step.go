package lesson

import (
	"github.com/yuin/goldmark/ast"
)

// Step is a worked step of a formula: [`v²/(2·µ·g)`](calc:stop?speed=60km/h#braking-distance).
type Step struct {
	inline
	Target
	Comparison
	Formula   string
	FormulaAt int
	Question  *Question

	// Filled in by checking: MathML of the formula, and of it with its values.
	Symbols, Values string
	Checked
}

func (n *Step) words() string { return n.Formula }

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
