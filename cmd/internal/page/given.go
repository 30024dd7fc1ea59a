package page

import (
	"math"
	"strings"
	"unicode"
	"unicode/utf8"

	"example.org/gripleaf/calculators/quantity"
)

// All prose of a course passes through here in every build, so it is scanned by hand: from number to number, which are
// rare, with a look at whether a unit stands behind.

// conversion is a unit of prose and the one in which an imperial reader thinks instead.
type conversion struct {
	kind     quantity.Kind
	spelt    []string
	imperial string // symbol
}

var conversions = []conversion{
	{quantity.Speed, []string{"km/h", "किमी/घंटा", "كم/س"}, "mph"},
	{quantity.Acceleration, []string{"m/s²", "मी/से²", "م/ث²"}, "ft/s2"},
	{quantity.Length, []string{"mm", "cm"}, "in"},
	{quantity.Length, []string{"km"}, "mi"},
	{quantity.Length, []string{"metres", "metre", "meters", "meter", "Metern", "Meter", "मीटर", "متر", "m", "م"}, "ft"},
	{quantity.Mass, []string{"kg"}, "lb"},
	{quantity.Pressure, []string{"bar"}, "psi"},
	{quantity.Temperature, []string{"°C"}, "degF"},
}

// closed names the elements whose numbers are the module's affair, or stand for themselves.
func closed(name string) bool {
	switch name {
	case "math", "code", "pre", "svg":
		return true
	}
	return false
}

// sealed names such elements too that have no end but their own end tag, whatever stands before it.
func sealed(name string) bool {
	switch name {
	case "gripleaf-explorer", "gripleaf-figure", "script", "style", "textarea":
		return true
	}
	return false
}

// void names the elements without an end tag (HTML, 13.1.2).
func void(name string) bool {
	switch name {
	case "area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "track", "wbr":
		return true
	}
	return false
}

// given gives every quantity that prose states by itself its form for imperial readers, as checked numbers have it.
func (f *frame) given(body string) string {
	out := rewriting{text: body}
	out.b.Grow(len(body) + len(body)/16)
	within := 0 // how many elements are open from the first closed one on
	for at := 0; at < len(body); {
		end := len(body)
		if next := strings.IndexByte(body[at:], '<'); next >= 0 {
			end = at + next
		}
		if within == 0 {
			f.both(&out, at, end)
		}
		markup, opens := markup(body[end:], within > 0)
		within = max(0, within+opens)
		at = end + len(markup)
	}
	return out.end()
}

// rewriting is a text on its way to another one, which is mostly the same.
type rewriting struct {
	text    string
	written int // up to where
	b       strings.Builder
}

// put writes other text in the place of a stretch.
func (r *rewriting) put(start, end int, parts ...string) {
	r.b.WriteString(r.text[r.written:start])
	for _, p := range parts {
		r.b.WriteString(p)
	}
	r.written = end
}

func (r *rewriting) end() string {
	r.b.WriteString(r.text[r.written:])
	return r.b.String()
}

// markup cuts the tag, comment or sealed element off that a text begins with. opens is 1 if it opens an element that
// is not to be touched or is within one, and -1 if it may close one.
func markup(text string, within bool) (markup string, opens int) {
	if len(text) < 2 {
		return text, 0
	}
	switch c := text[1]; {
	case strings.HasPrefix(text, "<!--"):
		return past(text, "-->"), 0
	case c == '!' || c == '?':
		return past(text, ">"), 0
	case c == '/':
		return past(text, ">"), -1
	case !('a' <= c|0x20 && c|0x20 <= 'z'):
		return text[:1], 0
	}
	tag, done := startTag(text)
	name := tagName(tag)
	switch {
	case void(name) || strings.HasSuffix(tag, "/>"):
		return tag, 0
	case sealed(name):
		inside := past(text[len(tag):], "</"+name)
		rest := text[len(tag)+len(inside):]
		return text[:len(tag)+len(inside)+len(past(rest, ">"))], 0
	case within || done || closed(name):
		return tag, 1
	}
	return tag, 0
}

// tagName is the name in a start tag.
func tagName(tag string) string {
	for end := 1; end < len(tag); end++ {
		switch tag[end] {
		case ' ', '\t', '\r', '\n', '\f', '/', '>':
			return strings.ToLower(tag[1:end])
		}
	}
	return strings.ToLower(tag[1:])
}

