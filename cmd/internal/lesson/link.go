package lesson

import (
	"slices"
	"strings"

	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/util"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/spelling"
	"example.org/gripleaf/cmd/internal/fault"
)

// Link is a link to another file of the course, to a heading, or out into the web.
type Link struct {
	inline
	Destination   string
	DestinationAt int
	Title         string
}

// KindLink is the kind of a Link.
var KindLink = ast.NewNodeKind("CourseLink")

// Kind implements ast.Node.
func (*Link) Kind() ast.NodeKind { return KindLink }

func (n *Link) write(w util.BufWriter, p Pieces, entering bool) (ast.WalkStatus, error) {
	return ast.WalkContinue, p.Link(w, n, entering)
}

// calcScheme is that of all that is worked out.
const calcScheme = kit.Scheme

// ours are the schemes that make a link more than a link.
var ours = []string{"calc", "term", "source", "moment"}

// known are the schemes that a link may have: ours, and those of the web that readers can follow.
var known = append(slices.Clone(ours), "http", "https", "mailto", "tel")

// link tells by the scheme what a link is.
func (c *collector) link(parent ast.Node, n *ast.Link) {
	a := c.address(n, n.Destination, n.Title, n.Reference)
	switch {
	case strings.HasPrefix(a.text, calcScheme):
		c.calculation(parent, n, a)
	case strings.HasPrefix(a.text, termScheme):
		c.term(parent, n, a)
	case strings.HasPrefix(a.text, sourceScheme):
		c.citation(parent, n, a)
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

// webAddress checks an address that a lesson's HTML leads to.
func (c *collector) webAddress(address string, at Span) {
	if name, has := scheme(address); has {
		c.foreign(name, at)
	}
}

// foreign checks the scheme of a link that leads out of the course.
func (c *collector) foreign(name string, at Span) {
	switch {
	case slices.Contains(known, name):
	case scripted[name]:
		c.fault(at, "unknown-scheme", "links to "+quote(name+":")+" are not taken", "link to a page: https://…")
	case c.several || spelling.Nearest(name, ours) != "":
		c.fault(at, "unknown-scheme", "links to "+quote(name+":")+" lead nowhere here", fault.Meant(name, known))
	}
}

// autoLink checks an address between angle brackets.
func (c *collector) autoLink(n *ast.AutoLink) {
	if n.AutoLinkType == ast.AutoLinkEmail {
		return
	}
	if name, has := scheme(string(n.URL(c.lesson.Source.Text))); has {
		at := max(n.Pos(), 0) + len("<")
		s := Span{at, at + len(name)}
		if slices.Contains(ours, name) {
			c.fault(s, "no-link", "an address of ours needs words", "write [words]("+name+":…)")
			return
		}
		c.foreign(name, s)
	}
}
