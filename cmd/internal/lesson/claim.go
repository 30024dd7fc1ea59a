package lesson

import (
	"strings"

	"github.com/yuin/goldmark/ast"
)

// Claim is words that hold if a relation between two states does:
// [longer](calc:antilock?channels=both#stopping-distance;longer-than;channels=none).
type Claim struct {
	inline
	Target
	Comparison
	Checked
}

func (c *collector) claim(parent ast.Node, link *ast.Link, n *Claim) {
	c.lesson.Claims = append(c.lesson.Claims, n)
	if strings.TrimSpace(c.lesson.Plain(link)) == "" {
		c.fault(n.Span, "no-words", "this claim has no words",
			"write between the square brackets what the calculation shows, such as longer")
	}
	c.replace(parent, link, n)
}
