package tyre

import (
	"errors"
	"math"
	"strconv"
	"strings"
)

// Size is a tyre's size designation taken apart (ISO 5751, ETRTO): 110/70R17 is 110 mm wide, its wall 70 % of that
// high, on a rim of code 17.
type Size struct {
	Section float64 // mm
	Aspect  float64 // percent
	Rim     int     // code: nominal inches
}

// SizeHint says what a size designation must look like.
const SizeHint = "write width/height and rim as on the tyre's side: 110/70R17, 120/70ZR17 or 120/70-17"

// ParseSize reads the size designation at the start of a tyre's marking; a load index and a speed letter may follow.
func ParseSize(text string) (Size, error) {
	width, rest, ok := strings.Cut(strings.TrimSpace(text), "/")
	section, err := strconv.Atoi(width)
	switch {
	case !ok:
		return Size{}, errors.New("there is no / between width and height")
	case err != nil || len(width) > 3:
		return Size{}, errors.New(strconv.Quote(width) + " is not a width in millimetres")
	case section < 50 || section > 330:
		return Size{}, errors.New("a width of " + width + " mm is not a motorcycle tyre's (50 to 330)")
	}
	aspect, rest, err := leading(rest, "height", 30, 130)
	if err != nil {
		return Size{}, err
	}
	rest, ok = construction(rest)
	if !ok {
		return Size{}, errors.New("between height and rim there is no -, B, R or ZR")
	}
	rim, rest, err := leading(rest, "rim", 8, 23)
	if err != nil {
		return Size{}, err
	}
	if !service(rest) {
		return Size{}, errors.New(strconv.Quote(rest) + " behind the rim is not a load index and speed letter")
	}
	return Size{float64(section), float64(aspect), rim}, nil
}

// leading reads the whole number that text begins with.
func leading(text, what string, least, most int) (n int, rest string, err error) {
	digits := 0
	for digits < len(text) && '0' <= text[digits] && text[digits] <= '9' {
		digits++
	}
	if digits == 0 || digits > 3 {
		return 0, text, errors.New("there is no number for the " + what)
	}
	n, _ = strconv.Atoi(text[:digits])
	if n < least || n > most {
		return 0, text, errors.New("a " + what + " of " + text[:digits] + " is not a motorcycle tyre's (" + strconv.Itoa(least) + " to " + strconv.Itoa(most) + ")")
	}
	return n, text[digits:], nil
}

// construction passes over the letter or dash before the rim: diagonal, belted, radial, radial for high speed.
func construction(text string) (rest string, ok bool) {
	for _, sign := range [...]string{"ZR", "R", "B", "-"} {
		if rest, ok := strings.CutPrefix(text, sign); ok {
			return rest, true
		}
	}
	return text, false
}

// service reports whether text is nothing or a service description such as "M/C 54H", "(58W)" or " 58W TL".
func service(text string) bool {
	if text == "" {
		return true
	}
	if text[0] != ' ' && text[0] != 'M' && text[0] != '(' {
		return false
	}
	for _, c := range []byte(text) {
		if !('A' <= c && c <= 'Z' || '0' <= c && c <= '9' || strings.IndexByte(" /()", c) >= 0) {
			return false
		}
	}
	return true
}

// nominalRim is the nominal rim diameter in mm by code, as ETRTO and ISO 5751 list it; from memory.
var nominalRim = map[int]float64{
	8: 203, 9: 229, 10: 254, 11: 279, 12: 305, 13: 330, 14: 356, 15: 381, 16: 406, 17: 432, 18: 457, 19: 483, 20: 508, 21: 533, 22: 559, 23: 584,
}

// Diameter is the design diameter of the new tyre in m: the nominal rim and two section heights, each rounded to a
// millimetre, a half downwards (so 190/55-17 is 640 mm).
func (s Size) Diameter() float64 {
	height := math.Ceil(s.Section*s.Aspect/100 - 0.5)
	return s.RimDiameter() + 2*height/1000
}

// RimDiameter is the nominal diameter of the rim in m.
func (s Size) RimDiameter() float64 { return nominalRim[s.Rim] / 1000 }

// Circumference is Diameter times π, in m: of the unloaded tyre. Rolling under load it is a few percent less, for
// both tyres alike, which the comparison of two sizes does not notice.
func (s Size) Circumference() float64 { return math.Pi * s.Diameter() }
