package formula

import (
	"strings"
	"unicode/utf8"
)

// One line for a terminal: what Unicode can raise or lower is, the rest keeps
// TeX's ^ and _, and a fraction is a slash with the parentheses that it needs.

// plain returns a row as one line with single spaces.
func plain(r row) string { return strings.Join(strings.Fields(line(r)), " ") }

func line(n node) string {
	switch n := n.(type) {
	case row:
		return rowLine(n)
	case *atom:
		return n.text
	case fraction:
		return ratio(n)
	case root:
		return rootLine(n)
	case script:
		return scriptLine(n)
	case accent:
		return accentLine(n)
	case fence:
		return n.left + rowLine(n.body) + n.right
	case table:
		return tableLine(n)
	case styled:
		return rowLine(n.body)
	}
	return " " // a space, or a thing that only takes up room
}

func rowLine(r row) string {
	var b strings.Builder
	var before node
	for i, n := range r {
		if isSpace(n) {
			b.WriteByte(' ')
			continue
		}
		if before != nil && spaced(before, n) {
			b.WriteByte(' ')
		}
		_, divided := n.(fraction)
		following := next(r[i+1:])
		if divided && (multiplies(before, n) || multiplies(n, following) || following != nil && unit(following)) {
			b.WriteString("(" + line(n) + ")")
		} else {
			b.WriteString(line(n))
		}
		before = n
	}
	return b.String()
}

// next returns the first node that is no space, or nil.
func next(r row) node {
	for _, n := range r {
		if !isSpace(n) {
			return n
		}
	}
	return nil
}

// spaced reports whether a space belongs between two neighbours.
func spaced(before, n node) bool {
	a, b := classOf(before), classOf(n)
	switch {
	case a == binary || a == relation || a == punctuation || b == binary || b == relation:
		return true
	case a == opening || a == unary || b == closing || b == punctuation || wordy(before) || wordy(n):
		return false
	case named(before) || a == large:
		_, fenced := n.(fence)
		return b != opening && !fenced
	case named(n):
		return true
	case b == ordinary && a == ordinary:
		if mark(before) || mark(n) {
			return false
		}
		return long(before) || long(n) || isNumber(n) || isNumber(before) && unit(n)
	}
	return false
}

func wordy(n node) bool {
	a, ok := n.(*atom)
	return ok && a.kind == words
}

// mark reports whether n is a sign that stands close to its neighbours.
func mark(n node) bool {
	a, ok := n.(*atom)
	return ok && a.kind == sign
}

func isNumber(n node) bool {
	a := core(n)
	return a != nil && a.kind == number
}

// long reports whether n would run into its neighbour: a name of several
// letters, or one with a script that is not raised or lowered.
func long(n node) bool {
	if s, ok := n.(script); ok && !(small(s.sub) && small(s.sup)) {
		return true
	}
	a := core(n)
	return a != nil && a.kind == identifier && utf8.RuneCountInString(a.text) > 1
}

// unit reports whether n is set as units are.
func unit(n node) bool {
	if r, ok := n.(row); ok && len(r) > 0 {
		return unit(r[0])
	}
	a := core(n)
	return a != nil && a.kind == identifier && a.alphabet == upright
}

func ratio(f fraction) string {
	if f.bare {
		return line(f.over) + " choose " + line(f.under)
	}
	over, under := line(f.over), line(f.under)
	if !product(f.over) {
		over = "(" + over + ")"
	}
	if !tight(f.under) {
		under = "(" + under + ")"
	}
	return over + "/" + under
}

// product reports whether n holds no sum, relation or fraction of its own.
func product(n node) bool {
	switch n := n.(type) {
	case fraction, table:
		return false
	case row:
		for _, part := range n {
			switch classOf(part) {
			case relation, punctuation:
				return false
			case binary:
				if a := core(part); a.spoken != "times" {
					return false
				}
			}
			if !product(part) {
				return false
			}
		}
	}
	return true
}

