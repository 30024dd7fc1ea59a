package quantity

import (
	"math"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Quantity is a number as somebody wrote it.
type Quantity struct {
	Value    float64 // SI
	Unit     *Unit   // the unit it was written in
	Decimals int     // digits after the decimal sign, as written
}

// Error is a quantity that cannot be read: where in the text, why, and what to do.
type Error struct {
	Offset, Length int    // bytes of the text
	Text           string // what is wrong
	Hint           string // what to do

	Wrong, Remedy Phrase // the same for a reader of another language
}

// Phrase is an English text with {} marks for what it is said with.
type Phrase struct {
	Says string
	With []string
}

// In says the phrase in the reader's language, and nothing if that has no words for it.
func (p Phrase) In(r *Reader) string {
	if _, ok := r.Words[p.Says]; !ok {
		return ""
	}
	return r.Say(p.Says, p.With...)
}

// english says the phrase as it is.
func (p Phrase) english() string { return new(Reader).Say(p.Says, p.With...) }

func write(kinds []Kind) Phrase { return Phrase{Says: "write {}", With: []string{example(kinds)}} }

// refused is the error of some bytes of a text.
func refused(offset, length int, wrong, remedy Phrase) *Error {
	return &Error{offset, length, wrong.english(), remedy.english(), wrong, remedy}
}

func (e *Error) Error() string { return e.Text }

// Parse reads a quantity as a link writes it: a number with a decimal point, then a unit of one of the kinds,
// with nothing or one space between ("60km/h", "0.5 s", "5%", "0.8"). A share may be a bare fraction.
// Numbers are at most 40 characters long and finite.
func Parse(text string, kinds ...Kind) (Quantity, error) {
	n := numberEnd(text, '.')
	if n == 0 {
		return Quantity{}, refused(0, len(text), Phrase{Says: "no number in {}", With: []string{quote(text)}}, write(kinds))
	}
	return finish(text, text[:n], text[:n], text[n:], kinds)
}

// ParseWritten reads a quantity as prose of one language writes it: the locale's decimal sign, digits and
// grouping, a minus of either form, and a unit's symbol or word ("1,200 N", "17,7 m", "24 metres").
func ParseWritten(text string, locale Locale, kinds ...Kind) (Quantity, error) {
	trimmed := strings.TrimFunc(text, unicode.IsSpace)
	lead := strings.Index(text, trimmed)
	plain, used := locale.plain(trimmed)
	if plain == "" || plain == "-" {
		return Quantity{}, refused(lead, len(trimmed), Phrase{Says: "no number in {}", With: []string{quote(text)}}, write(kinds))
	}
	q, err := finish(trimmed, trimmed[:used], plain, trimmed[used:], kinds)
	if e, ok := err.(*Error); ok {
		e.Offset += lead
	}
	return q, err
}

func finish(text, number, plain, rest string, kinds []Kind) (Quantity, error) {
	value, err := strconv.ParseFloat(plain, 64)
	if err != nil || math.IsInf(value, 0) || math.IsNaN(value) || len(plain) > 40 {
		return Quantity{}, useless(number, kinds)
	}
	written := strings.TrimFunc(rest, unicode.IsSpace)
	decimals := 0
	if dot := strings.IndexByte(plain, '.'); dot >= 0 && !strings.ContainsAny(plain, "eE") {
		decimals = len(plain) - dot - 1
	}
	for _, kind := range kinds {
		u, ok := unitFor(kind, written)
		switch {
		case ok && math.IsInf(u.SI(value), 0):
			return Quantity{}, useless(number, kinds)
		case ok:
			return Quantity{u.SI(value), u, decimals}, nil
		}
	}
	if written == "" {
		return Quantity{}, refused(0, len(text), Phrase{Says: "{} has no unit", With: []string{quote(text)}}, write(kinds))
	}
	at := strings.Index(text, written)
	return Quantity{}, &Error{at, len(written), quote(written) + " is not a unit of " + names(kinds), "use " + allSymbols(kinds),
		Phrase{Says: "{} is no unit for this", With: []string{quote(written)}}, Phrase{Says: "use {}", With: []string{allSymbols(kinds)}}}
}

func useless(number string, kinds []Kind) *Error {
	return refused(0, len(number), Phrase{Says: "{} is not a number that can be used", With: []string{quote(number)}}, write(kinds))
}

// fraction is a share written as a bare number.
var fraction = Unit{Kind: Share, Scale: 1}

func unitFor(kind Kind, written string) (*Unit, bool) {
	if kind == Share && written == "" {
		return &fraction, true
	}
	if (kind == Number) && written == "%" {
		return &Unit{Symbol: "%", Shown: "%", Kind: Number, Scale: 0.01}, true
	}
	return Find(kind, written)
}

// numberEnd is the length of the decimal number that text begins with, an exponent included.
func numberEnd(text string, decimal byte) int {
	i, digits := 0, 0
	if i < len(text) && (text[i] == '-' || text[i] == '+') {
		i++
	}
	for i < len(text) && (isDigit(text[i]) || text[i] == decimal) {
		if isDigit(text[i]) {
			digits++
		}
		i++
	}
	if digits == 0 {
		return 0
	}
	if i+1 < len(text) && (text[i] == 'e' || text[i] == 'E') {
		j := i + 1
		if text[j] == '-' || text[j] == '+' {
			j++
		}
		if j < len(text) && isDigit(text[j]) {
			for j < len(text) && isDigit(text[j]) {
				j++
			}
			return j
		}
	}
	return i
}

func quote(s string) string { return `"` + s + `"` }

func isDigit(b byte) bool { return '0' <= b && b <= '9' }

// plain turns the number that text begins with into Go's form, and says how many bytes of text it took.
func (l Locale) plain(text string) (string, int) {
	var b strings.Builder
	decimal, zero := l.decimal(), l.zero()
	seen := false
	i := 0
	for i < len(text) {
		r, size := utf8.DecodeRuneInString(text[i:])
		switch {
		case (r == '-' || r == '−' || r == '+') && i == 0:
			if r != '+' {
				b.WriteByte('-')
			}
		case '0' <= r && r <= '9':
			b.WriteRune(r)
		case zero <= r && r <= zero+9:
			b.WriteRune('0' + r - zero)
		case r == decimal && !seen && digitFollows(text[i+size:], zero):
			b.WriteByte('.')
			seen = true
		case l.groups(r) && !seen && b.Len() > 0 && groupFollows(text[i+size:], zero):
		default:
			return b.String(), i
		}
		i += size
	}
	return b.String(), i
}

// groups reports whether r separates thousands: the locale's own sign, or a no-break space of any width.
func (l Locale) groups(r rune) bool {
	return r == l.group() || r == '\u00a0' || r == '\u202f' || r == '\u2009'
}

func digitFollows(text string, zero rune) bool {
	r, _ := utf8.DecodeRuneInString(text)
	return '0' <= r && r <= '9' || zero <= r && r <= zero+9
}

// groupFollows accepts a thousands sign only before three digits, or before two and another sign (Indian grouping).
func groupFollows(text string, zero rune) bool {
	n := 0
	for digitFollows(text, zero) {
		_, size := utf8.DecodeRuneInString(text)
		text = text[size:]
		n++
	}
	return n == 3 || n == 2 && text != "" && !unicode.IsSpace(rune(text[0]))
}

func example(kinds []Kind) string {
	if len(kinds) == 0 {
		return "a number"
	}
	switch symbols := Symbols(kinds[0]); {
	case kinds[0] == Share:
		return "a number and %, such as 20%"
	case len(symbols) > 0:
		return "a number and its unit, such as 20" + symbols[0]
	}
	return "a number, such as 0.8"
}

func names(kinds []Kind) string {
	var list []string
	for _, k := range kinds {
		list = append(list, k.String())
	}
	return strings.Join(list, " or ")
}

func allSymbols(kinds []Kind) string {
	var list []string
	for _, k := range kinds {
		list = append(list, Symbols(k)...)
	}
	if len(list) == 0 {
		return "no unit"
	}
	return strings.Join(list, ", ")
}
