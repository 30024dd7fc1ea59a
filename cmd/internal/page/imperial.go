package page

import (
	"math"
	"strings"
	"unicode"
	"unicode/utf8"

	"example.org/gripleaf/calculators/quantity"
)

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

// quantities cuts a text, which is HTML without tags, at the quantities in it and hands on each piece: a quantity with
// its form for imperial readers, other text without one.
func quantities(text string, r *quantity.Reader, each func(plain, imperial string) error) error {
	done := 0
	for at := 0; ; {
		next := strings.IndexFunc(text[at:], unicode.IsDigit)
		if next < 0 {
			break
		}
		from := at + next - sign(text[:at+next])
		to, c := written(text, at+next)
		at = to
		if c == nil {
			continue
		}
		q, err := quantity.ParseWritten(text[from:to], r.Locale, c.kind)
		if err != nil {
			continue
		}
		if err := each(text[done:from], ""); err != nil {
			return err
		}
		if err := each(text[from:to], c.form(q, r)); err != nil {
			return err
		}
		done = to
	}
	return each(text[done:], "")
}

// sign is the length of the sign that a text ends with. Between a letter or digit and a digit it is a hyphen.
func sign(text string) int {
	r, size := utf8.DecodeLastRuneInString(text)
	if r != '-' && r != '−' {
		return 0
	}
	before, _ := utf8.DecodeLastRuneInString(text[:len(text)-size])
	if unicode.IsLetter(before) || unicode.IsDigit(before) {
		return 0
	}
	return size
}

// marks stand between the digits of a number.
const marks = ".,٫٬"

// written finds the end of the number at a digit and, if a unit follows, of that unit.
func written(text string, at int) (end int, c *conversion) {
	end = len(text)
	outside := func(r rune) bool { return !unicode.IsDigit(r) && !strings.ContainsRune(marks+"\u00a0\u202f", r) }
	if i := strings.IndexFunc(text[at:], outside); i >= 0 {
		end = at + i
	}
	rest := strings.TrimPrefix(text[end:], " ")
	last, _ := utf8.DecodeLastRuneInString(text[at:end])
	if len(rest) == len(text)-end && strings.ContainsRune(marks, last) {
		return end, nil // the end of a sentence, and no unit
	}
	for i := range conversions {
		for _, s := range conversions[i].spelt {
			if after, ok := strings.CutPrefix(rest, s); ok && endsWord(after) {
				return len(text) - len(after), &conversions[i]
			}
		}
	}
	return end, nil
}

// endsWord reports whether a unit ends before what follows it.
func endsWord(after string) bool {
	r, _ := utf8.DecodeRuneInString(after)
	return after == "" || !unicode.IsLetter(r) && !unicode.IsDigit(r) && !strings.ContainsRune("²³/·", r)
}

// form prints a quantity in the other unit to about the precision in which it was written.
func (c *conversion) form(q quantity.Quantity, r *quantity.Reader) string {
	u := quantity.Must(c.kind, c.imperial)
	decimals := max(0, q.Decimals+int(math.Round(math.Log10(u.Scale/q.Unit.Scale))))
	return quantity.Join(r.Locale.Format(u.From(q.Value), decimals), r.Say(u.Shown))
}
