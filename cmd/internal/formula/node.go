package formula

// What a formula consists of. The parser makes these, and the writer of MathML reads them.

// A node is a row, *atom, space, fraction, root, script, accent, fence, table, styled or hidden.
type node any

// A row is nodes side by side. Within another node it was a group in braces.
type row []node

// A kind is what an atom stands for.
type kind uint8

const (
	identifier kind = iota // a variable, a unit, a name
	number
	sign  // an operator, a relation, a delimiter, punctuation
	name  // of a function, such as sin
	words // text between letters of mathematics
)

// A class is the part that an atom plays among its neighbours; spaces follow from it (Knuth, The TeXbook, chapter 17).
type class uint8

const (
	ordinary class = iota
	large          // ∑, lim, sin
	binary         // +
	unary          // a binary sign that has nothing to its left: −3
	relation
	opening
	closing
	punctuation
)

// An alphabet is how letters are drawn.
type alphabet uint8

const (
	italic alphabet = iota // as mathematics does: a variable is slanted
	fixed                  // as the character is, whatever the author chose
	upright
	bold
	slanted // every letter, also in names
	doubled // ℝ
)

// An atom is a number, a letter, a name or a sign.
type atom struct {
	kind     kind
	class    class
	alphabet alphabet
	movable  bool   // limits stand below and above it in display
	size     string // of a delimiter, in em; "" is that of a letter, grown that of its fence
	text     string // in Unicode
}

const grown = "grown"

// A space is a distance between neighbours, in em.
type space struct{ width string }

type fraction struct {
	over, under node
	style       style
	bare        bool // without its bar
}

// A style sets displaystyle and scriptlevel.
type style uint8

const (
	inherited style = iota
	display
	inline
)

type root struct {
	of    node
	index node // nil for a square root
}

type script struct {
	base, sub, sup node // nil where there is none
	primes         int
	stacked        bool // limits: below and above instead of at the side
}

type accent struct {
	base  node
	mark  string
	below bool
	wide  bool // grows with the base
}

// A fence grows with what it holds; an empty delimiter draws nothing.
type fence struct {
	left, right string
	body        row
}

type table struct {
	environment environment
	columns     string // of an array: l, c, r
	rows        [][]row
}

type styled struct {
	style style
	body  row
}

// A hidden node takes the room of what it holds and draws nothing.
type hidden struct {
	body          row
	width, height bool // which of its measures count
}

// classOf returns the part that a node plays among its neighbours.
func classOf(n node) class {
	switch n := n.(type) {
	case *atom:
		return n.class
	case script:
		return classOf(n.base)
	}
	return ordinary
}

// core returns the atom that a node with scripts hangs on, or nil.
func core(n node) *atom {
	switch n := n.(type) {
	case *atom:
		return n
	case script:
		return core(n.base)
	}
	return nil
}

func isSpace(n node) bool {
	_, ok := n.(space)
	return ok
}

// settle finds out which signs of a row have nothing to act on to their left, which bars open and which close, and
// joins letters of one upright name. A row that continues another one has something to its left.
func settle(r row, continues bool) row {
	r = join(r)
	bars(r)
	before := binary // as if: a sign at the start acts on what follows
	if continues {
		before = ordinary
	}
	for i, n := range r {
		if isSpace(n) {
			continue
		}
		a := core(n)
		if a != nil && a.class == binary {
			a.class = role(before, after(r[i+1:]))
		}
		before = classOf(n)
	}
	return r
}

// role returns what a binary sign is between these two.
func role(before, after class) class {
	switch before {
	case large, binary, unary, relation, opening, punctuation:
		return unary
	}
	switch after {
	case relation, closing, punctuation:
		return ordinary
	}
	return binary
}

// after returns the class of the first node that is not a space; the end of a row closes.
func after(r row) class {
	for _, n := range r {
		if !isSpace(n) {
			return classOf(n)
		}
	}
	return closing
}

// bars pairs the signs | and ‖, which look alike on both sides.
func bars(r row) {
	var open *atom
	for _, n := range r {
		a := core(n)
		if a == nil || a.kind != sign || a.class != ordinary || a.text != "|" && a.text != "‖" {
			continue
		}
		if open == nil {
			open = a
		} else if open.text == a.text {
			open.class, a.class = opening, closing
			open = nil
		}
	}
}

// join makes one name of neighbouring letters that are not set as variables.
func join(r row) row {
	joined := r[:0:0]
	for _, n := range r {
		a, ok := n.(*atom)
		if last := len(joined) - 1; ok && last >= 0 {
			if b, isAtom := joined[last].(*atom); isAtom && b.joins(a) {
				joined[last] = &atom{kind: a.kind, alphabet: a.alphabet, text: b.text + a.text}
				continue
			}
		}
		joined = append(joined, n)
	}
	return joined
}

func (a *atom) joins(b *atom) bool {
	return a.kind == identifier && b.kind == identifier && a.class == ordinary && b.class == ordinary &&
		a.alphabet > fixed && a.alphabet == b.alphabet
}
