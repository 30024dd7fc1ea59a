package lesson

import (
	"bytes"
	"strings"
	"unicode"

	"github.com/yuin/goldmark/ast"

	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/record"
)

// heading lists a heading and reads its attributes. Its id is settled when all ids that authors chose are known.
func (c *collector) heading(n *ast.Heading) {
	h := &Heading{Level: n.Level, Text: c.lesson.Plain(n)}
	if n.Lines().Len() > 0 {
		first, last := n.Lines().At(0), n.Lines().At(n.Lines().Len()-1)
		h.Span = Span{first.Start, last.Stop}
	}
	c.lesson.Headings = append(c.lesson.Headings, h)
	c.headings = append(c.headings, n)
	for _, a := range n.Attributes() {
		c.attribute(h, string(a.Name), a.Value)
	}
	n.RemoveAttributes()
	c.unread(h)
}

func (c *collector) attribute(h *Heading, name string, value any) {
	text, _ := value.([]byte)
	s := c.find(h, text, name)
	switch name {
	case "id":
		if c.ids[string(text)] {
			c.fault(s, "duplicate-id", "another heading has the id "+quote(string(text)), "choose another")
			return
		}
		h.ID, c.ids[string(text)] = string(text), true
	case "at":
		at, err := record.Moment(string(text))
		if err != nil {
			c.fault(s, "moment", err.Error(), record.MomentHint)
			return
		}
		h.At, h.Timed, h.AtSpan = at, true, s
	default:
		c.fault(c.find(h, []byte(name), name), "unknown-attribute", "a heading has no attribute "+quote(name), fault.Meant(name, []string{"id", "at"}))
	}
}

// find looks for an attribute's text on the line behind the heading's own words.
func (c *collector) find(h *Heading, text []byte, name string) Span {
	source := c.lesson.Source.Text
	end := len(source)
	if i := bytes.IndexByte(source[h.Span.End:], '\n'); i >= 0 {
		end = h.Span.End + i
	}
	part := source[h.Span.End:end]
	if i := bytes.Index(part, text); i >= 0 && len(text) > 0 {
		return Span{h.Span.End + i, h.Span.End + i + len(text)}
	}
	if i := bytes.Index(part, []byte(name)); i >= 0 {
		return Span{h.Span.End + i, h.Span.End + i + len(name)}
	}
	return h.Span
}

// unread points out braces at the end of a heading that could not be read as attributes.
func (c *collector) unread(h *Heading) {
	text := strings.TrimRight(h.Text, " ")
	open := strings.LastIndexByte(text, '{')
	if open < 0 || !strings.HasSuffix(text, "}") {
		return
	}
	if inner := text[open:]; strings.HasPrefix(inner, "{#") || strings.Contains(inner, "at=") {
		start := h.Span.End - (len(text) - open)
		c.fault(Span{max(start, h.Span.Start), h.Span.End}, "unknown-attribute", "these attributes cannot be read", `write {#id at="2:05"}, the moment between quotes`)
	}
}

// pieceAttribute is where a heading's node keeps its Heading.
const pieceAttribute = "piece"

// nameHeadings gives every heading an id: the one its author chose, or its words.
func (c *collector) nameHeadings() {
	for i, h := range c.lesson.Headings {
		if h.ID == "" {
			h.ID = c.id(anchor(h.Text))
		}
		c.headings[i].SetAttributeString(pieceAttribute, h)
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
			c.fault(h.AtSpan, "moment-order", "this moment is not after the one before, "+record.FormatMoment(before.At), "moments follow the order of the text")
		}
		switch v := c.lesson.Meta.Video; {
		case v == nil:
			c.fault(h.AtSpan, "moment-without-video", "this lesson names no video", "write video: {address: …, length: …} in its metadata, or leave at= out")
		case v.Length > 0 && h.At >= v.Length:
			c.fault(h.AtSpan, "moment-order", "the video is over by then: it lasts "+record.FormatMoment(v.Length), "correct the moment or the length")
		}
		before = h
	}
}
