// Package locale is how one language writes: numbers after the Unicode CLDR, quotation marks, the direction of its
// script, and the words of the interface out of a catalogue.
package locale

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/language"
	"golang.org/x/text/language/display"
	"golang.org/x/text/message"
	"golang.org/x/text/number"

	"example.org/gripleaf/calculators/quantity"
)

// Locale is one language of a course.
type Locale struct {
	Tag         language.Tag
	Name        string // in itself: "Deutsch"
	RightToLeft bool
	Numbers     quantity.Locale
	Quotes      Quotes
	Words       map[string]string // English text -> the language; what is missing stays English
	Units       quantity.System   // in which the site speaks to readers who have not chosen
}

// Quotes are the quotation marks: double outside, single inside, and the apostrophe.
type Quotes struct{ Open, Close, OpenInner, CloseInner, Apostrophe string }

// New makes the locale of a BCP 47 tag.
func New(tag string, words map[string]string) (*Locale, error) {
	t, err := language.Parse(tag)
	if err != nil {
		return nil, fmt.Errorf("%q is not a language tag (BCP 47)", tag)
	}
	return &Locale{Tag: t, Name: display.Self.Name(t), RightToLeft: rightToLeft(t), Numbers: numbers(t), Quotes: quotes(t), Words: words}, nil
}

// Reader is someone who reads this language.
func (l *Locale) Reader(system quantity.System) *quantity.Reader {
	return &quantity.Reader{System: system, Locale: l.Numbers, Words: l.Words}
}

// Direction of the language's script, as the dir attribute of HTML has it.
func (l *Locale) Direction() string {
	if l.RightToLeft {
		return "rtl"
	}
	return "ltr"
}

// Say translates an English text and puts the arguments in place of its {} marks.
func (l *Locale) Say(english string, arguments ...string) string {
	r := quantity.Reader{Words: l.Words}
	return r.Say(english, arguments...)
}

// rightToLeftScripts are the ISO 15924 codes of living scripts that run from right to left.
var rightToLeftScripts = map[string]bool{
	"Arab": true, "Aran": true, "Hebr": true, "Thaa": true, "Syrc": true, "Nkoo": true, "Adlm": true, "Rohg": true,
}

func rightToLeft(t language.Tag) bool {
	script, _ := t.Script()
	return rightToLeftScripts[script.String()]
}

// numbers reads the signs of a language off a number that CLDR's data print.
func numbers(t language.Tag) quantity.Locale {
	var signs, digits []rune
	var at []int // how many digits stand before each sign
	for _, r := range message.NewPrinter(t).Sprint(number.Decimal(12345678.5, number.Scale(1))) {
		switch {
		case unicode.IsDigit(r):
			digits = append(digits, r)
		case !unicode.Is(unicode.Cf, r):
			signs, at = append(signs, r), append(at, len(digits))
		}
	}
	if len(digits) != 9 || len(signs) == 0 {
		return quantity.Locale{}
	}
	l := quantity.Locale{Zero: other(digits[0]-1, '0'), Decimal: other(signs[len(signs)-1], '.')}
	if len(signs) > 1 {
		l.Group = other(signs[0], ',')
		l.Indian = at[0] == 1 // 1,23,45,678
	}
	return l
}

// other is r, or 0 if English writes the same sign, so that English is the zero Locale.
func other(r, english rune) rune {
	if r == english {
		return 0
	}
	return r
}

// quotes are the marks of a language, its parent's where the CLDR has none of its own. French sets them off by a narrow
// space (common practice, no source).
func quotes(t language.Tag) Quotes {
	m := marksOf(t)
	q := Quotes{m[0], m[1], m[2], m[3], "’"}
	if base, _ := t.Base(); base.String() == "fr" {
		q.Open, q.Close, q.OpenInner, q.CloseInner = q.Open+narrow, narrow+q.Close, q.OpenInner+narrow, narrow+q.CloseInner
	}
	return q
}

// marksOf finds a language, or its nearest parent, in the table of marks. The last of all parents, und, is in it.
func marksOf(t language.Tag) [4]string {
	for ; ; t = t.Parent() {
		for _, m := range marks {
			if slices.Contains(strings.Fields(m.languages), t.String()) {
				return m.signs
			}
		}
	}
}

const narrow = "\u202f" // a narrow space that does not break
