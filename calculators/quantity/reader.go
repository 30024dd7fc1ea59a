package quantity

import (
	"math"
	"strconv"
	"strings"
)

// System is the set of units a reader thinks in.
type System uint8

// The two systems that the page's switch offers.
const (
	Metric System = iota
	Imperial
)

// Locale is how one language writes numbers. The zero value is English.
type Locale struct {
	Decimal rune // 0 is '.'
	Group   rune // between thousands from 10,000 on; 0 is ','
	Zero    rune // the digit zero of its numerals; 0 is '0'
	Indian  bool // groups by two above the first three: 12,34,567
}

func (l Locale) decimal() rune { return or(l.Decimal, '.') }
func (l Locale) group() rune   { return or(l.Group, ',') }
func (l Locale) zero() rune    { return or(l.Zero, '0') }

func or(r, otherwise rune) rune {
	if r == 0 {
		return otherwise
	}
	return r
}

// Format prints n rounded to so many decimals in the locale's digits. Negative numbers take U+2212;
// zero is never negative. Four digits stay together, longer ones are grouped.
func (l Locale) Format(n float64, decimals int) string {
	text := strconv.FormatFloat(math.Abs(n), 'f', decimals, 64)
	whole, fraction, _ := strings.Cut(text, ".")
	var b strings.Builder
	if n < 0 && strings.Trim(text, "0.") != "" {
		b.WriteRune('−')
	}
	for i, d := range whole {
		if i > 0 && len(whole) > 4 && l.splits(len(whole)-i) {
			b.WriteRune(l.group())
		}
		b.WriteRune(l.zero() + d - '0')
	}
	if fraction != "" {
		b.WriteRune(l.decimal())
		for _, d := range fraction {
			b.WriteRune(l.zero() + d - '0')
		}
	}
	return b.String()
}

// splits reports whether a sign stands before the last `left` digits.
func (l Locale) splits(left int) bool {
	if l.Indian && left > 3 {
		return left%2 == 1
	}
	return left%3 == 0
}

// Shown is how a value of one kind is shown in each system: unit and decimals.
type Shown struct {
	Kind                             Kind
	Metric, Imperial                 string // unit symbols; an empty Imperial is the metric one
	MetricDecimals, ImperialDecimals int
}

// In gives the unit and the decimals for a system.
func (s Shown) In(system System) (*Unit, int) {
	if system == Imperial && s.Imperial != "" {
		return Must(s.Kind, s.Imperial), s.ImperialDecimals
	}
	return Must(s.Kind, s.Metric), s.MetricDecimals
}

// Reader is the one who reads: system of units, how numbers are written, and the words of a language.
// The zero value is an English reader with metric units.
type Reader struct {
	System System
	Locale Locale
	Words  map[string]string // English text -> the reader's language; what is missing stays English
}

// Say translates an English text and puts the arguments in place of its {} marks, in order.
func (r *Reader) Say(english string, arguments ...string) string {
	text := english
	if w, ok := r.Words[english]; ok {
		text = w
	}
	for _, a := range arguments {
		text = strings.Replace(text, "{}", a, 1)
	}
	return text
}

// Number prints an SI value as shown to this reader, without its unit.
func (r *Reader) Number(si float64, s Shown) string {
	u, decimals := s.In(r.System)
	return r.Locale.Format(u.From(si), decimals)
}

// UnitName is the unit that this reader sees, in the words of the language.
func (r *Reader) UnitName(s Shown) string {
	u, _ := s.In(r.System)
	return r.Say(u.Shown)
}

// Quantity prints an SI value with its unit. Between them stands a no-break space, save before a degree sign.
func (r *Reader) Quantity(si float64, s Shown) string {
	if s.Kind == YesNo {
		return r.yesNo(si)
	}
	return Join(r.Number(si, s), r.UnitName(s))
}

func (r *Reader) yesNo(si float64) string {
	if si != 0 {
		return r.Say("yes")
	}
	return r.Say("no")
}

// Join puts a unit behind a number with the space that is due.
func Join(number, unit string) string {
	if unit == "" || unit == "°" {
		return number + unit
	}
	return number + "\u00a0" + unit
}
