package formula

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// MathML Core as W3C defines it (https://www.w3.org/TR/mathml-core/). What it leaves to style sheets, such as how
// columns are aligned, is told by class names that begin with "formula-"; [StyleSheet] has their rules.

const namespace = "http://www.w3.org/1998/Math/MathML"

// A writer writes the elements of one formula.
type writer struct{ strings.Builder }

func markup(r row, tex string, display bool) string {
	var w writer
	w.WriteString(`<math xmlns="` + namespace + `"`)
	if display {
		w.WriteString(` display="block"`)
	}
	w.WriteString(`><semantics>`)
	w.group(r)
	w.WriteString(`<annotation encoding="application/x-tex">`)
	w.text(strings.TrimSpace(tex))
	w.WriteString(`</annotation></semantics></math>`)
	return w.String()
}

var escapes = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&quot;", "\u2061", "&#x2061;")

func (w *writer) text(s string) { w.WriteString(escapes.Replace(s)) }

// element writes an element that holds text. Attributes are pairs of a name and a value; one with an empty value is
// left out.
func (w *writer) element(tag, text string, attributes ...string) {
	w.open(tag, attributes...)
	w.text(text)
	w.close(tag)
}

func (w *writer) open(tag string, attributes ...string) {
	w.WriteString("<" + tag)
	for i := 0; i < len(attributes); i += 2 {
		if attributes[i+1] != "" {
			w.WriteString(" " + attributes[i] + `="`)
			w.text(attributes[i+1])
			w.WriteByte('"')
		}
	}
	w.WriteByte('>')
}

func (w *writer) close(tag string) { w.WriteString("</" + tag + ">") }

func (w *writer) space(width string) {
	if width[0] == '-' { // an mspace cannot be negative, but its margin can
		w.element("mspace", "", "class", "formula-tight")
		return
	}
	w.element("mspace", "", "width", width)
}

// group writes a row as the one element that another needs of it.
func (w *writer) group(r row) {
	if len(r) == 1 {
		w.node(r[0])
		return
	}
	w.open("mrow")
	w.row(r)
	w.close("mrow")
}

// row writes nodes side by side. Names of functions stand a thin space off their neighbours, which MathML has no rule
// for.
func (w *writer) row(r row) {
	var before node
	for i, n := range r {
		if isSpace(n) {
			w.node(n)
			continue
		}
		if before != nil && !isSpace(r[i-1]) && apart(before, n) {
			w.space(spaces[`\,`])
		}
		if a, ok := n.(*atom); ok && i == 0 && a.class == binary {
			w.sign(a, "form", "infix")
		} else {
			w.node(n)
		}
		if named(n) && applies(r[i+1:]) {
			w.element("mo", "\u2061")
		}
		before = n
	}
}

// named reports whether n is the name of a function, with scripts or without.
func named(n node) bool {
	a := core(n)
	return a != nil && a.kind == name
}

// applies reports whether something follows that a function can be applied to.
func applies(r row) bool {
	if len(r) == 0 {
		return false
	}
	switch after(r) {
	case ordinary, large, opening:
		return true
	}
	return false
}

// apart reports whether two neighbours stand a thin space apart, since one of them is the name of a function.
func apart(before, n node) bool {
	_, fenced := n.(fence)
	switch a, b := classOf(before), classOf(n); {
	case named(before):
		return !fenced && (b == ordinary || named(n))
	case named(n):
		return a == ordinary || a == closing
	}
	return false
}

// node writes one element; a type switch over all kinds of nodes.
func (w *writer) node(n node) {
	switch n := n.(type) {
	case row:
		w.group(n)
	case *atom:
		w.atom(n)
	case space:
		w.space(n.width)
	case fraction:
		w.fraction(n)
	case root:
		w.root(n)
	case script:
		w.script(n)
	case accent:
		w.accent(n)
	case fence:
		w.fence(n)
	case table:
		w.table(n)
	case styled:
		w.open("mstyle", n.style.attributes()...)
		w.row(n.body)
		w.close("mstyle")
	case hidden:
		w.hidden(n)
	}
}

func (w *writer) atom(a *atom) {
	switch a.kind {
	case number:
		w.element("mn", a.drawn())
	case words:
		w.element("mtext", hard(a.text))
	case sign:
		w.sign(a)
	case name:
		if a.movable {
			w.sign(a)
			return
		}
		w.element("mi", a.text, "mathvariant", a.variant())
	default:
		w.element("mi", a.drawn(), "mathvariant", a.variant())
	}
}

// variant keeps a browser from slanting a single letter that does not stand for a variable.
func (a *atom) variant() string {
	r, size := utf8.DecodeRuneInString(a.text)
	if size == len(a.text) && unicode.IsLetter(r) && (a.kind == name || a.alphabet == fixed || a.alphabet == upright) {
		return "normal"
	}
	return ""
}

// hard keeps white space at the ends of text, where XML does not count.
func hard(s string) string {
	inner := strings.Trim(s, " \t\r\n")
	if inner == "" {
		return strings.Repeat("\u00a0", min(len(s), 1))
	}
	at := strings.Index(s, inner)
	lead, trail := s[:at], s[at+len(inner):]
	return strings.Repeat("\u00a0", min(len(lead), 1)) + inner + strings.Repeat("\u00a0", min(len(trail), 1))
}

