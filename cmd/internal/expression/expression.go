// Package expression reads a plain formula as an author writes it in a line, "v²/(2·µ·g)", works it out with values for
// its symbols, and writes it as MathML with the symbols or with the values in their place.
//
// There are numbers, symbols (a letter, perhaps with an index after _), + − · / and powers, the root √, the functions
// of trigonometry, and parentheses. A product is written with its sign: "2·g", not "2g".
package expression

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Error is a formula that cannot be read or worked out.
type Error struct {
	Offset, Length int // bytes of the text
	Text, Hint     string
}

func (e *Error) Error() string { return e.Text }

// Formula is a formula, read.
type Formula struct{ root node }

// node is a number, a symbol, or an operation on other nodes.
type node struct {
	operation  rune // 'n' number, 's' symbol, 'f' function, 'r' root, '-' difference, '~' negation, '+', '*', '/', '^', '('
	text       string
	at         int
	number     float64
	parameters []node
}

var functions = map[string]func(float64) float64{
	"sin": math.Sin, "cos": math.Cos, "tan": math.Tan, "asin": math.Asin, "acos": math.Acos, "atan": math.Atan,
}

const deepest = 40 // parentheses within each other

type parser struct {
	text  string
	at    int
	depth int
}

// Parse reads a formula.
func Parse(text string) (*Formula, error) {
	p := &parser{text: text}
	root, err := p.sum()
	if err == nil && p.peek() != 0 {
		err = p.wrong("this does not belong here", "write products with ·, and powers as ² or ^2")
	}
	if err != nil {
		return nil, err
	}
	return &Formula{root}, nil
}

// peek is the next sign that is not space; 0 at the end.
func (p *parser) peek() rune {
	for p.at < len(p.text) {
		r, size := utf8.DecodeRuneInString(p.text[p.at:])
		if !unicode.IsSpace(r) {
			return r
		}
		p.at += size
	}
	return 0
}

func (p *parser) next() { _, size := utf8.DecodeRuneInString(p.text[p.at:]); p.at += size }

func (p *parser) wrong(text, hint string) error {
	_, size := utf8.DecodeRuneInString(p.text[p.at:])
	return &Error{p.at, size, text, hint}
}

// The signs of operations between two operands, as they may be typed.
var (
	sums     = map[rune]rune{'+': '+', '-': '-', '−': '-', '–': '-'}
	products = map[rune]rune{'·': '*', '*': '*', '×': '*', '⋅': '*', '/': '/', '÷': '/', ':': '/'}
)

func (p *parser) sum() (node, error) { return p.chain(p.product, sums) }

func (p *parser) product() (node, error) { return p.chain(p.signed, products) }

// chain reads operands with signs between them, which are worked out from the left.
func (p *parser) chain(operand func() (node, error), signs map[rune]rune) (node, error) {
	left, err := operand()
	for err == nil {
		at := p.at
		operation, ok := signs[p.peek()]
		if !ok {
			return left, nil
		}
		p.next()
		var right node
		right, err = operand()
		left = node{operation: operation, at: at, parameters: []node{left, right}}
	}
	return left, err
}

func (p *parser) signed() (node, error) {
	at := p.at
	switch p.peek() {
	case '-', '−':
		p.next()
		n, err := p.power()
		return node{operation: '~', at: at, parameters: []node{n}}, err
	}
	return p.power()
}

var superscripts = map[rune]float64{'⁰': 0, '¹': 1, '²': 2, '³': 3, '⁴': 4, '⁵': 5}

func (p *parser) power() (node, error) {
	base, err := p.atom()
	if err != nil {
		return base, err
	}
	at := p.at
	if n, ok := superscripts[p.peek()]; ok {
		p.next()
		exponent := node{operation: 'n', text: string(rune('0' + int(n))), number: n}
		return node{operation: '^', at: at, parameters: []node{base, exponent}}, nil
	}
	if p.peek() != '^' {
		return base, nil
	}
	p.next()
	exponent, err := p.signed()
	return node{operation: '^', at: at, parameters: []node{base, exponent}}, err
}