// tight reports whether n holds together without parentheses.
func tight(n node) bool {
	switch n := n.(type) {
	case *atom, accent, root:
		return true
	case script:
		return tight(n.base)
	case fence:
		return n.left != "" && n.right != ""
	case row:
		return len(n) == 0 || len(n) == 2 && differs(n[0])
	}
	return false
}

// differs reports whether n makes one quantity with what follows: Δv.
func differs(n node) bool {
	a, ok := n.(*atom)
	return ok && (a.text == "Δ" || a.text == "∂" || a.text == "∇")
}

func held(n node) string {
	if tight(n) {
		return line(n)
	}
	return "(" + line(n) + ")"
}

var rootSigns = map[string]string{"": "√", "2": "√", "3": "∛", "4": "∜"}

func rootLine(r root) string {
	index := ""
	if r.index != nil {
		index = line(r.index)
	}
	mark, ok := rootSigns[index]
	if !ok {
		if !tight(r.index) {
			index = "(" + index + ")"
		}
		return held(r.of) + "^(1/" + index + ")"
	}
	if _, ok := r.of.(*atom); ok {
		return mark + line(r.of)
	}
	return mark + "(" + line(r.of) + ")"
}

const (
	level   = "0123456789+−()n"
	raised  = "⁰¹²³⁴⁵⁶⁷⁸⁹⁺⁻⁽⁾ⁿ"
	lowered = "₀₁₂₃₄₅₆₇₈₉₊₋₍₎ₙ"
)

func scriptLine(s script) string {
	out := held(s.base)
	if _, braced := s.base.(accent); braced && s.stacked {
		for _, label := range []node{s.sub, s.sup} {
			if label != nil {
				out += " (" + line(label) + ")"
			}
		}
		return out
	}
	if s.sub != nil {
		out += moved(s.sub, "_", lowered)
	}
	out += primes(s.primes)
	if s.sup != nil {
		out += moved(s.sup, "^", raised)
	}
	return out
}

// moved returns a script in small characters if Unicode has them all, and
// behind its TeX mark otherwise.
func moved(n node, mark, characters string) string {
	text := strings.TrimSpace(line(n))
	if small(n) {
		return strings.Map(func(r rune) rune {
			at := utf8.RuneCountInString(level[:strings.IndexRune(level, r)])
			return []rune(characters)[at]
		}, text)
	}
	if _, single := n.(*atom); !single {
		text = "(" + text + ")"
	}
	return mark + text
}

// small reports whether Unicode has n in small, raised and lowered characters.
func small(n node) bool {
	switch n := n.(type) {
	case nil:
		return true
	case *atom:
		return n.text != "" && strings.Trim(n.text, level) == "" && n.class != binary
	case row:
		for _, part := range n {
			if !small(part) {
				return false
			}
		}
		return len(n) > 0
	}
	return false
}

// combining are the marks that Unicode puts on the character before them.
var combining = map[string]string{
	"¯": "\u0304", "→": "\u20d7", "^": "\u0302", "~": "\u0303", "˙": "\u0307", "¨": "\u0308", "ˇ": "\u030c", "_": "\u0332", "←": "\u20d6", "↔": "\u20e1",
}

func accentLine(a accent) string {
	base, mark := line(a.base), combining[a.mark]
	if !a.wide {
		return base + mark
	}
	if mark == "\u0304" {
		mark = "\u0305" // joins its neighbours
	}
	var b strings.Builder
	for _, r := range base {
		b.WriteRune(r)
		b.WriteString(mark)
	}
	return b.String()
}

func tableLine(t table) string {
	between := ", "
	if t.environment.display {
		between = " "
	}
	var rows []string
	for _, cells := range t.rows {
		var texts []string
		for _, c := range cells {
			texts = append(texts, plain(c))
		}
		rows = append(rows, strings.ReplaceAll(strings.Join(texts, between), ",, ", ", "))
	}
	left, right := t.environment.left, t.environment.right
	if left == "" && !t.environment.display {
		left, right = "[", "]"
	}
	return left + strings.Join(rows, "; ") + right
}
