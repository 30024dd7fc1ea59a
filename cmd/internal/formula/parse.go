package formula

import (
	"maps"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"example.org/gripleaf/cmd/internal/fault"
)

// The parser descends once over the text. After a mistake it goes on, so that one formula tells all of its mistakes,
// and what it returns is useless then.
type texParser struct {
	scanner
	mistakes []Mistake
	alphabet alphabet // of the letters at hand
	closers  []string // tokens that end the constructs at hand, innermost last
	depth    int
	given    bool // nothing more is read or reported
}

// whole reads the formula to its end.
func (p *texParser) whole() row {
	r := p.list("")
	if len(r) == 0 && len(p.mistakes) == 0 {
		p.fail(0, len(p.src), "the formula is empty", "write something between the dollar signs, or \\$ for a dollar")
	}
	return r
}

// enter counts a level of nesting and gives up where it is one too many.
func (p *texParser) enter() {
	if p.depth++; p.depth > maxDepth {
		p.fail(min(p.pos, len(p.src)), 0, "the formula is nested too deeply here", "split it into several formulas")
		p.given, p.pos = true, len(p.src)
	}
}

func (p *texParser) leave() { p.depth-- }

// list reads up to closer, which it leaves in place, or up to a token that an outer construct waits for. Other closers
// are reported and skipped.
func (p *texParser) list(closer string) row {
	return settle(p.nodes(closer, nil), false)
}

func (p *texParser) nodes(closer string, ends []string) row {
	p.enter()
	defer p.leave()
	p.closers = append(p.closers, closer)
	defer func() { p.closers = p.closers[:len(p.closers)-1] }()
	var r row
	for {
		t := p.peek()
		switch {
		case t.text == "" || t.text == closer || slices.Contains(ends, t.text):
			return r
		case isCloser(t.text):
			if slices.Contains(p.closers, t.text) || p.inTable(t.text) {
				return r
			}
			p.stray(p.next())
		case t.text == `\displaystyle` || t.text == `\textstyle`:
			p.next()
			set := style(display)
			if t.text == `\textstyle` {
				set = inline
			}
			return append(r, styled{set, settle(p.nodes(closer, ends), false)})
		default:
			r = append(r, p.item()...)
		}
	}
}

func isCloser(text string) bool {
	switch text {
	case "}", "&", `\\`, `\end`, `\right`, `\middle`:
		return true
	}
	return false
}

// inTable reports whether text parts cells or rows of a table around here.
func (p *texParser) inTable(text string) bool {
	return (text == "&" || text == `\\`) && slices.Contains(p.closers, `\end`)
}

func (p *texParser) stray(t token) {
	switch t.text {
	case "}":
		p.fail(t.at, 1, "this } closes nothing", `put a { before it, or write \} for the sign`)
	case "&", `\\`:
		p.fail(t.at, len(t.text), t.text+" is only for cells and rows", `put the lines between \begin{aligned} and \end{aligned}`)
	case `\end`:
		p.fail(t.at, len(t.text), `this \end has no \begin`, "")
		p.braced(t)
	default: // \right and \middle
		p.fail(t.at, len(t.text), "this "+t.text+` has no \left`, `put \left( or \left. before it`)
		p.delimiter(t)
	}
}

// item reads one node with its scripts, or spaces. A command that could not be read gives nothing.
func (p *texParser) item() row {
	t := p.next()
	if width, ok := spaces[t.text]; ok {
		return row{space{width}}
	}
	var base node = row{}
	switch t.text {
	case "^", "_", "'", "’", "′":
		p.pos = t.at // nothing to hang on: an empty base
	default:
		base = p.nucleus(t, false)
	}
	if base == nil {
		return nil
	}
	return row{p.scripts(base)}
}

// scripts reads what hangs on base.
func (p *texParser) scripts(base node) node {
	s := script{base: base, stacked: stacks(base)}
	for {
		t := p.next()
		switch t.text {
		case "'", "’", "′":
			p.once(s.sup, t)
			s.primes++
		case "^":
			p.once(s.sup, t)
			s.sup = p.argument(t)
		case "_":
			p.once(s.sub, t)
			s.sub = p.argument(t)
		case `\limits`, `\nolimits`:
			s.base, s.stacked = p.limits(t, s.base)
		default:
			p.pos = t.at
			return hang(s)
		}
	}
}

func (p *texParser) once(taken node, t token) {
	if taken != nil {
		p.fail(t.at, 1, "a second script of the same kind", "put what belongs together in braces: {x^2}^3 or x^{2^3}")
	}
}