// sign writes an operator with what distinguishes it from the entry of its character in MathML's operator dictionary.
func (w *writer) sign(a *atom, attributes ...string) {
	growing := ""
	if strings.Contains("()[]{}⟨⟩⌊⌋⌈⌉|‖↑↓∣∥", a.text) {
		growing = "false"
	}
	if a.size != "" {
		growing = "true"
	}
	switch a.class {
	case large:
		if a.kind == name {
			attributes = append(attributes, "form", "prefix", "lspace", "0", "rspace", "0")
		}
		if a.movable {
			attributes = append(attributes, "movablelimits", "true")
		}
	case unary, opening:
		attributes = append(attributes, "form", "prefix")
	case closing:
		attributes = append(attributes, "form", "postfix")
	case ordinary:
		if !strings.ContainsAny(a.text, "′″‴⁗") {
			attributes = append(attributes, "lspace", "0", "rspace", "0")
		}
	case punctuation:
		if a.text == ":" {
			attributes = append(attributes, "lspace", "0", "rspace", spaces[`\:`])
		}
	}
	attributes = append(attributes, "stretchy", growing)
	if a.size != "" && a.size != grown {
		attributes = append(attributes, "minsize", a.size, "maxsize", a.size)
	}
	w.element("mo", a.text, attributes...)
}

func (s style) attributes() []string {
	switch s {
	case display:
		return []string{"displaystyle", "true", "scriptlevel", "0"}
	case inline:
		return []string{"displaystyle", "false", "scriptlevel", "0"}
	}
	return nil
}

func (w *writer) fraction(f fraction) {
	if f.style != inherited {
		w.open("mstyle", f.style.attributes()...)
		defer w.close("mstyle")
	}
	thickness := ""
	if f.bare {
		thickness = "0"
	}
	w.open("mfrac", "linethickness", thickness)
	w.node(f.over)
	w.node(f.under)
	w.close("mfrac")
}

func (w *writer) root(r root) {
	if r.index == nil {
		w.open("msqrt")
		w.node(r.of)
		w.close("msqrt")
		return
	}
	w.open("mroot")
	w.node(r.of)
	w.node(r.index)
	w.close("mroot")
}

func (w *writer) script(s script) {
	tag, raised := "msubsup", len(s.above()) > 0
	switch {
	case s.stacked && s.sub == nil:
		tag = "mover"
	case s.stacked && !raised:
		tag = "munder"
	case s.stacked:
		tag = "munderover"
	case s.sub == nil:
		tag = "msup"
	case !raised:
		tag = "msub"
	}
	w.open(tag)
	if a, ok := s.base.(*atom); ok && s.stacked && a.class == large && !a.movable {
		w.sign(a, "movablelimits", "false")
	} else {
		w.node(s.base)
	}
	if s.sub != nil {
		w.node(s.sub)
	}
	if above := s.above(); len(above) > 0 {
		w.group(above)
	}
	w.close(tag)
}

// primes returns n primes, four of which are one character.
func primes(n int) string {
	const four, marks = "⁗", "′″‴"
	text := strings.Repeat(four, n/4)
	if rest := n % 4; rest > 0 {
		text += string([]rune(marks)[rest-1])
	}
	return text
}

// above returns the primes and what else is above.
func (s script) above() row {
	var r row
	if s.primes > 0 {
		r = append(r, &atom{kind: sign, text: primes(s.primes)})
	}
	if s.sup != nil {
		r = append(r, s.sup)
	}
	return r
}

// lines are the classes of accents that are drawn as lines.
var lines = map[string]string{"¯": "formula-overline", "_": "formula-underline"}

func (w *writer) accent(a accent) {
	grows := "false"
	if a.wide {
		grows = "true"
	}
	tag, attribute := "mover", "accent"
	if a.below {
		tag, attribute = "munder", "accentunder"
	}
	line := ""
	if a.wide {
		line = lines[a.mark]
	}
	w.open(tag, attribute, "true", "class", line)
	w.node(a.base)
	w.element("mo", a.mark, "stretchy", grows)
	w.close(tag)
}

func (w *writer) fence(f fence) {
	w.open("mrow")
	w.delimiter(f.left, opening)
	w.row(f.body)
	w.delimiter(f.right, closing)
	w.close("mrow")
}

func (w *writer) delimiter(text string, c class) {
	if text != "" {
		w.sign(&atom{kind: sign, class: c, size: grown, text: text})
	}
}

var alignments = map[byte]string{'l': "formula-left", 'r': "formula-right"}

func (w *writer) table(t table) {
	env := t.environment
	if env.left+env.right != "" {
		w.open("mrow")
		defer w.close("mrow")
	}
	w.delimiter(env.left, opening)
	full := ""
	if env.display {
		full = "true"
	}
	w.open("mtable", "class", "formula-"+env.name, "displaystyle", full)
	for _, cells := range t.rows {
		w.open("mtr")
		for i, cell := range cells {
			w.open("mtd", "class", alignments[t.columns[i%len(t.columns)]])
			w.row(cell)
			w.close("mtd")
		}
		w.close("mtr")
	}
	w.close("mtable")
	w.delimiter(env.right, closing)
}

func (w *writer) hidden(h hidden) {
	switch {
	case !h.height:
		w.open("mpadded", "height", "0", "depth", "0")
		defer w.close("mpadded")
	case !h.width:
		w.open("mpadded", "width", "0")
		defer w.close("mpadded")
	}
	w.open("mphantom")
	w.row(h.body)
	w.close("mphantom")
}
