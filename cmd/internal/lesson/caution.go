package lesson

import (
	"strings"
)

// Caution is a fence of that name with Markdown in it.
type Caution struct {
	block
	fence
}

func (c *collector) caution(n *Caution) {
	c.lesson.Cautions = append(c.lesson.Cautions, n)
	c.unclosed(&n.fence, n.Span)
	c.children(n)
	if strings.TrimSpace(c.lesson.Plain(n)) == "" {
		c.fault(n.Span, "empty-caution", "this caution says nothing",
			"say between the fences what can happen, and how to keep it from happening")
	}
}
