package formula

import (
	"bytes"
	_ "embed"
	"html"
	"strings"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/parser"
	"github.com/yuin/goldmark/renderer"
	"github.com/yuin/goldmark/text"
	"github.com/yuin/goldmark/util"
)

// StyleSheet has the few rules that formulas need beside MathML Core.
//
//go:embed formula.css
var StyleSheet string

// Extension finds formulas in CommonMark text.
//
// A formula in a line stands between single dollar signs: no white space follows the first, none precedes the last, and
// no digit follows the last. So "$5 and $6", "5 $" and "$5–$6" are prices and stay text. A backslash makes a dollar
// sign a dollar, \$, outside of a formula and within. A formula binds as tightly as a code span: whichever begins first
// is taken whole, but a dollar sign before a code span does not reach over it.
//
// A formula that is a block of its own begins a line with $$ and ends one with $$, on the same line or on a later one
// before the next empty line. In the midst of a paragraph, a formula between $$ is a mistake, not text.
//
// Wherever there is no formula by these rules, text is left as it is.
var Extension goldmark.Extender = extender{}

type extender struct{}

func (extender) Extend(m goldmark.Markdown) {
	m.Parser().AddOptions(
		parser.WithBlockParsers(util.Prioritized(blockParser{}, 650)),   // before fences
		parser.WithInlineParsers(util.Prioritized(inlineParser{}, 150)), // after code spans, before links
	)
	m.Renderer().AddOptions(renderer.WithNodeRenderers(util.Prioritized(nodeRenderer{}, 500)))
}

// A Source is the TeX of a formula and where it stands.
type Source struct {
	TeX      string
	Segments []text.Segment // of the file, one a line; they make up TeX
	MathML   string         // empty if there are Mistakes
	Mistakes []Mistake      // with offsets into TeX
}

func newSource(source []byte, segments []text.Segment, display bool) Source {
	var b strings.Builder
	for _, s := range segments {
		b.Write(source[s.Start:s.Stop])
	}
	f := Source{TeX: b.String(), Segments: segments}
	f.MathML, f.Mistakes = Convert(f.TeX, display)
	return f
}

// Offset returns where in the file a byte of the TeX stands.
func (f *Source) Offset(tex int) int {
	at := 0
	for _, s := range f.Segments {
		at = s.Start + tex
		if tex < s.Len() {
			break
		}
		tex -= s.Len()
	}
	if last := len(f.Segments) - 1; last >= 0 {
		return min(at, f.Segments[last].Stop)
	}
	return at
}

// Kinds of the nodes that the extension adds to a syntax tree.
var (
	KindInline = ast.NewNodeKind("FormulaInline")
	KindBlock  = ast.NewNodeKind("FormulaBlock")
)

// Inline is a formula in a line of text.
type Inline struct {
	ast.BaseInline
	Source
}

// Kind implements ast.Node.
func (n *Inline) Kind() ast.NodeKind { return KindInline }

// Dump implements ast.Node.
func (n *Inline) Dump(source []byte, level int) { ast.DumpHelper(n, source, level, nil, nil) }

// Block is a formula that is a block of its own.
type Block struct {
	ast.BaseBlock
	Source
	whole bool // its closing $$ was read
}

// Kind implements ast.Node.
func (n *Block) Kind() ast.NodeKind { return KindBlock }

// IsRaw implements ast.Node: nothing in a formula is Markdown.
func (n *Block) IsRaw() bool { return true }

// Dump implements ast.Node.
func (n *Block) Dump(source []byte, level int) { ast.DumpHelper(n, source, level, nil, nil) }

type nodeRenderer struct{}

func (nodeRenderer) RegisterFuncs(r renderer.NodeRendererFuncRegisterer) {
	r.Register(KindInline, func(w util.BufWriter, _ []byte, n ast.Node, entering bool) (ast.WalkStatus, error) {
		if entering {
			_, _ = w.WriteString(n.(*Inline).html())
		}
		return ast.WalkSkipChildren, nil
	})
	r.Register(KindBlock, func(w util.BufWriter, _ []byte, n ast.Node, entering bool) (ast.WalkStatus, error) {
		if entering {
			_, _ = w.WriteString(`<div class="formula-block">` + n.(*Block).html() + "</div>\n")
		}
		return ast.WalkSkipChildren, nil
	})
}

// html returns the MathML, or the TeX, for its author to see, where there are mistakes.
func (f *Source) html() string {
	if len(f.Mistakes) > 0 {
		return `<code class="formula-fault">` + html.EscapeString(strings.TrimSpace(f.TeX)) + "</code>"
	}
	return f.MathML
}

var delimiter = []byte("$$")

// dollars counts the dollar signs that line begins with.
func dollars(line []byte) int { return len(line) - len(bytes.TrimLeft(line, "$")) }
