package expression

import (
	"html"
	"strings"
)

// A Quantity is what stands in a symbol's place.
type Quantity struct{ Number, Unit string }

// MathML writes the formula as a row of MathML Core. Without values it has its symbols; with them, what value gives for
// a symbol stands in its place, and symbols that it does not know stay.
func (f *Formula) MathML(value func(symbol string) (Quantity, bool)) string {
	w := &writer{value: value}
	w.node(&f.root)
	return "<mrow>" + w.String() + "</mrow>"
}

type writer struct {
	strings.Builder
	value func(string) (Quantity, bool)
}

func (w *writer) element(name, text string) {
	w.WriteString("<" + name + ">" + html.EscapeString(text) + "</" + name + ">")
}

func (w *writer) row(n *node) {
	w.WriteString("<mrow>")
	w.node(n)
	w.WriteString("</mrow>")
}

var operators = map[rune]string{'+': "+", '-': "−", '~': "−", '*': "·"}

func (w *writer) node(n *node) {
	switch n.operation {
	case 'n':
		w.element("mn", n.text)
	case 's':
		w.symbol(n.text)
	case 'f':
		w.element("mi", n.text)
		w.node(&n.parameters[0])
	case 'r':
		w.WriteString("<msqrt>")
		w.node(inner(&n.parameters[0]))
		w.WriteString("</msqrt>")
	case '/':
		w.WriteString("<mfrac>")
		w.row(inner(&n.parameters[0]))
		w.row(inner(&n.parameters[1]))
		w.WriteString("</mfrac>")
	case '^':
		w.WriteString("<msup>")
		w.base(&n.parameters[0])
		w.row(inner(&n.parameters[1]))
		w.WriteString("</msup>")
	case '(':
		w.element("mo", "(")
		w.node(&n.parameters[0])
		w.element("mo", ")")
	case '~':
		w.element("mo", "−")
		w.node(&n.parameters[0])
	default:
		w.node(&n.parameters[0])
		w.element("mo", operators[n.operation])
		w.node(&n.parameters[1])
	}
}

// inner takes parentheses off that a fraction bar or a root makes needless.
func inner(n *node) *node {
	if n.operation == '(' {
		return &n.parameters[0]
	}
	return n
}

// base is what a power stands on: a value with a unit needs parentheses.
func (w *writer) base(n *node) {
	if n.operation == 's' && w.value != nil {
		if q, ok := w.value(n.text); ok && q.Unit != "" {
			w.WriteString("<mrow><mo>(</mo>")
			w.node(n)
			w.WriteString("<mo>)</mo></mrow>")
			return
		}
	}
	w.row(n)
}

func (w *writer) symbol(name string) {
	if w.value != nil {
		if q, ok := w.value(name); ok {
			w.element("mn", q.Number)
			if q.Unit != "" {
				w.WriteString(`<mspace width="0.17em"/>`)
				w.element("mtext", q.Unit)
			}
			return
		}
	}
	letter, index, found := strings.Cut(name, "_")
	if !found {
		w.element("mi", letter)
		return
	}
	w.WriteString("<msub>")
	w.element("mi", letter)
	w.element("mi", index)
	w.WriteString("</msub>")
}
