package lesson

import (
	"bytes"
	"regexp"
	"slices"
	"strings"

	"github.com/yuin/goldmark/ast"
	extast "github.com/yuin/goldmark/extension/ast"
)

// What was meant as a link, a note or a definition and became text is a fault: a reader would see brackets, and nobody
// would have checked the number in them.
var (
	special  = regexp.MustCompile(`^` + inText.String())
	inText   = regexp.MustCompile(`\](?: ?\(|: ?)\s*<?(calc|term|source|moment):`)
	unclosed = regexp.MustCompile(`^\[[^\[\]\n]*\((?:calc|term|source|moment):`)
	footnote = regexp.MustCompile(`^\[\^([^\]\s]+)\]`)
	labelled = regexp.MustCompile(`^\]\[([^\[\]]+)\]`)
)

// unread looks for such things in a text.
func (c *collector) unread(n *ast.Text) {
	source := c.lesson.Source.Text
	for at := n.Segment.Start; at < n.Segment.Stop; at++ {
		if b := source[at]; b != '[' && b != ']' || at > 0 && source[at-1] == '\\' {
			continue
		}
		rest := source[at:]
		if m := special.FindSubmatch(rest); m != nil {
			c.unlinked(at, rest, len(m[0])-len(m[1])-len(":"), string(m[1]))
		} else if m := unclosed.Find(rest); m != nil {
			paren := at + bytes.LastIndexByte(m, '(')
			c.fault(Span{paren, paren}, "no-link", "the ] that ends the words of this link is missing", "write it before the (")
		} else if m := footnote.FindSubmatch(rest); m != nil {
			c.fault(Span{at, at + len(m[0])}, "unknown-footnote", "there is no footnote "+quote(string(m[1])),
				"write it on a line of its own: "+string(m[0])+": …")
		} else if m := labelled.FindSubmatch(rest); m != nil {
			c.fault(Span{at + 1, at + len(m[0])}, "no-link", "nothing is defined as "+quote(string(m[1])),
				`define it on a line of its own, `+string(m[0][1:])+`: address, or write \[ where a bracket is meant`)
		}
	}
}

// note is a line that begins a footnote.
var note = regexp.MustCompile(`(?m)^ {0,3}\[\^([^\]\s]+)\]:`)

// unreferred points out footnotes to which no text refers: they would be left out of the page. In code or in HTML, what
// looks like one is not.
func (c *collector) unreferred() {
	if !bytes.Contains(c.lesson.Source.Text, []byte("[^")) {
		return // as most lessons
	}
	found := note.FindAllSubmatchIndex(c.lesson.Source.Text, -1)
	referred := make(map[string]bool)
	var raw []Span
	_ = ast.Walk(c.lesson.Body, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		if f, ok := n.(*extast.Footnote); ok && entering {
			referred[string(f.Ref)] = true
		}
		if entering && n.Type() == ast.TypeBlock && n.IsRaw() && n.Lines().Len() > 0 {
			raw = append(raw, Span{n.Lines().At(0).Start, n.Lines().At(n.Lines().Len() - 1).Stop})
		}
		return ast.WalkContinue, nil
	})
	for _, m := range found {
		label := string(c.lesson.Source.Text[m[2]:m[3]])
		inRaw := slices.ContainsFunc(raw, func(s Span) bool { return s.Start <= m[2] && m[2] < s.End })
		if !referred[label] && !inRaw && m[2] >= c.body {
			c.fault(Span{m[2] - len("[^"), m[3] + len("]")}, "unused-footnote",
				"no text refers to this footnote, and the page would leave it out", "write [^"+label+"] where it belongs, or take it out")
		}
	}
}

// unlinked says why a bracket and an address of ours, which begins so many bytes behind it, did not become a link.
func (c *collector) unlinked(at int, rest []byte, from int, scheme string) {
	line, _, _ := bytes.Cut(rest, []byte("\n"))
	end := bytes.IndexByte(line, ')')
	definition := line[1] == ':'
	if definition || end < 0 {
		end = len(bytes.TrimRight(line, " \t\r"))
	}
	end = max(end, from)
	address := line[from:end]
	s := Span{at + from, at + from + len(address)}
	text, hint := "this did not become a link", `write [words](`+scheme+`:…), or \] where a bracket is meant`
	switch space := bytes.IndexAny(address, " \t"); {
	case line[1] == ' ':
		s = Span{at + 1, at + 2}
		text, hint = "a space keeps this from being a link", "write ]( without a space between"
	case space >= 0 && bytes.HasPrefix(line[1:], []byte("(<")):
		text, hint = "this address is not closed", "write > before the )"
	case !definition && bytes.IndexByte(line, ')') < 0:
		text, hint = "the ) that ends this link is missing", "write it behind the address"
	case space >= 0:
		s.Start += space
		s.End = s.Start + 1
		text, hint = "a space in its address keeps this from being a link", "leave it out"
		if scheme == "calc" {
			hint += ": 60km/h, not 60 km/h"
		}
	}
	c.fault(s, "no-link", text, hint)
}

// Special finds a link of ours in a text that is not read as a lesson, such as a title. Nobody could check it there.
func Special(text string) (link string, found bool) {
	link = strings.TrimLeft(inText.FindString(text), "](: <")
	return link, link != ""
}
