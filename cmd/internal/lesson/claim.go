package lesson

import (
	"strings"

	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/util"
)

// Claim is words that hold if a relation between two states does:
// [longer](calc:antilock?channels=both#stopping-distance;longer-than;channels=none).
type Claim struct {
	inline
	Target
	Comparison
	Checked
}

// KindClaim is the kind of a Claim.
var KindClaim = ast.NewNodeKind("Claim")

// Kind implements ast.Node.
func (*Claim) Kind() ast.NodeKind { return KindClaim }

func (n *Claim) write(w util.BufWriter, p Pieces, entering bool) (ast.WalkStatus, error) {
	return ast.WalkContinue, p.Claim(w, n, entering)
}

func (c *collector) claim(parent ast.Node, link *ast.Link, n *Claim) {
	c.lesson.Claims = append(c.lesson.Claims, n)
	if strings.TrimSpace(c.lesson.Plain(link)) == "" {
		c.fault(n.Span, "no-words", "this claim has no words", "write between the square brackets what the calculation shows, such as longer")
	}
	c.replace(parent, link, n)
}
