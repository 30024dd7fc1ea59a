package cue

import (
	"cmp"
	"maps"
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/language"

	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/cmd/internal/locale"
)

// A voice reads aloud in one language and one system of units.
type voice struct {
	*quantity.Reader
	speller *speller       // nil: numbers stay in figures
	figures *regexp.Regexp // a number in a text, and the unit behind it
	pace    float64        // words a minute
}

func newVoice(l *locale.Locale, system quantity.System) *voice {
	v := &voice{Reader: l.Reader(system), speller: spellerOf(l.Tag), pace: paceOf(l.Tag)}
	signs := slices.SortedFunc(maps.Keys(unitWords), func(a, b string) int { return cmp.Compare(len(b), len(a)) })
	signs = slices.DeleteFunc(signs, func(s string) bool { return s == "in" }) // in running text that is a word
	for i, s := range signs {
		signs[i] = regexp.QuoteMeta(s)
	}
	decimal, group := cmp.Or(v.Locale.Decimal, '.'), cmp.Or(v.Locale.Group, ',')
	v.figures = regexp.MustCompile(`([−-]?\d+(?:` + regexp.QuoteMeta(string(group)) + `\d{3})*(?:` + regexp.QuoteMeta(string(decimal)) + `\d+)?)` +
		`(?:[ \x{a0}\x{202f}]?(` + strings.Join(signs, "|") + `))?`)
	return v
}

// quantity says a number with its unit.
func (v *voice) quantity(n float64, decimals int, u *quantity.Unit) string {
	return v.withUnit(v.Locale.Format(n, decimals), u.Shown)
}

// withUnit says figures, as the language writes them, with the word for a unit's sign. A unit without a word is read as
// it is written; so is one whose word the language's catalogue lacks.
func (v *voice) withUnit(figures, sign string) string {
	words := unitWords[sign]
	phrase, number := words.many, v.number(figures)
	if figures == "1" {
		phrase = words.one
		if v.speller != nil && sign != "" {
			number = v.speller.one(sign)
		}
	}
	if _, translated := v.Words[phrase]; phrase == "" || len(v.Words) > 0 && !translated {
		if sign == "" {
			return number
		}
		return quantity.Join(figures, v.Say(sign))
	}
	return v.Say(phrase, number)
}

// number says figures in words, if the language has any.
func (v *voice) number(figures string) string {
	if v.speller == nil {
		return figures
	}
	digits := strings.ReplaceAll(strings.Replace(figures, "−", "-", 1), string(cmp.Or(v.Locale.Group, ',')), "")
	digits = strings.Replace(digits, string(cmp.Or(v.Locale.Decimal, '.')), ".", 1)
	if words, ok := v.speller.number(digits); ok {
		return words
	}
	return figures
}

// read is a text as it is spoken: numbers in words, with the words for their units. What may be a year, a name or a
// size stays as it is written.
func (v *voice) read(text string) string {
	if v.speller == nil {
		return text
	}
	var b strings.Builder
	at := 0
	for _, m := range v.figures.FindAllStringSubmatchIndex(text, -1) {
		from, to, sign := m[2], m[3], ""
		if m[4] >= 0 && !joined(text[m[5]:]) {
			to, sign = m[5], text[m[4]:m[5]]
		}
		before, _ := utf8.DecodeLastRuneInString(text[:from])
		figures := text[m[2]:m[3]]
		if part(before) || before == ':' || sign == "" && (joined(text[to:]) || maybeYear(figures)) {
			continue
		}
		b.WriteString(text[at:from])
		b.WriteString(v.withUnit(figures, sign))
		at = to
	}
	b.WriteString(text[at:])
	return b.String()
}

// joined reports whether a text goes on with what belongs to the number or the unit before it.
func joined(text string) bool {
	r, size := utf8.DecodeRuneInString(text)
	if strings.ContainsRune(".,:-", r) { // only with more behind it
		next, _ := utf8.DecodeRuneInString(text[size:])
		return unicode.IsDigit(next) || r == '-' && unicode.IsLetter(next)
	}
	return text != "" && part(r)
}

// part reports whether a sign is part of a name or a formula, rather than of the sentence around a number.
func part(r rune) bool {
	return unicode.IsLetter(r) || unicode.IsDigit(r) || strings.ContainsRune("_/^²³·", r)
}

// maybeYear reports whether figures may be those of a year.
func maybeYear(figures string) bool {
	return len(figures) == 4 && strings.Trim(figures, "0123456789") == ""
}

// seconds is how long a text takes to be spoken.
func (v *voice) seconds(text string) float64 {
	return float64(len(strings.Fields(text))) / v.pace * 60
}

// paces is how many words a minute a narrator speaks: 150 in English is common practice, no source. Other languages
// have longer words; their shares of the English speed are those of reading aloud in Trauzettel-Klosinski and Dietz,
// "Standardized assessment of reading performance", IOVS 53 (2012) 5452: German 179 and Arabic 138 of 228 words a
// minute (from memory). A language that is not here is read like English.
var paces = map[string]float64{"de": 150 * 179.0 / 228, "ar": 150 * 138.0 / 228}

func paceOf(tag language.Tag) float64 {
	base, _ := tag.Base()
	return cmp.Or(paces[base.String()], 150)
}
