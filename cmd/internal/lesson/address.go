package lesson

import (
	"bytes"

	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/util"
)

// address is a destination as it stands in the source.
type address struct {
	text  string // escapes and entities resolved
	at    int    // offset of its first byte; of the link where it is not found
	exact bool   // every byte of text is one of the source
	whole Span   // the link, brackets and all
	words Span   // what stands between the square brackets
}

// span is a part of the destination, from and to in bytes of its text.
func (a address) span(from, to int) Span {
	if !a.exact {
		return a.whole
	}
	return Span{a.at + from, a.at + to}
}

// address finds a link or an image in the source. The tree says where it begins and where its words end; its
// destination is the first that follows a "](" behind them, or that of the definition which it refers to.
func (c *collector) address(n ast.Node, destination, title []byte, reference *ast.ReferenceLink) address {
	source := c.lesson.Source.Text
	start := max(n.Pos(), 0)
	first := min(start+len("["), len(source))
	if n.Kind() == ast.KindImage {
		first = min(start+len("!["), len(source))
	}
	last := max(first, lastText(n))
	a := address{text: unescape(destination), at: start}
	if reference != nil {
		a.whole, a.words = Span{start, min(last+1, len(source))}, Span{first, last}
		if at := c.defined(reference, destination); at >= 0 {
			a.at, a.exact = at, len(a.text) == len(destination)
		}
		return a
	}
	rest := source[last:min(len(source), last+2*mostLine)]
	bracket, at := target(rest, destination)
	if bracket < 0 {
		a.whole, a.words = Span{start, last}, Span{first, last}
		return a
	}
	a.at, a.exact = last+at, len(a.text) == len(destination)
	a.words = Span{first, last + bracket}
	end := at + len(destination)
	if i := bytes.Index(rest[end:], title); i > 0 {
		end += i + len(title)
	}
	if i := bytes.IndexByte(rest[end:], ')'); i >= 0 {
		end += i + 1
	}
	a.whole = Span{start, last + end}
	return a
}

// target finds a destination behind a "](" of a text, and that bracket; both are negative if it is not there.
func target(text, destination []byte) (bracket, at int) {
	for from := 0; ; {
		i := bytes.Index(text[from:], []byte("]("))
		if i < 0 {
			return -1, -1
		}
		from += i + len("](")
		inner := bytes.TrimPrefix(util.TrimLeftSpace(text[from:]), []byte("<"))
		if bytes.HasPrefix(inner, destination) {
			return from - len("]("), len(text) - len(inner)
		}
	}
}

// lastText is where the last text within a node ends.
func lastText(n ast.Node) int {
	for c := n.LastChild(); c != nil; c = c.PreviousSibling() {
		if t, ok := c.(*ast.Text); ok {
			return t.Segment.Stop
		}
		if end := lastText(c); end > 0 {
			return end
		}
	}
	return 0
}

// defined is where the definition that a link refers to has its destination; negative if it is not found.
func (c *collector) defined(reference *ast.ReferenceLink, destination []byte) int {
	if c.definitions == nil {
		c.definitions = make(map[string]*ast.LinkReferenceDefinition)
		_ = ast.Walk(c.lesson.Body, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
			if d, ok := n.(*ast.LinkReferenceDefinition); ok && entering {
				if label := util.ToLinkReference(d.Label); c.definitions[label] == nil { // the first counts
					c.definitions[label] = d
				}
			}
			return ast.WalkContinue, nil
		})
	}
	d := c.definitions[util.ToLinkReference(reference.Value)]
	if d == nil || d.Lines().Len() == 0 {
		return -1
	}
	lines, source := d.Lines(), c.lesson.Source.Text
	at := min(lines.At(0).Start+len(d.Label), len(source)) // behind the label, in which the same words may stand
	i := bytes.Index(source[at:lines.At(lines.Len()-1).Stop], destination)
	if i < 0 {
		return -1
	}
	return at + i
}
