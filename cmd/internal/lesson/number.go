package lesson

import (
	"strings"
	"unicode"

	"github.com/yuin/goldmark/ast"
)

// Number is a checked number: [17.7 m](calc:stop?speed=60km/h#braking-distance). Its children are not rendered.
type Number struct {
	inline
	Target
	Comparison
	Written     string // as written, without "about"; empty asks to be filled in
	WrittenSpan Span
	Prefix      string    // "about ", "≈", "~" as written
	Question    *Question // the question that it stands in, if any
	Checked
}

// words are a number as a page shows it: one that is left to be filled in is there once it has been worked out, and the
// answer to a question is for the reader to find.
func (n *Number) words() string {
	switch {
	case n.Question != nil && n.Question.Answer == n:
		return "…"
	case n.Written == "" && n.Result.Text != "":
		return n.Result.Text
	}
	return n.Prefix + n.Written
}

// about are the words that may stand before a checked number, in the languages that the interface speaks.
var about = []string{"about", "≈", "~", "etwa", "rund", "ca.", "circa", "लगभग", "क़रीब", "करीब", "حوالي", "نحو", "تقريبًا"}

func (c *collector) number(parent ast.Node, link *ast.Link, n *Number) {
	text := c.lesson.Plain(link)
	n.Prefix, n.Written = cutAbout(text)
	if at := strings.Index(c.lesson.Text(n.WrittenSpan), n.Written); at >= 0 && n.Written != "" {
		n.WrittenSpan = Span{n.WrittenSpan.Start + at, n.WrittenSpan.Start + at + len(n.Written)}
	}
	c.lesson.Words += words([]byte(text))
	c.lesson.Numbers = append(c.lesson.Numbers, n)
	parent.ReplaceChild(parent, link, n)
	if n.Relation == Within {
		c.answer(n)
	}
}

// cutAbout takes "about " off, with the space behind it.
func cutAbout(text string) (prefix, rest string) {
	for _, word := range about {
		if after, found := strings.CutPrefix(text, word); found {
			rest = strings.TrimLeftFunc(after, unicode.IsSpace)
			return text[:len(text)-len(rest)], rest
		}
	}
	return "", text
}
