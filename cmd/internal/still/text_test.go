package still

import (
	"maps"
	"math"
	"slices"
	"strings"
	"testing"
	"unicode"

	"github.com/go-text/typesetting/font"
)

// The order is that of UAX #9: in a paragraph from right to left the first word stands at the right. "|" marks where
// words meet.
func TestVisualOrder(t *testing.T) {
	for text, want := range map[string]string{
		"How a stop":        "How| |a| |stop",
		"كيف يتمّ التوقف":   "التوقف| |يتمّ| |كيف",
		"٣٤٫٤ م":            "م| |٣٤٫٤",
		"السرعة, كم/س":      "كم/س| |السرعة,",
		"سرعة 60 km/h الآن": "الآن| |km/h| |60| |سرعة",
		"ABS في المطر":      "ABS| |المطر| |في",
		"كبح ( ) الآن":      "الآن| |)| |(| |كبح",
	} {
		if got := standing(t, text); !slices.Equal(got, strings.Split(want, "|")) {
			t.Errorf("%q stands as %q, not %q", text, got, want)
		}
	}
}

// standing gives the words of a line, and the spaces between them, from left to right.
func standing(t *testing.T, text string) []string {
	var fonts Fonts
	runes, runs, err := fonts.shape(text, regular)
	if err != nil {
		t.Fatal(err)
	}
	left := make([]float64, len(runes))
	x := 0.0
	for _, run := range fonts.broken(runes, runs, math.MaxInt32>>6)[0] {
		for _, g := range run.Glyphs {
			left[g.TextIndex()] = x
			x += float64(g.Advance)
		}
	}
	at := make(map[float64]string)
	for i := 0; i < len(runes); {
		end := i + 1
		for end < len(runes) && unicode.IsSpace(runes[end]) == unicode.IsSpace(runes[i]) {
			end++
		}
		at[slices.Max(left[i:end])] = string(runes[i:end])
		i = end
	}
	var words []string
	for _, x := range slices.Sorted(maps.Keys(at)) {
		words = append(words, at[x])
	}
	return words
}

// Numbers keep the order of their digits among letters that run from right to left, and brackets are mirrored (UAX #9,
// W2 and L4).
func TestDigitsAndBracketsAmongArabic(t *testing.T) {
	var fonts Fonts
	runes, runs, err := fonts.shape("م 123 (م)", regular)
	if err != nil {
		t.Fatal(err)
	}
	var got, want []font.GID
	line := fonts.broken(runes, runs, math.MaxInt32>>6)[0]
	for _, run := range line {
		for _, g := range run.Glyphs {
			got = append(got, g.GlyphID)
		}
	}
	for i, r := range "(م) 123 م" {
		if run := line[0]; r != 'م' {
			if i > 3 { // the digits are a run of their own
				run = line[1]
			}
			glyph, _ := run.Face.NominalGlyph(r)
			want = append(want, glyph)
		}
	}
	if got[0] != want[0] || got[2] != want[1] || !slices.Equal(got[4:7], want[3:6]) {
		t.Errorf("from left to right stand %v; ( ) and 123 are %v", got, want)
	}
}

// A line is as wide as its words and its spaces, whichever way it runs.
func TestArabicKeepsItsSpaces(t *testing.T) {
	var fonts Fonts
	width := func(text string) float64 {
		line, err := fonts.line(text, regular)
		if err != nil {
			t.Fatal(err)
		}
		return line.width
	}
	one, two, three := width("٣٤"), width("٣٤ م"), width("٣٤ م م")
	if space, letter := 0.2, width("م"); two < one+letter+space || three < two+letter+space {
		t.Errorf("widths %v, %v, %v; one letter is %v", one, two, three, letter)
	}
}