func (p *parser) atom() (node, error) {
	r, at := p.peek(), p.at
	switch {
	case r == 0:
		return node{}, p.wrong("the formula ends too early", "write what is missing")
	case r == '(':
		return p.group()
	case r == '√':
		p.next()
		n, err := p.atom()
		return node{operation: 'r', at: at, parameters: []node{n}}, err
	case '0' <= r && r <= '9':
		return p.number()
	case unicode.IsLetter(r):
		return p.name()
	}
	return node{}, p.wrong("this does not belong here", "use numbers, symbols, + − · /, powers, √ and parentheses")
}

func (p *parser) group() (node, error) {
	at := p.at
	if p.depth++; p.depth > deepest {
		return node{}, p.wrong("too many parentheses within each other", "take the formula apart")
	}
	p.next()
	n, err := p.sum()
	if err != nil {
		return n, err
	}
	if p.peek() != ')' {
		return n, &Error{at, 1, "this parenthesis is not closed", "write the missing )"}
	}
	p.next()
	p.depth--
	return node{operation: '(', at: at, parameters: []node{n}}, nil
}

func (p *parser) number() (node, error) {
	at := p.at
	for p.at < len(p.text) && (p.text[p.at] == '.' || '0' <= p.text[p.at] && p.text[p.at] <= '9') {
		p.at++
	}
	text := p.text[at:p.at]
	value, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return node{}, &Error{at, len(text), text + " is not a number", "write it with one decimal point"}
	}
	return node{operation: 'n', text: text, at: at, number: value}, nil
}

// name reads a symbol, or a function with its argument in parentheses.
func (p *parser) name() (node, error) {
	at := p.at
	for p.at < len(p.text) {
		r, size := utf8.DecodeRuneInString(p.text[p.at:])
		if !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '_' || superscripts[r] != 0 {
			break
		}
		p.at += size
	}
	text := p.text[at:p.at]
	if _, ok := functions[text]; ok {
		if p.peek() != '(' {
			return node{}, p.wrong(text+" has no argument", "write "+text+"(…)")
		}
		n, err := p.group()
		return node{operation: 'f', text: text, at: at, parameters: []node{n}}, err
	}
	return node{operation: 's', text: text, at: at}, nil
}

func (n *node) each(visit func(*node)) {
	visit(n)
	for i := range n.parameters {
		n.parameters[i].each(visit)
	}
}

// Symbols are the symbols of the formula, each once, in its order.
func (f *Formula) Symbols() []string {
	var names []string
	f.root.each(func(n *node) {
		if n.operation == 's' && !slices.Contains(names, n.text) {
			names = append(names, n.text)
		}
	})
	return names
}

// Work works the formula out in SI. A symbol without value, and a result that is not finite, is an *Error.
func (f *Formula) Work(value func(symbol string) (float64, bool)) (float64, error) {
	var err error
	f.root.each(func(n *node) {
		if n.operation != 's' || err != nil {
			return
		}
		if _, ok := value(n.text); !ok {
			err = &Error{n.at, len(n.text), "nothing here has the symbol " + n.text, ""}
		}
	})
	if err != nil {
		return 0, err
	}
	v := f.root.work(value)
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return 0, &Error{0, 0, "the formula gives no number", "look for a division by zero or the root of a negative number"}
	}
	return v, nil
}

func (n *node) work(value func(string) (float64, bool)) float64 {
	p := func(i int) float64 { return n.parameters[i].work(value) }
	switch n.operation {
	case 'n':
		return n.number
	case 's':
		v, _ := value(n.text)
		return v
	case 'f':
		return functions[n.text](p(0))
	case 'r':
		return math.Sqrt(p(0))
	case '~':
		return -p(0)
	case '+':
		return p(0) + p(1)
	case '-':
		return p(0) - p(1)
	case '*':
		return p(0) * p(1)
	case '/':
		return p(0) / p(1)
	case '^':
		return math.Pow(p(0), p(1))
	}
	return p(0) // a group
}

// normal makes µ (the sign) and μ (the letter) one.
func normal(symbol string) string { return strings.ReplaceAll(symbol, "μ", "µ") }

// Same reports whether two symbols are the same for a reader.
func Same(a, b string) bool { return normal(a) == normal(b) }
