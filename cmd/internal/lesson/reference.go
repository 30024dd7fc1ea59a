package lesson

import (
	"strings"

	"github.com/yuin/goldmark/ast"
)

// Term is [words](term:contact-patch). Its children are the words.
type Term struct {
	inline
	ID    string
	IDAt  int
	Words string
}

// Citation is [words](source:aashto-2018#table-3-35). Its children are the words; without any, the page writes the
// source's short name.
type Citation struct {
	inline
	ID    string
	IDAt  int
	Place string // as written behind #: "table-3-35"
	Words string
}

const (
	termScheme   = "term:"
	sourceScheme = "source:"
)

func (c *collector) term(parent ast.Node, n *ast.Link, a address) {
	t := &Term{inline: inline{Span: a.whole}, ID: a.text[len(termScheme):], IDAt: a.at + len(termScheme), Words: c.lesson.Plain(n)}
	c.lesson.Terms = append(c.lesson.Terms, t)
	c.wordless(n, a)
	c.replace(parent, n, t)
}

func (c *collector) citation(parent ast.Node, n *ast.Link, a address) {
	id, place, _ := strings.Cut(a.text[len(sourceScheme):], "#")
	s := &Citation{inline: inline{Span: a.whole}, ID: id, IDAt: a.at + len(sourceScheme), Place: place, Words: c.lesson.Plain(n)}
	c.lesson.Citations = append(c.lesson.Citations, s)
	c.replace(parent, n, s)
}
