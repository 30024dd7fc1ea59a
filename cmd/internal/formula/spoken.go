package formula

import (
	"strconv"
	"strings"
)

// What a formula sounds like in English. Words of grouping ("the fraction …,
// end of fraction") stand only where the sentence would be ambiguous without.

type speaker struct {
	strings.Builder
	pause bool // before the next word
}

func speak(r row) string {
	var s speaker
	s.row(r)
	return s.String()
}

// say adds words. A comma and its kin stand close to the word before.
func (s *speaker) say(words string) {
	if words == "" {
		return
	}
	close := strings.Contains(",;:.", words[:1])
	if s.pause && !close {
		s.WriteByte(',')
	}
	if s.Len() > 0 && !close {
		s.WriteByte(' ')
	}
	s.WriteString(words)
	s.pause = false
}

// end says where a group is over, with a pause on either side.
func (s *speaker) end(of string) {
	s.say(", end of " + of)
	s.pause = true
}

func (s *speaker) row(r row) {
	var before node
	for i, n := range r {
		if isSpace(n) {
			continue
		}
		following := next(r[i+1:])
		switch {
		case of(before, r[i:]):
			s.say("of")
		case multiplies(before, n):
			s.say("times")
		}
		if f, ok := n.(fraction); ok {
			s.fraction(f, multiplies(n, following))
		} else {
			s.node(n)
		}
		if a := core(n); a != nil && a.class == large && applies(r[i+1:]) {
			s.say("of")
		}
		before = n
	}
}

// of reports whether r begins with what a function is of, one letter in
// parentheses: v(t).
func of(before node, r row) bool {
	a := core(before)
	if a == nil || a.kind != identifier {
		return false
	}
	if f, ok := r[0].(fence); ok {
		return f.left == "(" && len(f.body) == 1
	}
	open, ok := r[0].(*atom)
	if !ok || open.text != "(" || len(r) < 3 {
		return false
	}
	inner, single := r[1].(*atom)
	return single && inner.kind == identifier && classOf(r[2]) == closing
}

// multiplies reports whether two neighbours are factors of a product.
func multiplies(before, n node) bool {
	if before == nil || n == nil || unit(n) || unit(before) || differs(before) || degrees(n) || !factor(before) || !factor(n) {
		return false
	}
	a, b := classOf(before), classOf(n)
	return (a == ordinary || a == closing) && (b == ordinary || b == opening || b == large)
}

// factor reports whether n is something that can be multiplied.
func factor(n node) bool {
	switch n := n.(type) {
	case hidden:
		return false
	case *atom:
		return n.kind != words && (n.kind != sign || n.class != ordinary)
	}
	return true
}

// degrees reports whether n is a degree or percent sign, alone or after nothing.
func degrees(n node) bool {
	switch n := n.(type) {
	case *atom:
		return n.text == "°" || n.text == "%"
	case row:
		return len(n) == 2 && quantitative(n[0]) && !isNumber(n[0]) && degrees(n[1])
	}
	return false
}

// node says one node; a type switch over all kinds of nodes.
func (s *speaker) node(n node) {
	switch n := n.(type) {
	case row:
		s.row(n)
	case *atom:
		s.atom(n)
	case fraction:
		s.fraction(n, false)
	case root:
		s.root(n)
	case script:
		s.script(n)
	case accent:
		s.say(strings.Replace(n.spoken, "{}", speak(row{n.base}), 1))
	case fence:
		s.delimiter(n.left, opening)
		s.row(n.body)
		s.delimiter(n.right, closing)
	case table:
		s.table(n)
	case styled:
		s.row(n.body)
	}
}

func (s *speaker) atom(a *atom) {
	switch {
	case a.kind == sign && (a.class == opening || a.class == closing):
		s.delimiter(a.text, a.class)
	case a.text == "/" && a.alphabet == upright:
		s.say("per")
	default:
		s.say(a.spoken)
	}
}

