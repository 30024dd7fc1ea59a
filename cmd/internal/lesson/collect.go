package lesson

import (
	"bytes"
	"strconv"
	"strings"

	"github.com/yuin/goldmark/ast"

	"example.org/gripleaf/calculators/spelling"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/formula"
)

// collector walks a tree once: it puts pieces in the place of links, images and headings, and lists them.
type collector struct {
	lesson      *Lesson
	body        int // where the metadata ends
	several     bool
	base        string // language of the lesson, without region or script
	faults      fault.List
	ids         map[string]bool                         // element ids that are taken
	last        map[string]int                          // the last number that made one of them out of a name
	question    *Question                               // the one being walked
	inHeading   *Heading                                // the one being walked
	tooMany     bool                                    // explorers and figures: it has been said
	definitions map[string]*ast.LinkReferenceDefinition // by label, made when a link refers to one
}

func (c *collector) run() {
	c.ids, c.last = make(map[string]bool), make(map[string]int)
	if c.several {
		c.lesson.clean(c.lesson.Body)
	}
	c.children(c.lesson.Body)
	c.unreferred()
	c.nameHeadings()
	c.momentsInOrder()
}

func (c *collector) fault(s Span, code, text, hint string) {
	c.faults.Add(c.lesson.At(s, code, text, hint))
}

func (c *collector) children(parent ast.Node) {
	for n := parent.FirstChild(); n != nil; {
		next := n.NextSibling()
		c.node(parent, n)
		n = next
	}
}

// node is one switch over the kinds of nodes that mean something to us.
func (c *collector) node(parent, n ast.Node) {
	switch n := n.(type) {
	case *ast.Paragraph:
		if images := c.images(n); len(images) > 0 && c.show(parent, n, images) {
			return
		}
		c.children(n)
	case *ast.Link:
		c.link(parent, n)
	case *ast.Image:
		c.image(parent, n)
	case *ast.Heading:
		c.heading(n)
	case *ast.Text:
		c.lesson.Words += words(n.Segment.Value(c.lesson.Source.Text))
		c.unread(n)
	case *ast.CodeSpan:
		for t := n.FirstChild(); t != nil; t = t.NextSibling() {
			c.lesson.Words += words(t.(*ast.Text).Segment.Value(c.lesson.Source.Text))
		}
	case *ast.RawHTML, *ast.HTMLBlock:
		c.html(n)
	case *Caution:
		c.caution(n)
	case *Question:
		c.ask(n)
	case *formula.Inline:
		c.formula(&n.Source)
	case *formula.Block:
		c.formula(&n.Source)
	case *ast.FencedCodeBlock:
		c.fenceName(n)
	case *ast.AutoLink:
		c.autoLink(n)
	default:
		c.children(n)
	}
}

// formula counts a formula, and reports what is wrong in it.
func (c *collector) formula(f *formula.Source) {
	c.lesson.Formulas++
	for _, e := range f.Mistakes {
		from, to := f.Offset(e.Offset), f.Offset(e.Offset+e.Length)
		c.fault(Span{from, max(from, to)}, "formula", e.Text, e.Hint)
	}
}

// alone is the only child of a node, if it has just one.
func alone(n ast.Node) ast.Node {
	if first := n.FirstChild(); first != nil && first == n.LastChild() {
		return first
	}
	return nil
}

// images are those of a paragraph that holds nothing else, on one line or on several.
func (c *collector) images(paragraph *ast.Paragraph) (list []*ast.Image) {
	for n := paragraph.FirstChild(); n != nil; n = n.NextSibling() {
		switch n := n.(type) {
		case *ast.Image:
			list = append(list, n)
		case *ast.Text:
			if len(bytes.TrimSpace(n.Value(c.lesson.Source.Text))) > 0 {
				return nil
			}
		default:
			return nil
		}
	}
	return list
}

// words counts the words of a text. A number and its unit, which stay on a line, are one.
func words(text []byte) int {
	n := 0
	for range bytes.FieldsFuncSeq(text, func(r rune) bool { return r == ' ' || r == '\t' || r == '\n' }) {
		n++
	}
	return n
}

// fenceName points out an info string that was most likely meant to be one of ours.
func (c *collector) fenceName(n *ast.FencedCodeBlock) {
	if n.Info == nil {
		return
	}
	s := n.Info.Segment
	name := string(s.Value(c.lesson.Source.Text))
	if near := spelling.Nearest(name, fenceNames); near != "" {
		c.fault(Span{s.Start, s.Stop}, "unknown-fence", "there is no fence "+quote(name), fault.Meant(name, fenceNames))
	}
}

// id takes an element id that nothing else on the page has: "stop", "stop-2", ….
func (c *collector) id(wanted string) string {
	id, i := wanted, max(c.last[wanted], 1)
	for ; c.ids[id]; i++ {
		id = wanted + "-" + strconv.Itoa(i+1)
	}
	c.ids[id], c.last[wanted] = true, i
	return id
}

func quote(s string) string { return `"` + strings.ToValidUTF8(s, "\ufffd") + `"` }
