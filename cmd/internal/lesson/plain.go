package lesson

import (
	"bufio"
	"bytes"
	"html"

	"github.com/yuin/goldmark/ast"
	renderer "github.com/yuin/goldmark/renderer/html"

	"example.org/gripleaf/cmd/internal/formula"
)

// Plain is the text of a node's children as a reader sees it: no markup, escapes and entities resolved, lines joined.
func (l *Lesson) Plain(n ast.Node) string {
	return string(l.AppendPlain(nil, n))
}

// AppendPlain appends what Plain gives to b.
func (l *Lesson) AppendPlain(b []byte, parent ast.Node) []byte {
	for n := parent.FirstChild(); n != nil; n = n.NextSibling() {
		b = l.appendNode(b, n)
	}
	return b
}

func (l *Lesson) appendNode(b []byte, n ast.Node) []byte {
	switch n := n.(type) {
	case *ast.Text:
		value := n.Segment.Value(l.Source.Text)
		if n.IsRaw() {
			b = append(b, value...)
		} else {
			b = appendUnescaped(b, value)
		}
		if n.SoftLineBreak() || n.HardLineBreak() {
			b = append(b, ' ')
		}
	case *ast.String:
		b = appendUnescaped(b, n.Value)
	case *ast.AutoLink:
		b = append(b, n.Label(l.Source.Text)...)
	case *ast.CodeSpan:
		for t := n.FirstChild(); t != nil; t = t.NextSibling() {
			b = append(b, t.(*ast.Text).Segment.Value(l.Source.Text)...)
		}
	case wordless:
		b = append(b, n.words()...)
	case *formula.Inline:
		b = append(b, n.TeX...)
	case *ast.RawHTML:
	default:
		if n.Type() == ast.TypeBlock && n.PreviousSibling() != nil { // a word does not run on from one item or cell into the next
			b = append(b, ' ')
		}
		b = l.AppendPlain(b, n)
	}
	return b
}

// unescape resolves backslashes and entities (CommonMark 0.31, 2.4 and 2.5).
func unescape(text []byte) string { return string(appendUnescaped(nil, text)) }

// appendUnescaped appends what unescape gives. Few texts have anything to resolve; those go the way that they go to the
// page.
func appendUnescaped(b, text []byte) []byte {
	if bytes.IndexByte(text, '\\') < 0 && bytes.IndexByte(text, '&') < 0 {
		return append(b, text...)
	}
	var page bytes.Buffer
	w := bufio.NewWriterSize(&page, 2*len(text))
	renderer.DefaultWriter.Write(w, text)
	_ = w.Flush() // into memory
	return append(b, html.UnescapeString(page.String())...)
}
