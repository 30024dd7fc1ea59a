// Package locale is how one language writes: numbers after the Unicode CLDR, quotation marks, the direction of its
// script, and the words of the interface out of a catalogue.
package locale

import (
	"golang.org/x/text/language"

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
}

// Quotes are the quotation marks: double outside, single inside, and the apostrophe.
type Quotes struct{ Open, Close, OpenInner, CloseInner, Apostrophe string }

// Reader is someone who reads this language.
func (l *Locale) Reader(system quantity.System) *quantity.Reader {
	return &quantity.Reader{System: system, Locale: l.Numbers, Words: l.Words}
}

// Say translates an English text and puts the arguments in place of its {} marks.
func (l *Locale) Say(english string, arguments ...string) string {
	r := quantity.Reader{Words: l.Words}
	return r.Say(english, arguments...)
}
