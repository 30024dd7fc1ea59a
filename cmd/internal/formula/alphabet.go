package formula

import "strings"

// MathML Core has no attribute for bold, double-struck or slanted letters: they are characters of their own, Unicode's
// Mathematical Alphanumeric Symbols (The Unicode Standard, section 22.2).

// A block of that range starts with A, a and 0; 0 where it has none.
type block struct{ capital, small, digit rune }

var blocks = map[alphabet]block{
	bold:    {0x1D400, 0x1D41A, 0x1D7CE},
	slanted: {0x1D434, 0x1D44E, 0},
	doubled: {0x1D538, 0x1D552, 0x1D7D8},
}

// elsewhere are the letters that Unicode had before that range, and left out of it.
var elsewhere = map[rune]rune{
	0x1D455: 'ℎ', 0x1D53A: 'ℂ', 0x1D53F: 'ℍ', 0x1D545: 'ℕ', 0x1D547: 'ℙ', 0x1D548: 'ℚ', 0x1D549: 'ℝ', 0x1D551: 'ℤ',
}

// drawn returns the characters that show the atom in its alphabet.
func (a *atom) drawn() string {
	b, ok := blocks[a.alphabet]
	if !ok {
		return a.text
	}
	return strings.Map(b.drawn, a.text)
}

func (b block) drawn(r rune) rune {
	switch {
	case 'A' <= r && r <= 'Z':
		r += b.capital - 'A'
	case 'a' <= r && r <= 'z':
		r += b.small - 'a'
	case '0' <= r && r <= '9' && b.digit != 0:
		r += b.digit - '0'
	}
	if other, ok := elsewhere[r]; ok {
		return other
	}
	return r
}
