package lesson

import (
	"regexp"
	"strings"
	"time"
	"unicode"

	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/util"
)

// Heading is a heading; its node in the tree is goldmark's own, with the id as attribute. A link in it gives it a name
// and ties it to a moment of the video: ## [Loose surfaces](moment:2:05#loose). Either may be left out.
type Heading struct {
	Span   Span // of its line, without the signs that make it a heading
	ID     string
	Level  int
	Text   string
	Timed  bool // has a moment
	At     time.Duration
	AtSpan Span

	node *ast.Heading
}

const momentScheme = "moment:"

// momentForm shows what a heading may be.
const momentForm = "write ## [Words](moment:2:05#name), or without a time ## [Words](moment:#name)"

// headingAttribute is where a heading's node keeps its Heading.
const headingAttribute = "heading"

// heading lists a heading and takes the link that names it apart. Headings that their authors did not name get their
// names when all others are known.
func (c *collector) heading(n *ast.Heading) {
	h := &Heading{Level: n.Level, Text: c.lesson.Plain(n), node: n}
	if lines := n.Lines(); lines.Len() > 0 {
		h.Span = Span{lines.At(0).Start, lines.At(lines.Len() - 1).Stop}
	}
	c.lesson.Headings = append(c.lesson.Headings, h)
	n.SetAttributeString(headingAttribute, h)
	c.inHeading = h
	c.children(n)
	c.inHeading = nil
	c.braces(h)
}

// moment puts the words of a moment: link in its place, and gives their heading its name and its time.
func (c *collector) moment(parent ast.Node, n *ast.Link, a address) {
	defer func() {
		for child := n.FirstChild(); child != nil; {
			next := child.NextSibling()
			parent.InsertBefore(parent, n, child)
			child = next
		}
		parent.RemoveChild(parent, n)
	}()
	c.children(n)
	h := c.inHeading
	switch {
	case h == nil:
		c.fault(a.whole, "moment", "a moment belongs to a heading", momentForm)
		return
	case h.ID != "" || h.Timed:
		c.fault(a.whole, "moment", "this heading has a moment or a name already", "keep one of the two links")
		return
	}
	time, name, named := strings.Cut(a.text[len(momentScheme):], "#")
	if time != "" {
		c.setMoment(h, time, a)
	}
	if name != "" {
		c.setName(h, name, a)
	}
	if time == "" && name == "" || named && name == "" {
		c.fault(a.whole, "moment", "this link gives its heading neither a time nor a name", momentForm)
	}
}

func (c *collector) setMoment(h *Heading, text string, a address) {
	s := a.span(len(momentScheme), len(momentScheme)+len(text))
	at, err := ParseMoment(text)
	if err != nil {
		c.fault(s, "moment", err.Error(), MomentHint)
		return
	}
	h.At, h.Timed, h.AtSpan = at, true, s
}

func (c *collector) setName(h *Heading, name string, a address) {
	s := a.span(len(a.text)-len(name), len(a.text))
	switch clean := anchor(name); {
	case name != clean:
		c.fault(s, "heading-name", quote(name)+" cannot be the name of a heading", "use letters, digits and hyphens: "+clean)
	case c.ids[name]:
		c.fault(s, "duplicate-id", "another heading has the name "+quote(name), "choose another")
	default:
		h.ID, c.ids[name] = name, true
	}
}

// attributes are braces at the end of a heading, {#name at="2:05"}, in which several dialects of Markdown write names.
var attributes = regexp.MustCompile(`\s*\{(?:#([^\s{}"]*))?(?:\s*\bat="?([\d:]*)"?)?[^{}]*\}\s*#*\s*$`)

// braces points out a name or a moment between braces, and shows how both are written.
func (c *collector) braces(h *Heading) {
	text := c.lesson.Text(h.Span)
	if !strings.Contains(text, "}") {
		return
	}
	m := attributes.FindStringSubmatchIndex(text)
	if m == nil || m[2] < 0 && m[4] < 0 && !strings.Contains(text[m[0]:], "at=") {
		return
	}
	group := func(i int) string {
		if m[i] < 0 {
			return ""
		}
		return text[m[i]:m[i+1]]
	}
	link := momentScheme + group(4)
	if name := group(2); name != "" {
		link += "#" + anchor(name)
	}
	start := m[0] + strings.IndexByte(text[m[0]:], '{')
	s := Span{h.Span.Start + start, h.Span.Start + start + strings.LastIndexByte(text[start:], '}') + 1}
	c.fault(s, "heading-braces", "braces name nothing here",
		"write "+strings.Repeat("#", h.Level)+" ["+strings.TrimSpace(text[:m[0]])+"]("+link+")")
}

// nameHeadings gives every heading that its author did not name an id made of its words.
func (c *collector) nameHeadings() {
	for _, h := range c.lesson.Headings {
		if h.ID == "" {
			h.ID = c.id(anchor(h.Text))
		}
	}
}

// anchor makes an element id of a heading's words in any script: letters, marks and digits stay, in lower case;
// everything else is one hyphen.
func anchor(text string) string {
	var b strings.Builder
	gap := false
	for _, r := range text {
		if unicode.IsLetter(r) || unicode.IsMark(r) || unicode.IsDigit(r) {
			if gap && b.Len() > 0 {
				b.WriteByte('-')
			}
			gap = false
			b.WriteRune(unicode.ToLower(r))
		} else {
			gap = true
		}
	}
	if b.Len() == 0 {
		return "section"
	}
	return b.String()
}

// momentsInOrder checks that the moments follow the text, and end before the video does.
func (c *collector) momentsInOrder() {
	var before *Heading
	for _, h := range c.lesson.Headings {
		if !h.Timed {
			continue
		}
		if before != nil && h.At <= before.At {
			c.fault(h.AtSpan, "moment-order", "this moment is not after the one before, "+FormatMoment(before.At),
				"moments follow the order of the text")
		}
		switch v := c.lesson.Meta.Video; {
		case v == nil:
			c.fault(h.AtSpan, "moment-without-video", "this lesson names no video",
				"write video: {address: …, length: …} in its metadata, or leave the time out")
		case v.Length > 0 && h.At >= v.Length:
			c.fault(h.AtSpan, "moment-order", "the video is over by then: it lasts "+FormatMoment(v.Length),
				"correct the moment or the length")
		}
		before = h
	}
}

// heading writes the element with its id, and lets the page add what belongs behind the words.
func (p pieces) heading(w util.BufWriter, _ []byte, n ast.Node, entering bool) (ast.WalkStatus, error) {
	level := string(rune('0' + n.(*ast.Heading).Level))
	value, _ := n.AttributeString(headingAttribute)
	h, known := value.(*Heading)
	if entering {
		_, _ = w.WriteString("<h" + level)
		if known {
			_, _ = w.WriteString(` id="` + string(util.EscapeHTML([]byte(h.ID))) + `"`)
		}
		return ast.WalkContinue, w.WriteByte('>')
	}
	if known {
		if err := p.Pieces.Heading(w, h); err != nil {
			return ast.WalkStop, err
		}
	}
	_, err := w.WriteString("</h" + level + ">\n")
	return ast.WalkContinue, err
}
