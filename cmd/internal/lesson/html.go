package lesson

import (
	"bytes"
	"iter"
	"regexp"
	"strings"

	"github.com/yuin/goldmark/ast"
	"golang.org/x/net/html"

	addresses "example.org/gripleaf/cmd/internal/address"
)

// scheming is a link of ours in raw HTML, where nobody reads Markdown.
var scheming = regexp.MustCompile(`\]\(<?(?:calc|term|source|moment):`)

// html checks raw HTML. Links like ours are not read in it, wherever it is from. Scripts and the like are faults where
// one author is trusted; where there are several, cleaning has taken them out already, and their author is told.
func (c *collector) html(n ast.Node) {
	parts := segments(n)
	for _, s := range parts {
		text := c.lesson.Source.Text[s.Start:s.End]
		for _, m := range scheming.FindAllIndex(text, -1) {
			c.fault(Span{s.Start + m[0], s.Start + m[1]}, "no-link", "a link in HTML is not read, and a number in it is not checked",
				"write it in Markdown, outside of the HTML")
		}
	}
	if len(parts) == 0 {
		return
	}
	// A tag may go on over several lines, so all lines are read as one text.
	from := parts[0].Start
	whole := c.lesson.Source.Text[from:parts[len(parts)-1].End]
	for t, s := range tags(whole) {
		s = Span{from + s.Start, from + s.End}
		switch {
		case t.Type == html.EndTagToken:
		case c.several:
			c.lesson.leftOut(t, s)
		default:
			c.tag(t, s)
		}
	}
}

// tags yields the tags of a text, and where in it they stand.
func tags(text []byte) iter.Seq2[html.Token, Span] {
	return func(yield func(html.Token, Span) bool) {
		z := html.NewTokenizer(bytes.NewReader(text))
		for at := 0; z.Next() != html.ErrorToken; {
			s := Span{at, at + len(z.Raw())}
			at = s.End
			switch t := z.Token(); t.Type {
			case html.StartTagToken, html.SelfClosingTagToken, html.EndTagToken:
				if !yield(t, s) {
					return
				}
			}
		}
	}
}

// segments are the lines of raw HTML in the source.
func segments(n ast.Node) []Span {
	var list []Span
	switch n := n.(type) {
	case *ast.RawHTML:
		for i := range n.Segments.Len() {
			list = append(list, Span{n.Segments.At(i).Start, n.Segments.At(i).Stop})
		}
	case *ast.HTMLBlock:
		for i := range n.Lines().Len() {
			list = append(list, Span{n.Lines().At(i).Start, n.Lines().At(i).Stop})
		}
		if n.HasClosure() {
			list = append(list, Span{n.ClosureLine.Start, n.ClosureLine.Stop})
		}
	}
	return list
}

// href checks where a link in HTML leads. Lessons cannot be named there: what their pages are called is not known yet.
func (c *collector) href(to string, s Span) {
	path, _, _ := strings.Cut(to, "#")
	if _, has := addresses.Scheme(to); has {
		c.foreign(to, s)
	} else if strings.HasSuffix(path, ".md") {
		c.fault(s, "wrong-address", "a link in HTML cannot lead to a lesson", "write it in Markdown: [words]("+to+")")
	} else {
		c.lesson.Links = append(c.lesson.Links, &Link{inline: inline{Span: s}, Destination: to, DestinationAt: s.Start})
	}
}

func (c *collector) tag(t html.Token, s Span) {
	if t.Data == "script" {
		c.fault(s, "script", "a page runs no script of a lesson", "take it out; a calculator of your own goes into calculators/")
		return
	}
	for _, a := range t.Attr {
		switch {
		case strings.HasPrefix(a.Key, "on"):
			c.fault(s, "script", "a page does not run what stands in "+a.Key, "take the attribute out")
		case a.Key == "src" || a.Key == "srcset" || a.Key == "poster":
			c.fault(s, "outside-picture", "what HTML loads is not published", "write ![text](../pictures/name.png) in Markdown")
		case a.Key == "href":
			c.href(a.Val, s)
		case a.Key == "id" && c.ids[a.Val]:
			c.fault(s, "duplicate-id", "something else on this page has the id "+quote(a.Val), "choose another")
		case a.Key == "id":
			c.ids[a.Val] = true
		}
	}
}
