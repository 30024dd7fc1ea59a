package lesson

import (
	"fmt"
	"strings"

	"github.com/yuin/goldmark/ast"
)

// Explorer is ![caption](calc:stop?speed=60km/h) alone in a paragraph. Its children are the caption. With one or two
// more such images of the same calculator behind it in the paragraph, the states stand beside each other.
type Explorer struct {
	block
	Target
	ID      string // of its element, and in addresses: "stop", "stop-2"
	Caption string
	Result  Result
	Beside  []*Explorer // other states, which the reader sees with this one
}

// Figure is ![caption](calc:slip?surface=ice#curve). Its children are the caption.
type Figure struct {
	block
	Target
	ID      string
	Caption string
	Name    string // of the calculator's figure
	Result  Result
}

// show makes an explorer or a figure of a paragraph that holds nothing but a calc: image, or an explorer with states
// beside each other of one that holds several.
func (c *collector) show(parent ast.Node, paragraph *ast.Paragraph, images []*ast.Image) bool {
	n := images[0]
	a := c.address(n, n.Destination, n.Title, n.Reference)
	if !strings.HasPrefix(a.text, calcScheme) {
		return false
	}
	if shown := len(c.lesson.Explorers) + len(c.lesson.Figures); shown >= mostShown {
		if !c.tooMany {
			c.fault(a.whole, "many-explorers", fmt.Sprintf("here are more than %d explorers and figures", mostShown),
				"make several lessons of it")
		}
		c.tooMany = true
		return true
	}
	t, b := newTarget(a), block{Span: a.whole}
	caption := c.caption(n, a)
	var piece ast.Node
	if t.Query.FragmentAt < 0 {
		e := &Explorer{block: b, Target: t, ID: c.id(t.Query.Calculator), Caption: caption}
		for _, image := range images[1:] {
			c.beside(e, image)
		}
		c.lesson.Explorers = append(c.lesson.Explorers, e)
		piece = e
	} else if len(images) > 1 {
		return false
	} else {
		f := &Figure{block: b, Target: t, ID: c.id(t.Query.Calculator + "-" + t.Output), Caption: caption, Name: t.Output}
		c.lesson.Figures = append(c.lesson.Figures, f)
		piece = f
	}
	adopt(piece, n.FirstChild())
	parent.ReplaceChild(parent, paragraph, piece)
	c.children(piece)
	return true
}

func (c *collector) caption(n *ast.Image, a address) string {
	caption := c.lesson.Plain(n)
	if caption == "" {
		c.fault(a.whole, "no-caption", "this has no caption", "say between the square brackets what it shows")
	}
	return caption
}

// mostStates is how many states stand beside each other; more cannot be told apart.
const mostStates = 3

// beside adds a further state to an explorer.
func (c *collector) beside(e *Explorer, n *ast.Image) {
	a := c.address(n, n.Destination, n.Title, n.Reference)
	other := &Explorer{block: block{Span: a.whole}, Target: newTarget(a), Caption: c.caption(n, a)}
	switch {
	case !strings.HasPrefix(a.text, calcScheme) || other.Query.FragmentAt >= 0 || other.Query.Calculator != e.Query.Calculator:
		c.fault(a.whole, "not-beside", "this cannot stand beside the explorer before it",
			"only states of the same calculator stand beside each other; leave an empty line before this")
	case len(e.Beside) == mostStates-1:
		c.fault(a.whole, "not-beside", "more than three states stand beside each other", "leave one out")
	default:
		e.Beside = append(e.Beside, other)
	}
}