func (s *speaker) delimiter(text string, c class) {
	switch text {
	case "|":
		s.around("absolute value", c)
		return
	case "‖":
		s.around("norm", c)
		return
	}
	for _, command := range []string{`\{`, `\}`, `\langle`, `\rangle`, `\lfloor`, `\rfloor`, `\lceil`, `\rceil`} {
		if symbols[command].text == text {
			s.say(symbols[command].spoken)
			return
		}
	}
	s.say(characters[text].spoken)
}

func (s *speaker) around(what string, c class) {
	if c == opening {
		s.say("the " + what + " of")
	} else {
		s.end(what)
	}
}

func (s *speaker) fraction(f fraction, followed bool) {
	over, under := speak(row{f.over}), speak(row{f.under})
	switch {
	case f.bare:
		s.say(over + " choose " + under)
	case over == "1" && under == "2":
		s.say("one half")
	case !followed && product(f.over) && product(f.under):
		s.say(over + " over " + under)
	default:
		s.say("the fraction " + over + " over " + under)
		s.end("fraction")
	}
}

func (s *speaker) root(r root) {
	index := ""
	if r.index != nil {
		index = speak(row{r.index})
	}
	switch index {
	case "", "2":
		s.say("the square root of")
	case "3":
		s.say("the cube root of")
	default:
		s.say("the root of order " + index + " of")
	}
	s.node(r.of)
	if !brief(r.of) {
		s.end("root")
	}
}

// brief reports whether n is over before a listener could lose its beginning.
func brief(n node) bool {
	switch n := n.(type) {
	case *atom:
		return true
	case script:
		return brief(n.base)
	case row:
		return len(n) == 0 || len(n) == 2 && classOf(n[0]) == unary && brief(n[1])
	}
	return false
}

func (s *speaker) script(n script) {
	a := core(n.base)
	switch {
	case a != nil && a.class == large && (a.kind == sign || n.stacked):
		s.limits(n, a)
		return
	case n.stacked:
		s.node(n.base)
		_, braced := n.base.(accent)
		s.placed(n.sub, "below", braced)
		s.placed(n.sup, "above", braced)
		return
	}
	s.node(n.base)
	if n.sub != nil {
		s.say(map[bool]string{true: "to the base", false: "sub"}[a != nil && a.text == "log"])
		s.node(n.sub)
		if !brief(n.sub) {
			s.end("sub")
		}
	}
	for range n.primes {
		s.say("prime")
	}
	if n.sup != nil {
		s.power(n.sup)
	}
}

// limits says what a sum, an integral or a limit is taken over.
func (s *speaker) limits(n script, a *atom) {
	s.say(a.spoken)
	switch {
	case n.sub != nil && n.sup != nil:
		s.say("from")
		s.node(n.sub)
		s.say("to")
		s.node(n.sup)
	case n.sub != nil:
		s.say(map[bool]string{true: "as", false: "over"}[strings.HasPrefix(a.text, "lim")])
		s.node(n.sub)
	default:
		s.say("to")
		s.node(n.sup)
	}
}

// placed says what is set below or above something, or what its brace is marked.
func (s *speaker) placed(n node, where string, braced bool) {
	switch {
	case n == nil:
	case braced:
		s.say("marked " + speak(row{n}))
		s.pause = true
	default:
		s.say("with " + speak(row{n}) + " " + where)
	}
}

func (s *speaker) power(n node) {
	switch said := speak(row{n}); {
	case said == "prime":
		s.say(said)
	case said == "2":
		s.say("squared")
	case said == "3":
		s.say("cubed")
	default:
		s.say("to the power " + said)
		if !brief(n) {
			s.end("power")
		}
	}
}

func (s *speaker) table(t table) {
	env := t.environment
	if env.spoken != "" {
		s.say(env.spoken)
	}
	matrix := !env.display && env.name != "cases"
	for i, cells := range t.rows {
		if i > 0 {
			s.say(";")
		}
		if matrix {
			s.say("row " + strconv.Itoa(i+1) + ":")
		}
		for j, cell := range cells {
			if said := speak(cell); j > 0 && matrix {
				s.say(", " + said)
			} else {
				s.say(said)
			}
		}
	}
	if env.spoken != "" {
		s.end(strings.TrimPrefix(strings.TrimSuffix(env.spoken, " of"), "the "))
	}
}
