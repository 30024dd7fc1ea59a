package lesson

import (
	"bytes"
	"slices"
	"strings"

	"github.com/yuin/goldmark/ast"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/spelling"
	"example.org/gripleaf/cmd/internal/fault"
)

// The schemes that make a link more than a link.
const (
	calcScheme   = kit.Scheme
	termScheme   = "term:"
	sourceScheme = "source:"
)

// known are the schemes that a link may have: ours, and those of the web that readers can follow.
var known = []string{"calc", "term", "source", "moment", "http", "https", "mailto", "tel"}

// address is a destination as it stands in the source.
type address struct {
	text  string // escapes and entities resolved
	at    int    // offset of its first byte; of the link where it is not found
	exact bool   // every byte of text is one of the source
	whole Span   // the link, brackets and all
	words Span   // what stands between the square brackets
}

func (c *collector) address(n ast.Node, destination, title []byte, reference *ast.ReferenceLink, opening int) address {
	source := c.lesson.Source.Text
	start := max(n.Pos(), 0)
	a := address{text: unescape(destination), at: start}
	at, found := offset(source, destination)
	if !found || reference != nil {
		from := min(start+opening, len(source))
		to := max(from, lastText(n))
		a.whole, a.words = Span{start, min(to+1, len(source))}, Span{from, to}
		if found { // in the definition that the link refers to
			a.at, a.exact = at, len(a.text) == len(destination)
		}
		return a
	}
	a.at, a.exact = at, len(a.text) == len(destination)
	after := at + len(destination)
	if len(title) > 0 {
		if t, ok := offset(source, title); ok && t > after {
			after = t + len(title)
		}
	}
	end := len(source)
	if i := bytes.IndexByte(source[after:], ')'); i >= 0 {
		end = after + i + 1
	}
	a.whole = Span{start, end}
	a.words = Span{start + opening, max(start+opening, bytes.LastIndex(source[start:at], []byte("]("))+start)}
	return a
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

// span is a part of the destination, from and to in bytes of its text.
func (a address) span(from, to int) Span {
	if !a.exact {
		return a.whole
	}
	return Span{a.at + from, a.at + to}
}

func (c *collector) link(parent ast.Node, n *ast.Link) {
	a := c.address(n, n.Destination, n.Title, n.Reference, len("["))
	switch {
	case strings.HasPrefix(a.text, calcScheme):
		c.calculation(parent, n, a)
		return
	case strings.HasPrefix(a.text, termScheme):
		t := &Term{inline: inline{Span: a.whole}, ID: a.text[len(termScheme):], IDAt: a.at + len(termScheme), Words: c.lesson.Plain(n)}
		c.lesson.Terms = append(c.lesson.Terms, t)
		c.replace(parent, n, t)
	case strings.HasPrefix(a.text, sourceScheme):
		id, place, _ := strings.Cut(a.text[len(sourceScheme):], "#")
		s := &Citation{inline: inline{Span: a.whole}, ID: id, IDAt: a.at + len(sourceScheme), Place: place, Words: c.lesson.Plain(n)}
		c.lesson.Citations = append(c.lesson.Citations, s)
		c.replace(parent, n, s)
	case strings.HasPrefix(a.text, momentScheme):
		c.moment(parent, n, a)
	default:
		c.other(parent, n, a)
	}
}

// other is a link of no scheme of ours. Those within the course become pieces; goldmark renders the others.
func (c *collector) other(parent ast.Node, n *ast.Link, a address) {
	l := &Link{inline: inline{Span: a.whole}, Destination: a.text, DestinationAt: a.at, Title: unescape(n.Title)}
	c.lesson.Links = append(c.lesson.Links, l)
	if name, has := scheme(a.text); has {
		c.foreign(name, a.span(0, len(name)))
	} else if path, _, _ := strings.Cut(a.text, "#"); strings.HasSuffix(path, ".md") {
		c.replace(parent, n, l)
		return
	}
	c.children(n)
}

// scripted are the schemes by which an address is a program or a page of its own. No lesson needs one.
var scripted = map[string]bool{"javascript": true, "vbscript": true, "data": true, "blob": true, "filesystem": true, "file": true}

// foreign checks the scheme of a link that leads out of the course.
func (c *collector) foreign(name string, at Span) {
	switch {
	case slices.Contains(known, name):
	case scripted[name]:
		c.fault(at, "unknown-scheme", "links to "+quote(name+":")+" are not taken", "link to a page: https://…")
	case c.several || spelling.Nearest(name, known[:4]) != "":
		c.fault(at, "unknown-scheme", "links to "+quote(name+":")+" lead nowhere here", fault.Meant(name, known))
	}
}

// autoLink checks an address between angle brackets.
func (c *collector) autoLink(n *ast.AutoLink) {
	if n.AutoLinkType == ast.AutoLinkEmail {
		return
	}
	text := n.URL(c.lesson.Source.Text)
	if name, has := scheme(string(text)); has {
		at, _ := offset(c.lesson.Source.Text, text)
		c.foreign(name, Span{at, at + len(name)})
	}
}

// scheme is what stands before the first colon of an address, if it is one (RFC 3986, 3.1). Browsers leave out control
// characters and spaces that stand before it or within it (URL standard, 4.4), so they are left out here too.
func scheme(address string) (string, bool) {
	var name []byte
	for i := range len(address) {
		switch b := address[i]; {
		case b <= ' ':
		case 'a' <= b && b <= 'z' || 'A' <= b && b <= 'Z', len(name) > 0 && ('0' <= b && b <= '9' || b == '+' || b == '-' || b == '.'):
			name = append(name, b)
		case b == ':' && len(name) > 1:
			return strings.ToLower(string(name)), true
		default:
			return "", false
		}
	}
	return "", false
}

// replace puts a piece in the place of a link, with the link's children.
func (c *collector) replace(parent, old, piece ast.Node) {
	for n := old.FirstChild(); n != nil; {
		next := n.NextSibling()
		piece.AppendChild(piece, n)
		n = next
	}
	parent.ReplaceChild(parent, old, piece)
	c.children(piece)
}

func (c *collector) image(parent ast.Node, n *ast.Image) {
	a := c.address(n, n.Destination, n.Title, n.Reference, len("!["))
	if strings.HasPrefix(a.text, calcScheme) {
		c.fault(a.whole, "not-alone", "an explorer or a figure stands alone in its paragraph", "leave an empty line before and after it")
		return
	}
	c.children(n)
	if name, has := scheme(a.text); has || strings.HasPrefix(a.text, "//") {
		c.fault(a.span(0, max(len(name), 1)), "outside-picture", "this picture is not of the site, and pages load nothing from elsewhere", "put it into pictures/, and name it from there")
		return
	}
	image := &Image{inline: inline{Span: a.whole}, Destination: a.text, DestinationAt: a.at, Title: unescape(n.Title), Alt: c.lesson.Plain(n)}
	c.lesson.Images = append(c.lesson.Images, image)
	parent.ReplaceChild(parent, n, image)
}

// show makes an explorer or a figure of a paragraph that holds nothing but a calc: image.
func (c *collector) show(parent ast.Node, paragraph *ast.Paragraph, n *ast.Image) bool {
	a := c.address(n, n.Destination, n.Title, n.Reference, len("!["))
	if !strings.HasPrefix(a.text, calcScheme) {
		return false
	}
	t, b := c.target(a), block{Span: a.whole}
	caption := c.lesson.Plain(n)
	if caption == "" {
		c.fault(a.whole, "no-caption", "this has no caption", "say between the square brackets what it shows")
	}
	var piece ast.Node
	if t.Query.FragmentAt < 0 {
		e := &Explorer{block: b, Target: t, ID: c.id(t.Query.Calculator), Caption: caption}
		c.lesson.Explorers = append(c.lesson.Explorers, e)
		piece = e
	} else {
		f := &Figure{block: b, Target: t, ID: c.id(t.Query.Calculator + "-" + t.Output), Caption: caption, Name: t.Output}
		c.lesson.Figures = append(c.lesson.Figures, f)
		piece = f
	}
	for child := n.FirstChild(); child != nil; {
		next := child.NextSibling()
		piece.AppendChild(piece, child)
		child = next
	}
	parent.ReplaceChild(parent, paragraph, piece)
	c.children(piece)
	return true
}
