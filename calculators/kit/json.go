package kit

import (
	"math"
	"strconv"
	"unicode/utf8"

	"example.org/gripleaf/calculators/quantity"
)

// writer writes JSON (RFC 8259). It is here because encoding/json would double what a reader has to load. A comma is
// due before anything that follows neither an opening bracket nor a colon.
type writer struct {
	b    []byte
	from int // where its own bytes begin
}

// AppendAnswer writes an answer, {"calculator":…}.
func AppendAnswer(b []byte, a *Answer) []byte {
	j := writer{b, len(b)}
	a.json(&j)
	return j.b
}

// AppendFrame writes a moment of a film, {"duration":…}.
func AppendFrame(b []byte, f *Frame) []byte {
	j := writer{b, len(b)}
	f.json(&j)
	return j.b
}

// AppendReadings writes what figures show, {"readings":[…]}.
func AppendReadings(b []byte, readings []Reading) []byte {
	j := writer{b, len(b)}
	j.open('{')
	j.list("readings", len(readings), func(i int) { readings[i].json(&j) })
	j.close('}')
	return j.b
}

// AppendFaults writes what is wrong, {"faults":[…]}.
func AppendFaults(b []byte, err error, r *quantity.Reader) []byte {
	j := writer{b, len(b)}
	faults := Complaints(err, r)
	j.open('{')
	j.list("faults", len(faults), func(i int) { faults[i].json(&j) })
	j.close('}')
	return j.b
}

func (j *writer) comma() {
	if n := len(j.b); n > j.from && j.b[n-1] != '{' && j.b[n-1] != '[' && j.b[n-1] != ':' {
		j.b = append(j.b, ',')
	}
}

func (j *writer) open(bracket byte) {
	j.comma()
	j.b = append(j.b, bracket)
}

func (j *writer) close(bracket byte) { j.b = append(j.b, bracket) }

func (j *writer) name(name string) {
	j.text(name)
	j.b = append(j.b, ':')
}

func (j *writer) textField(name, text string) {
	j.name(name)
	j.text(text)
}

func (j *writer) numberField(name string, v float64) {
	j.name(name)
	j.number(v)
}

func (j *writer) numberIf(name string, v *float64) {
	if v != nil {
		j.numberField(name, *v)
	}
}

func (j *writer) flag(name string, yes bool) {
	j.name(name)
	j.b = strconv.AppendBool(j.b, yes)
}

func (j *writer) list(name string, n int, write func(i int)) {
	j.name(name)
	j.row(n, write)
}

func (j *writer) row(n int, write func(i int)) {
	j.open('[')
	for i := range n {
		write(i)
	}
	j.close(']')
}

// number writes a finite number with all its digits.
func (j *writer) number(v float64) {
	j.comma()
	if v == math.Trunc(v) && math.Abs(v) < 1e15 {
		j.b = strconv.AppendInt(j.b, int64(v), 10)
		return
	}
	j.b = strconv.AppendFloat(j.b, v, 'g', -1, 64)
}

// text writes a string; what is not UTF-8 becomes U+FFFD, and < is escaped so that it may stand in HTML. Drawings are
// long, so what needs no escape is copied in one piece.
func (j *writer) text(s string) {
	const hex = "0123456789abcdef"
	j.comma()
	j.b = append(j.b, '"')
	copied := 0
	for i, r := range s {
		escaped := r == '"' || r == '\\'
		coded := r < ' ' || r == '<' || r == '\u2028' || r == '\u2029'
		if !escaped && !coded && r != utf8.RuneError {
			continue
		}
		j.b = append(j.b, s[copied:i]...)
		_, size := utf8.DecodeRuneInString(s[i:])
		copied = i + size
		switch {
		case escaped:
			j.b = append(j.b, '\\', byte(r))
		case coded:
			j.b = append(j.b, '\\', 'u', hex[r>>12&15], hex[r>>8&15], hex[r>>4&15], hex[r&15])
		default:
			j.b = utf8.AppendRune(j.b, r)
		}
	}
	j.b = append(j.b, s[copied:]...)
	j.b = append(j.b, '"')
}
