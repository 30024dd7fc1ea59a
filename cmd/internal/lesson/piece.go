package lesson

import (
	"fmt"
	"strings"

	"github.com/yuin/goldmark/ast"
)

// A piece is a node of the tree that is more than text. Each kind has a file of its own, which holds what it is and how
// it is read out of goldmark's nodes. What writes it is package page.

// KindPiece is the kind of all pieces, which their Go types tell apart.
var KindPiece = ast.NewNodeKind("Piece")

// wordless are the pieces that a page shows by themselves, without their children: numbers, steps, pictures.
type wordless interface {
	ast.Node
	words() string
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

// Kind implements ast.Node.
func (*inline) Kind() ast.NodeKind { return KindPiece }

// Kind implements ast.Node.
func (*block) Kind() ast.NodeKind { return KindPiece }

// Dump prints the piece's own source, for debugging.
func (n *inline) Dump(source []byte, level int) { dump(source, level, n.Span) }

// Dump prints the piece's own source, for debugging.
func (n *block) Dump(source []byte, level int) { dump(source, level, n.Span) }

func dump(source []byte, level int, s Span) {
	fmt.Printf("%s%q\n", strings.Repeat("    ", level), source[s.Start:s.End])
}

// adopt makes a node and all its siblings behind it children of another node.
func adopt(parent, first ast.Node) {
	for n := first; n != nil; {
		next := n.NextSibling()
		parent.AppendChild(parent, n)
		n = next
	}
}

// replace puts a piece in the place of a node, with the node's children.
func (c *collector) replace(parent, old, piece ast.Node) {
	adopt(piece, old.FirstChild())
	parent.ReplaceChild(parent, old, piece)
	c.children(piece)
}