// hang finishes a node with scripts: the small circle of a number is a degree sign.
func hang(s script) node {
	if s.sub == nil && s.sup == nil && s.primes == 0 {
		return s.base
	}
	if above, ok := s.sup.(*atom); ok && above.text == "∘" && s.sub == nil && quantitative(s.base) {
		degree := symbols[`\degree`]
		return row{s.base, &degree}
	}
	return s
}

// quantitative reports whether n is a number or nothing.
func quantitative(n node) bool {
	switch n := n.(type) {
	case *atom:
		return n.kind == number
	case row:
		return len(n) == 0
	}
	return false
}

// stacks reports whether scripts of base stand below and above it.
func stacks(base node) bool {
	switch n := base.(type) {
	case *atom:
		return n.movable
	case accent:
		return n.mark == "⏞" || n.mark == "⏟"
	}
	return false
}

// limits applies \limits or \nolimits to a large operator.
func (p *texParser) limits(t token, base node) (node, bool) {
	a, ok := base.(*atom)
	if !ok || a.class != large {
		p.fail(t.at, len(t.text), t.text+" follows a large operator", `write it behind \sum, \int, \lim and the like`)
		return base, false
	}
	fixed := *a
	fixed.movable = false
	return &fixed, t.text == `\limits`
}

// argument reads the group or the single token behind a command.
func (p *texParser) argument(of token) node {
	p.enter()
	defer p.leave()
	t := p.next()
	switch {
	case t.text == "" || isCloser(t.text) || t.text == "^" || t.text == "_":
		p.pos = t.at
		p.fail(of.at, len(of.text), of.text+" needs something behind it", "write "+of.text+"{…}")
		return row{}
	case spaces[t.text] != "":
		p.fail(t.at, len(t.text), "a space is nothing to put behind "+of.text, "write "+of.text+"{…}")
		return row{}
	}
	n := p.nucleus(t, true)
	if n == nil {
		return row{}
	}
	return single(settle(row{n}, false))
}

// single unpacks a row of one node.
func single(r row) node {
	if len(r) == 1 {
		return r[0]
	}
	return r
}

// nucleus reads what begins with t. As an argument a number is one digit.
func (p *texParser) nucleus(t token, argument bool) node {
	switch {
	case t.text == "{":
		return p.group(t)
	case t.isCommand():
		return p.command(t)
	}
	if a, ok := characters[t.text]; ok {
		return p.drawn(a)
	}
	r, size := utf8.DecodeRuneInString(t.text)
	switch {
	case unicode.IsDigit(r) && argument:
		return &atom{kind: number, alphabet: p.alphabet, text: t.text}
	case unicode.IsDigit(r):
		text, size := numeral(p.src[t.at:], strings.HasSuffix(p.src[:t.at], ","))
		p.pos = t.at + size
		return &atom{kind: number, alphabet: p.alphabet, text: text}
	case unicode.IsLetter(r):
		return &atom{kind: identifier, alphabet: p.alphabet, text: t.text}
	}
	p.misplaced(t, r, size)
	return nil
}