// past is a text up to the end of a mark; all of it without one.
func past(text, mark string) string {
	if i := strings.Index(text, mark); i >= 0 {
		return text[:i+len(mark)]
	}
	return text
}

// startTag cuts a start tag off. done reports whether it has an imperial form already.
func startTag(text string) (tag string, done bool) {
	name := 1 // where the last attribute's name begins, or what is before it
	for at := 1; at < len(text); at++ {
		switch text[at] {
		case '>':
			return text[:at+1], done
		case '=':
			done = done || strings.HasSuffix(strings.TrimSpace(text[name:at]), "data-imperial")
			at += len(value(text[at+1:]))
			name = at + 1
		}
	}
	return text, done
}

// value is the quoted value that the rest of a tag begins with, with the spaces before it; nothing if it has no quotes.
func value(rest string) string {
	at := 0
	for at < len(rest) && rest[at] == ' ' {
		at++
	}
	if at == len(rest) || rest[at] != '"' && rest[at] != '\'' {
		return ""
	}
	end := strings.IndexByte(rest[at+1:], rest[at])
	if end < 0 {
		return rest
	}
	return rest[:at+end+2]
}

// both wraps the quantities of a stretch of text, which is HTML without tags.
func (f *frame) both(out *rewriting, from, to int) {
	text, free := out.text[from:to], 0 // from where on a sign may belong to a number
	for at := digit(text, 0); at < len(text); at = digit(text, at) {
		start := at - sign(text[free:at])
		end := numberEnd(text, at)
		at, free = end, end
		if strings.HasPrefix(text[end:], " ") {
			end++
		}
		c, unit := unitOf(text[end:])
		if last, _ := utf8.DecodeLastRuneInString(text[:end]); c == nil || strings.ContainsRune(".,٫٬", last) {
			continue
		}
		end += unit
		_, behind := utf8.DecodeRuneInString(text[end:])
		at, free = end+behind, end+behind
		if q, err := quantity.ParseWritten(text[start:end], f.Locale, c.kind); err == nil {
			out.put(from+start, from+end, `<span data-imperial="`, escape(f.imperial(q, c)), `">`, text[start:end], "</span>")
		}
	}
}

// digit finds the next digit of any script; the text's end if there is none.
func digit(text string, at int) int {
	for at < len(text) {
		c := text[at]
		if c < utf8.RuneSelf {
			if '0' <= c && c <= '9' {
				return at
			}
			at++
			continue
		}
		r, size := utf8.DecodeRuneInString(text[at:])
		if unicode.IsDigit(r) {
			return at
		}
		at += size
	}
	return at
}

// sign is the length of the sign that a text ends with.
func sign(text string) int {
	for _, s := range []string{"-", "−"} {
		if strings.HasSuffix(text, s) {
			return len(s)
		}
	}
	return 0
}

// numberEnd finds the end of a number: of its digits, points, commas, and the spaces that do not break a line.
func numberEnd(text string, at int) int {
	for i, r := range text[at:] {
		if !unicode.IsDigit(r) && !strings.ContainsRune(".,٫٬\u00a0\u202f", r) {
			return at + i
		}
	}
	return len(text)
}

// unitOf finds the unit that a text begins with, and its length. A unit ends the word.
func unitOf(text string) (*conversion, int) {
	for i := range conversions {
		for _, s := range conversions[i].spelt {
			if rest, ok := strings.CutPrefix(text, s); ok {
				if r, _ := utf8.DecodeRuneInString(rest); rest == "" || !unicode.IsLetter(r) && !unicode.IsDigit(r) && !strings.ContainsRune("²³/·", r) {
					return &conversions[i], len(s)
				}
			}
		}
	}
	return nil, 0
}

// imperial prints a quantity in the other unit to about the precision in which it was written.
func (f *frame) imperial(q quantity.Quantity, c *conversion) string {
	u := quantity.Must(c.kind, c.imperial)
	decimals := max(0, q.Decimals+int(math.Round(math.Log10(u.Scale/q.Unit.Scale))))
	return quantity.Join(f.Locale.Format(u.From(q.Value), decimals), f.Say(u.Shown))
}
