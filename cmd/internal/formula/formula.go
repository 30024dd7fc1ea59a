// Package formula turns mathematics as an author writes it in TeX into MathML Core, which browsers set and screen
// readers speak without a script. Its [Extension] finds formulas between dollar signs in CommonMark text.
//
// What is understood is the part of TeX's and LaTeX's notation that the mechanics of braking and a school need:
// fractions, roots, scripts, Greek letters, operators, relations, named functions, accents, braces, delimiters that
// grow, and the aligned, gathered, cases, array and matrix environments. Anything else is an error that says where it
// stands and what comes nearest; nothing is dropped silently.
//
// Two rules differ from TeX, both to suit lessons:
//   - a comma or a point between two digits belongs to the number ("3,5" and
//     "3.5"); write a space after a comma that separates ("1, 2");
//   - a letter, operator or relation may be typed as itself ("µ", "·", "≤").
package formula

import (
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"example.org/gripleaf/calculators/spelling"
)

// Bounds of one formula. What is longer or deeper is an accident rather than a formula.
const (
	maxLength   = 8192 // bytes
	maxDepth    = 48   // groups, arguments and environments within each other
	maxMistakes = 20   // reported of one formula
)

// A Mistake is something that is wrong in a formula.
type Mistake struct {
	Offset, Length int    // bytes of the TeX
	Text           string // what is wrong
	Hint           string // what to do; may be empty
}

// Convert returns tex as a math element of MathML Core that carries tex as its annotation. In display, fractions are
// full size and limits stand above and below. With mistakes, which come in the order of the text, there is no MathML.
func Convert(tex string, display bool) (mathml string, mistakes []Mistake) {
	p := &texParser{scanner: scanner{src: tex}}
	if p.readable() {
		if r := p.whole(); len(p.mistakes) == 0 {
			return markup(r, tex, display), nil
		}
	}
	slices.SortStableFunc(p.mistakes, func(a, b Mistake) int { return a.Offset - b.Offset })
	return "", p.mistakes
}

// readable refuses what cannot become XML 1.0 and what is too long.
func (p *texParser) readable() bool {
	if len(p.src) > maxLength {
		p.fail(0, len(p.src), fmt.Sprintf("a formula of %d bytes is too long", len(p.src)),
			fmt.Sprintf("split it; %d bytes are allowed", maxLength))
		return false
	}
	for i, r := range p.src {
		size := utf8.RuneLen(r)
		switch {
		case r == utf8.RuneError && !strings.HasPrefix(p.src[i:], string(utf8.RuneError)):
			p.fail(i, 1, "the text is not UTF-8", "save the file as UTF-8")
		case unicode.IsControl(r) && !strings.ContainsRune("\t\n\r", r), r == '\ufffe', r == '\uffff':
			p.fail(i, size, fmt.Sprintf("the control character U+%04X has no place in a formula", r), "delete it")
		}
	}
	return len(p.mistakes) == 0
}

func (p *texParser) fail(at, length int, text, hint string) {
	if len(p.mistakes) < maxMistakes && !p.given {
		p.mistakes = append(p.mistakes, Mistake{at, length, text, hint})
	}
}

func (p *texParser) unknown(t token) {
	if len(p.mistakes) >= maxMistakes {
		return // not worth a search
	}
	hint := "use another notation"
	if near := spelling.Nearest(t.text, commandNames); near != "" {
		hint = "did you mean " + near + "?"
	}
	p.fail(t.at, len(t.text), "there is no command "+t.text, hint)
}
