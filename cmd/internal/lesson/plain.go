package lesson

import (
	"strings"

	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/util"
)

// Plain is the text of a node's children as a reader sees it: no markup, escapes and entities resolved, lines joined.
func (l *Lesson) Plain(n ast.Node) string {
	var b strings.Builder
	l.plain(&b, n)
	return b.String()
}

func (l *Lesson) plain(b *strings.Builder, parent ast.Node) {
	for n := parent.FirstChild(); n != nil; n = n.NextSibling() {
		switch n := n.(type) {
		case *ast.Text:
			value := n.Segment.Value(l.Source.Text)
			if n.IsRaw() {
				b.Write(value)
			} else {
				b.WriteString(unescape(value))
			}
			if n.SoftLineBreak() || n.HardLineBreak() {
				b.WriteByte(' ')
			}
		case *ast.String:
			b.WriteString(unescape(n.Value))
		case *ast.AutoLink:
			b.Write(n.Label(l.Source.Text))
		case *ast.CodeSpan:
			for t := n.FirstChild(); t != nil; t = t.NextSibling() {
				b.Write(t.(*ast.Text).Segment.Value(l.Source.Text))
			}
		case *Number:
			b.WriteString(n.Prefix + n.Written)
		case *Drawn:
			b.WriteString(n.Written)
		case *Step:
			b.WriteString(n.Formula)
		case *Image:
			b.WriteString(n.Alt)
		case *ast.RawHTML:
		default:
			l.plain(b, n)
		}
	}
}

// unescape resolves backslashes and entities (CommonMark 0.31, 2.4 and 2.5).
func unescape(b []byte) string {
	b = util.UnescapePunctuations(b)
	b = util.ResolveNumericReferences(b)
	return string(util.ResolveEntityNames(b))
}
