package lesson

import (
	"fmt"
	"strings"

	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/util"
)

// A piece is a node of the tree that is more than text. Each kind has a file of its own, which holds what it is, how it
// is read out of goldmark's nodes, and how it is handed to the page.
type piece interface {
	ast.Node
	write(w util.BufWriter, p Pieces, entering bool) (ast.WalkStatus, error)
}

// kinds are the kinds of all pieces, for the renderer.
var kinds = []ast.NodeKind{
	KindNumber, KindClaim, KindStep, KindDrawn, KindExplorer, KindFigure, KindTerm, KindCitation, KindCaution,
	KindQuestion, KindChoices, KindChoice, KindReason, KindExplanation, KindLink, KindImage,
}

// once writes a piece whose children the page does not show.
func once(entering bool, write func() error) (ast.WalkStatus, error) {
	if !entering {
		return ast.WalkContinue, nil
	}
	return ast.WalkSkipChildren, write()
}

// inline gives a piece within a line its place in the tree and in the source.
type inline struct {
	ast.BaseInline
	Span Span // of the whole link in the source
}

// block does so for a piece that stands by itself.
type block struct {
	ast.BaseBlock
	Span Span
}

// Dump prints the piece's own source, for debugging.
func (n *inline) Dump(source []byte, level int) { dump(source, level, n.Span) }

// Dump prints the piece's own source, for debugging.
func (n *block) Dump(source []byte, level int) { dump(source, level, n.Span) }

func dump(source []byte, level int, s Span) {
	fmt.Printf("%s%q\n", strings.Repeat("    ", level), source[s.Start:s.End])
}

// replace puts a piece in the place of a node, with the node's children.
func (c *collector) replace(parent, old, piece ast.Node) {
	for n := old.FirstChild(); n != nil; {
		next := n.NextSibling()
		piece.AppendChild(piece, n)
		n = next
	}
	parent.ReplaceChild(parent, old, piece)
	c.children(piece)
}
