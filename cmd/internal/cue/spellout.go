package cue

import (
	"strconv"
	"strings"

	"golang.org/x/text/language"
)

// A speller writes numbers in words, as the Unicode CLDR's rules for spelling out cardinal numbers do; English with its
// "and", as the rules called verbose have it, but without their commas. The words are from memory;
// testdata/numbers.json has what ICU 72.1, which carries those rules, makes of the same numbers.
type speller struct {
	small []string // zero to nineteen
	tens  []string // twenty to ninety
	pair  func(tens, one string) string
	// A word before another: "ein" of "eins", and before a unit of each gender.
	before       func(word string) string
	one          func(unit string) string
	hundred      string
	thousand     string
	million      [2]string // one, and several
	minus, point string
	and          string // before less than a hundred that follows more
	close        bool   // thousands and hundreds are one word with what they count and with what follows
}

var english = speller{
	small: strings.Fields(`zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen
		seventeen eighteen nineteen`),
	tens:    strings.Fields("twenty thirty forty fifty sixty seventy eighty ninety"),
	pair:    func(tens, one string) string { return tens + "-" + one },
	before:  func(word string) string { return word },
	one:     func(string) string { return "one" },
	hundred: "hundred", thousand: "thousand", million: [2]string{"one million", "million"},
	minus: "minus", point: "point", and: "and ",
}

var german = speller{
	small: strings.Fields(`null eins zwei drei vier fünf sechs sieben acht neun zehn elf zwölf dreizehn vierzehn fünfzehn sechzehn
		siebzehn achtzehn neunzehn`),
	tens:    strings.Fields("zwanzig dreißig vierzig fünfzig sechzig siebzig achtzig neunzig"),
	pair:    func(tens, one string) string { return one + "und" + tens },
	before:  func(word string) string { return strings.TrimSuffix(word, "s") },
	one:     germanOne,
	hundred: "hundert", thousand: "tausend", million: [2]string{"eine Million", "Millionen"},
	minus: "minus", point: "Komma", close: true,
}

// germanOne is "one" before a unit: seconds, minutes and miles are feminine, all other units here are not.
func germanOne(unit string) string {
	switch unit {
	case "s", "ms", "min", "mph":
		return "eine"
	}
	return "ein"
}

// spellerOf is the speller of a language, or nil: its numbers stay in figures.
func spellerOf(tag language.Tag) *speller {
	base, _ := tag.Base()
	return map[string]*speller{"en": &english, "de": &german}[base.String()]
}

// mostSpelled is the first whole number that is left in figures.
const mostSpelled = 1e9

// number spells a number out that is written in digits, with a point before decimals and perhaps a sign: "-16.7". One
// that has too many digits stays as it is, and ok is false.
func (s *speller) number(digits string) (text string, ok bool) {
	plain, negative := strings.CutPrefix(digits, "-")
	whole, decimals, _ := strings.Cut(plain, ".")
	n, err := strconv.ParseInt(whole, 10, 64)
	if err != nil || n >= mostSpelled {
		return digits, false
	}
	text = s.whole(int(n))
	if decimals != "" {
		text += " " + s.point
	}
	for _, d := range decimals {
		text += " " + s.small[d-'0']
	}
	if negative {
		text = s.minus + " " + text
	}
	return text, true
}

// whole spells a whole number from zero up.
func (s *speller) whole(n int) string {
	switch {
	case n < 20:
		return s.small[n]
	case n < 100:
		if n%10 == 0 {
			return s.tens[n/10-2]
		}
		return s.pair(s.tens[n/10-2], s.lead(n%10))
	case n < 1000:
		return s.join(s.lead(n/100), s.hundred, n%100)
	case n < 1e6:
		return s.join(s.lead(n/1000), s.thousand, n%1000)
	}
	text := s.million[0]
	if n >= 2e6 {
		text = s.whole(n/1e6) + " " + s.million[1]
	}
	return text + s.rest(" ", n%1e6)
}

// lead spells a number that counts what follows.
func (s *speller) lead(n int) string {
	if n%100 == 1 {
		return strings.TrimSuffix(s.whole(n), s.small[1]) + s.before(s.small[1])
	}
	return s.whole(n)
}

func (s *speller) join(count, what string, rest int) string {
	space := " "
	if s.close {
		space = ""
	}
	return count + space + what + s.rest(space, rest)
}

// rest is what follows hundreds, thousands or millions.
func (s *speller) rest(space string, n int) string {
	switch {
	case n == 0:
		return ""
	case n < 100:
		return space + s.and + s.whole(n)
	}
	return space + s.whole(n)
}
