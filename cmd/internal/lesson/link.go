package lesson

import (
	"slices"
	"strings"

	"github.com/yuin/goldmark/ast"

	"example.org/gripleaf/calculators/kit"
	addresses "example.org/gripleaf/cmd/internal/address"
	"example.org/gripleaf/cmd/internal/fault"
)

// Link is a link to another file of the course, to a heading, or out into the web.
type Link struct {
	inline
	Destination   string
	DestinationAt int
	Title         string
}

// calcScheme is that of all that is worked out.
const calcScheme = kit.Scheme

// ours are the schemes that make a link more than a link.
var ours = []string{"calc", "term", "source", "moment"}

// reachable are the schemes of addresses at which readers reach a person.
var reachable = []string{"mailto", "tel"}

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

// other is a link to something that is not ours to read. Links within the course become pieces; goldmark renders the
// rest.
func (c *collector) other(parent ast.Node, n *ast.Link, a address) {
	l := &Link{inline: inline{Span: a.whole}, Destination: a.text, DestinationAt: a.at, Title: unescape(n.Title)}
	c.lesson.Links = append(c.lesson.Links, l)
	if a.text == "" {
		c.fault(a.whole, "broken-link", "this link leads nowhere", "write an address between the ( and the )")
	}
	c.wordless(n, a)
	if name, has := addresses.Scheme(a.text); has {
		c.foreign(a.text, a.span(0, len(name)))
	} else if path, _, _ := strings.Cut(a.text, "#"); strings.HasSuffix(path, ".md") {
		c.replace(parent, n, l)
		return
	}
	c.children(n)
}

// wordless points out a link that no reader would see.
func (c *collector) wordless(n ast.Node, a address) {
	if strings.TrimSpace(c.lesson.Plain(n)) == "" {
		c.fault(a.whole, "no-words", "this link has no words", "write between the square brackets what it leads to")
	}
}

// foreign checks an address that has a scheme.
func (c *collector) foreign(to string, at Span) {
	name, _ := addresses.Scheme(to)
	if slices.Contains(reachable, name) {
		return
	}
	known := slices.Concat(ours, []string{"http", "https"}, reachable)
	err, wrong := addresses.Web(to).(*addresses.Error)
	switch {
	case !wrong:
	case name == "http" || name == "https" || addresses.Runs(name):
		c.fault(at, "wrong-address", err.Text, err.Hint)
	default:
		c.fault(at, "wrong-address", "links to "+quote(name+":")+" lead nowhere here", fault.Meant(name, known))
	}
}

// autoLink checks an address between angle brackets.
func (c *collector) autoLink(n *ast.AutoLink) {
	if n.AutoLinkType == ast.AutoLinkEmail {
		return
	}
	to := string(n.URL(c.lesson.Source.Text))
	name, has := addresses.Scheme(to)
	if !has {
		return
	}
	at := max(n.Pos(), 0) + len("<")
	s := Span{at, at + len(name)}
	if slices.Contains(ours, name) {
		c.fault(s, "no-link", "an address of ours needs words", "write [words]("+name+":…)")
		return
	}
	c.foreign(to, s)
}
