package kit

import (
	"strings"

	"example.org/gripleaf/calculators/quantity"
)

// Scheme begins every link to a calculation.
const Scheme = "calc:"

// Query is a calc: destination taken apart: calc:ID?name=value&name=value#fragment. Offsets are bytes of the text
// that was parsed, so that a fault can point at the very letters.
type Query struct {
	Calculator string
	At         int // offset of the calculator's name
	Pairs      []Pair
	Fragment   string // decoded, without #
	FragmentAt int    // offset of the fragment's first byte; -1 without one
}

// Pair is one input as written.
type Pair struct {
	Name, Value string // decoded
	At, End     int    // offsets of the whole pair
	ValueAt     int    // offset of the value; End if there is no =
}

// MostPairs bounds a query; a longer one is a fault.
const MostPairs = 64

// Parse takes a query apart, with or without the scheme. A % that two hexadecimal digits follow is decoded
// (RFC 3986, 2.1); any other % is a percent sign. It does not know which calculators there are.
func Parse(text string) (Query, Faults) {
	var q Query
	at := 0
	if strings.HasPrefix(text, Scheme) {
		at = len(Scheme)
	}
	q.At, q.FragmentAt = at, -1
	end := len(text)
	if hash := strings.IndexByte(text[at:], '#'); hash >= 0 {
		end = at + hash
		q.Fragment, q.FragmentAt = decode(text[end+1:]), end+1
	}
	head := text[at:end]
	mark := strings.IndexByte(head, '?')
	if mark < 0 {
		q.Calculator = decode(head)
		return q, q.check()
	}
	q.Calculator = decode(head[:mark])
	q.pairs(text, at+mark+1, end)
	return q, q.check()
}

func (q *Query) pairs(text string, at, end int) {
	for at <= end {
		stop := end
		if amp := strings.IndexByte(text[at:end], '&'); amp >= 0 {
			stop = at + amp
		}
		if stop > at {
			p := Pair{At: at, End: stop, ValueAt: stop}
			name, value, found := strings.Cut(text[at:stop], "=")
			if found {
				p.ValueAt = at + len(name) + 1
			}
			p.Name, p.Value = decode(name), decode(value)
			q.Pairs = append(q.Pairs, p)
		}
		at = stop + 1
	}
}

func (q *Query) check() Faults {
	var faults Faults
	if q.Calculator == "" {
		faults = append(faults, Fault{Offset: q.At, Text: "no calculator is named", Hint: "write calc:NAME?input=value"})
	}
	if len(q.Pairs) > MostPairs {
		p := q.Pairs[MostPairs]
		faults = append(faults, Fault{Offset: p.At, Length: p.End - p.At, Text: "too many inputs", Hint: "a calculator has far fewer"})
	}
	for i, p := range q.Pairs {
		for _, before := range q.Pairs[:min(i, MostPairs)] {
			if before.Name == p.Name {
				faults = append(faults, Fault{Offset: p.At, Length: p.End - p.At, Input: p.Name,
					Text: "input " + quote(p.Name) + " is given twice", Hint: "keep one of them"})
				break
			}
		}
	}
	return faults
}

// decode replaces %XX; a bare % stays.
func decode(text string) string {
	if !strings.Contains(text, "%") {
		return text
	}
	var b strings.Builder
	for i := 0; i < len(text); i++ {
		if text[i] == '%' && i+2 < len(text) && isHex(text[i+1]) && isHex(text[i+2]) {
			b.WriteByte(unhex(text[i+1])<<4 | unhex(text[i+2]))
			i += 2
			continue
		}
		b.WriteByte(text[i])
	}
	return b.String()
}

func isHex(c byte) bool {
	return '0' <= c && c <= '9' || 'a' <= c && c <= 'f' || 'A' <= c && c <= 'F'
}

func unhex(c byte) byte {
	if c <= '9' {
		return c - '0'
	}
	return c&^0x20 - 'A' + 10
}

// encode writes a value so that decode gives it back and a URL's fragment may hold it (RFC 3986, 3.5).
func encode(b []byte, value string) []byte {
	const hex = "0123456789ABCDEF"
	for i := 0; i < len(value); i++ {
		c := value[i]
		switch {
		case 'a' <= c && c <= 'z', 'A' <= c && c <= 'Z', '0' <= c && c <= '9', strings.IndexByte("-._~/,:@", c) >= 0:
			b = append(b, c)
		default:
			b = append(b, '%', hex[c>>4], hex[c&15])
		}
	}
	return b
}

// Fault is something wrong with a query.
type Fault struct {
	Offset, Length int    // bytes of the text that was parsed
	Input          string // the input it is about, if any
	Text           string // what is wrong
	Hint           string // what to do

	Wrong, Remedy quantity.Phrase // the same for a reader of another language
}

// Faults are all faults of one query; as an error it is never empty.
type Faults []Fault

func (f Faults) Error() string {
	var b strings.Builder
	for i, one := range f {
		if i > 0 {
			b.WriteString("; ")
		}
		b.WriteString(one.Text)
	}
	return b.String()
}

func quote(s string) string { return `"` + s + `"` }