func (p *texParser) misplaced(t token, r rune, size int) {
	hint := "leave it out, or put it into \\text{…}"
	switch {
	case strings.ContainsRune("%#$", r):
		hint = `write \` + t.text
	case r == '\\':
		hint = `write \backslash for the sign`
	case strings.ContainsRune("²³¹⁰⁴⁵⁶⁷⁸⁹", r):
		hint = "write ^ and the number"
	case strings.ContainsRune("₀₁₂₃₄₅₆₇₈₉", r):
		hint = "write _ and the number"
	case r == '√':
		hint = `write \sqrt{…}`
	}
	p.fail(t.at, size, t.text+" means nothing in a formula", hint)
}

// drawn gives letters and the slash of units the alphabet at hand.
func (p *texParser) drawn(a atom) *atom {
	if p.alphabet != italic && (a.kind == identifier && a.alphabet == italic || a.text == "/") {
		a.alphabet = p.alphabet
	}
	return &a
}

// group reads up to the } that belongs to t. A sign alone in braces is set without the spaces of an operator, as in
// 3{,}5.
func (p *texParser) group(t token) node {
	r := p.list("}")
	p.close("}", t)
	if len(r) == 1 {
		if a, ok := r[0].(*atom); ok {
			plain := *a
			if a.class != large {
				plain.class = ordinary
			}
			return &plain
		}
		return r[0]
	}
	return r
}

// close takes the closer of what t opened.
func (p *texParser) close(closer string, t token) bool {
	if p.took(closer) {
		return true
	}
	p.fail(t.at, len(t.text), "this "+t.text+" is never closed", "put a "+closer+" where it ends")
	return false
}

// command reads what the command t stands for.
func (p *texParser) command(t token) node {
	if a, ok := symbols[t.text]; ok {
		return p.drawn(a)
	}
	if a, ok := accents[t.text]; ok {
		a.base = p.argument(t)
		return a
	}
	if set, ok := alphabets[t.text]; ok {
		outer := p.alphabet
		p.alphabet = set
		n := p.argument(t)
		p.alphabet = outer
		return n
	}
	if size, ok := sizes[strings.TrimRight(t.text, "lrm")]; ok {
		return p.sized(t, size)
	}
	return p.structure(t)
}

// structure reads a command that is more than one atom.
func (p *texParser) structure(t token) node {
	switch t.text {
	case `\frac`, `\dfrac`, `\tfrac`, `\binom`:
		return p.fraction(t)
	case `\sqrt`:
		return p.root(t)
	case `\text`, `\textrm`, `\mbox`:
		text := p.prose(t)
		return &atom{kind: words, text: text}
	case `\operatorname`:
		return p.operatorName(t)
	case `\left`:
		return p.fence(t)
	case `\begin`:
		return p.environment(t)
	case `\overset`, `\stackrel`:
		above := p.argument(t)
		return script{base: p.related(t), sup: above, stacked: true}
	case `\underset`:
		below := p.argument(t)
		return script{base: p.related(t), sub: below, stacked: true}
	case `\phantom`, `\hphantom`, `\vphantom`:
		return hidden{row{p.argument(t)}, t.text != `\vphantom`, t.text != `\hphantom`}
	case `\limits`, `\nolimits`:
		p.limits(t, nil)
		return nil
	}
	p.unknown(t)
	return nil
}

// related reads an argument that stays an operator or a relation, though in braces.
func (p *texParser) related(t token) node {
	n := p.argument(t)
	if a, ok := n.(*atom); ok && a.kind == sign {
		a.class = max(a.class, characters[a.text].class)
	}
	return n
}

func (p *texParser) fraction(t token) node {
	f := fraction{over: p.argument(t), under: p.argument(t)}
	switch t.text {
	case `\dfrac`:
		f.style = display
	case `\tfrac`:
		f.style = inline
	case `\binom`:
		f.bare = true
		return fence{"(", ")", row{f}}
	}
	return f
}

func (p *texParser) root(t token) node {
	var r root
	if bracket := p.peek(); bracket.text == "[" {
		p.next()
		r.index = single(settle(p.nodes("]", nil), false))
		p.close("]", bracket)
	}
	r.of = p.argument(t)
	return r
}

// operatorName reads the name of a function that has no command of its own.
func (p *texParser) operatorName(t token) node {
	a := &atom{kind: name, class: large}
	if strings.HasPrefix(p.src[p.pos:], "*") {
		p.pos++
		a.movable = true
	}
	a.text = strings.TrimSpace(p.prose(t))
	return a
}

// prose reads a group of text. Its white space counts, and its backslashes stand before the characters that TeX keeps
// for itself.
func (p *texParser) prose(of token) string {
	raw, at, ok := p.rawGroup(of)
	if !ok {
		return ""
	}
	var b strings.Builder
	for i := 0; i < len(raw); {
		size := tokenLength(raw[i:])
		switch t := raw[i : i+size]; {
		case t == "{" || t == "}":
		case t == "~" || t == `\ ` || t == `\,`:
			b.WriteRune('\u00a0')
		case len(t) == 2 && strings.Contains(`%$#&_{}`, t[1:]):
			b.WriteByte(t[1])
		case t[0] == '\\':
			p.fail(at+i, size, t+" cannot stand in text", `write text only, and commands outside of \text{…}`)
		case strings.Contains("$#%&", t):
			p.fail(at+i, size, t+" cannot stand in text by itself", `write \`+t)
		default:
			b.WriteString(t)
		}
		i += size
	}
	return b.String()
}

// braced reads the name in braces behind a command, for \begin and \end.
func (p *texParser) braced(of token) (name string, at int) {
	raw, at, _ := p.rawGroup(of)
	return strings.TrimSpace(raw), at
}

// rawGroup returns what stands between { and its }, and where.
func (p *texParser) rawGroup(of token) (raw string, at int, ok bool) {
	open := p.peek()
	if open.text != "{" {
		p.fail(of.at, len(of.text), of.text+" needs braces behind it", "write "+of.text+"{…}")
		return "", p.pos, false
	}
	p.next()
	at = p.pos
	for level := 1; p.pos < len(p.src); {
		size := tokenLength(p.src[p.pos:])
		switch p.src[p.pos] {
		case '{':
			level++
		case '}':
			level--
		}
		p.pos += size
		if level == 0 {
			return p.src[at : p.pos-size], at, true
		}
	}
	p.fail(open.at, 1, "this { is never closed", "put a } where it ends")
	return p.src[at:], at, false
}

// sized reads a delimiter whose size the author chose.
func (p *texParser) sized(t token, size string) node {
	a := &atom{kind: sign, size: size, text: p.delimiter(t)}
	if known, ok := characters[a.text]; ok {
		a.class = known.class
	}
	switch t.text[len(t.text)-1] {
	case 'l':
		a.class = opening
	case 'r':
		a.class = closing
	case 'm':
		a.class = relation
	}
	return a
}

func (p *texParser) delimiter(of token) string {
	t := p.peek()
	text, ok := delimiters[t.text]
	if !ok {
		p.fail(of.at, len(of.text), of.text+" needs a delimiter behind it", `write one of ( ) [ ] \{ \} | \langle \rangle, or . for none`)
		return ""
	}
	p.next()
	return text
}

// fence reads from \left to its \right.
func (p *texParser) fence(t token) node {
	mistakes := len(p.mistakes)
	f := fence{left: p.delimiter(t)}
	begun := len(p.mistakes) == mistakes
	for {
		f.body = append(f.body, settle(p.nodes(`\right`, []string{`\middle`}), false)...)
		middle := p.peek()
		if middle.text != `\middle` {
			break
		}
		p.next()
		f.body = append(f.body, &atom{kind: sign, class: relation, size: grown, text: p.delimiter(middle)})
	}
	right := p.peek()
	if !p.took(`\right`) {
		if !begun {
			return f
		}
		p.fail(t.at, len(t.text), `this \left has no \right`, `put \right) or \right. where it ends`)
		return f
	}
	f.right = p.delimiter(right)
	return f
}

// environment reads from \begin to its \end.
func (p *texParser) environment(t token) node {
	name, at := p.braced(t)
	env, known := environments[name]
	if !known {
		p.fail(at, len(name), "there is no environment "+name,
			fault.Meant(name, slices.Collect(maps.Keys(environments))))
	}
	tab := table{environment: env, columns: env.columns}
	if name == "array" {
		tab.columns = p.columns(t)
	}
	tab.rows = p.rows(tab)
	end := p.peek()
	if !p.took(`\end`) {
		p.fail(t.at, len(t.text), `this \begin has no \end`, `put \end{`+name+"} where it ends")
		return tab
	}
	if closed, at := p.braced(end); known && closed != name {
		p.fail(at, len(closed), `\end{`+closed+`} does not end \begin{`+name+"}", `write \end{`+name+"}")
	}
	return tab
}

// columns reads how the columns of an array are aligned.
func (p *texParser) columns(t token) string {
	name, at := p.braced(t)
	var b strings.Builder
	for i, r := range name {
		switch r {
		case 'l', 'c', 'r':
			b.WriteRune(r)
		case ' ':
		default:
			p.fail(at+i, utf8.RuneLen(r), "a column of an array is l, c or r", "leave out "+string(r))
		}
	}
	if b.Len() == 0 {
		return "c"
	}
	return b.String()
}

// rows reads cells and rows up to \end; an empty last row does not count.
func (p *texParser) rows(tab table) [][]row {
	var rows [][]row
	cells := []row{}
	for {
		continues := tab.columns == "rl" && len(cells)%2 == 1
		cells = append(cells, settle(p.nodes(`\end`, []string{"&", `\\`}), continues))
		t := p.peek()
		switch t.text {
		case "&":
			p.next()
			continue
		case `\\`:
			p.next()
			if strings.HasPrefix(p.src[p.pos:], "[") {
				p.fail(p.pos, 1, "the distance between rows cannot be set", "leave out the brackets, or put a space before them")
			}
			rows = append(rows, cells)
			cells = []row{}
			continue
		}
		if len(cells) > 1 || len(cells[0]) > 0 {
			rows = append(rows, cells)
		}
		return rows
	}
}
