package cue

import (
	"strings"

	"golang.org/x/net/html"
)

// A mathReader writes MathML as one line: to be looked at, or, aloud, to be spoken.
type mathReader struct {
	*voice
	aloud bool
}

// line is the MathML of a worked step as one line.
func (r mathReader) line(mathml string) string {
	nodes, err := html.Parse(strings.NewReader("<math>" + mathml + "</math>"))
	if err != nil {
		return ""
	}
	for n := range nodes.Descendants() {
		if n.Data == "math" {
			return strings.Join(strings.Fields(r.row(n)), " ")
		}
	}
	return ""
}

// row is what a node holds. What stands side by side is spoken one after the other: "m v squared".
func (r mathReader) row(n *html.Node) string {
	between := ""
	if r.aloud {
		between = " "
	}
	var parts []string
	for c := range n.ChildNodes() {
		parts = append(parts, r.node(c))
	}
	return strings.NewReplacer("( ", "(", " )", ")").Replace(strings.Join(parts, between))
}

func (r mathReader) node(n *html.Node) string {
	switch n.Data {
	case "mfrac":
		if r.aloud {
			return r.Say("{} over {}", r.grouped(r.part(n, 0)), r.grouped(r.part(n, 1)))
		}
		under := r.part(n, 1)
		if several(n.LastChild) {
			under = "(" + under + ")"
		}
		return r.grouped(r.part(n, 0)) + "/" + under
	case "msup":
		return r.power(r.part(n, 0), r.part(n, 1))
	case "msqrt":
		if r.aloud {
			return r.Say("the square root of {}", r.grouped(r.row(n)))
		}
		return "√(" + r.row(n) + ")"
	case "msub":
		if r.aloud {
			return r.part(n, 0) + " " + r.part(n, 1)
		}
		return r.part(n, 0) + "_" + r.part(n, 1)
	case "annotation":
		return ""
	case "mspace":
		return "\u00a0"
	case "mo":
		return r.sign(r.row(n))
	}
	if n.Type == html.TextNode {
		return n.Data
	}
	return r.row(n)
}

// part is the i-th child of a node as one line.
func (r mathReader) part(n *html.Node, i int) string {
	for c := range n.ChildNodes() {
		if i--; i < 0 {
			return r.node(c)
		}
	}
	return ""
}

// several reports whether a node holds more than one thing side by side.
func several(n *html.Node) bool {
	for n.FirstChild != nil && n.FirstChild == n.LastChild {
		n = n.FirstChild
	}
	return n.FirstChild != nil && n.Data == "mrow"
}

// grouped puts parentheses around a sum, which would be read wrongly without.
func (r mathReader) grouped(text string) string {
	for _, sign := range []string{"+", "−"} {
		if strings.Contains(text, strings.TrimRight(r.sign(sign), " ")) {
			return "(" + text + ")"
		}
	}
	return text
}

var raised = strings.NewReplacer("0", "⁰", "1", "¹", "2", "²", "3", "³", "4", "⁴", "5", "⁵", "6", "⁶", "7", "⁷", "8", "⁸", "9", "⁹")

func (r mathReader) power(base, exponent string) string {
	switch {
	case r.aloud && exponent == "2" && strings.HasPrefix(base, "("):
		return r.Say("the square of {}", r.grouped(base[1:len(base)-1]))
	case r.aloud && exponent == "2":
		return r.Say("{} squared", base)
	case r.aloud:
		return r.Say("{} to the power of {}", base, exponent)
	case strings.Trim(exponent, "0123456789") == "":
		return base + raised.Replace(exponent)
	}
	return base + "^(" + exponent + ")"
}

// sign is an operator with the spaces around it.
func (r mathReader) sign(text string) string {
	words := map[string]string{"·": "times", "+": "plus", "−": "minus", "=": "equals"}[text]
	switch {
	case words != "" && r.aloud:
		return " " + r.Say(words) + " "
	case text == "·" || words == "":
		return text
	}
	return " " + text + " "
}
