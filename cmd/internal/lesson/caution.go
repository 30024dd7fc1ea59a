package lesson

import (
	"strings"

	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/util"
)

// Caution is a fence of that name with Markdown in it.
type Caution struct {
	block
	fence
}

// KindCaution is the kind of a Caution.
var KindCaution = ast.NewNodeKind("Caution")

// Kind implements ast.Node.
func (*Caution) Kind() ast.NodeKind { return KindCaution }

func (n *Caution) write(w util.BufWriter, p Pieces, entering bool) (ast.WalkStatus, error) {
	return ast.WalkContinue, p.Caution(w, n, entering)
}

func (c *collector) caution(n *Caution) {
	c.lesson.Cautions = append(c.lesson.Cautions, n)
	c.unclosed(&n.fence, n.Span)
	c.children(n)
	if strings.TrimSpace(c.lesson.Plain(n)) == "" {
		c.fault(n.Span, "empty-caution", "this caution says nothing", "say between the fences what can happen, and how to keep it from happening")
	}
}
