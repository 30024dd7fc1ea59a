package still

import "testing"

// The order is that of UAX #9: in a paragraph from right to left the first
// word stands at the right, and numbers keep their digits' order. "|" marks
// where words meet.
func TestVisualOrder(t *testing.T) {
	for text, want := range map[string]string{
		"How a stop":        "How| |a| |stop",
		"كيف يتمّ التوقف":   "التوقف| |يتمّ| |كيف",
		"٣٤٫٤ م":            "م| |٣٤٫٤",
		"السرعة, كم/س":      "كم/س| |السرعة,",
		"سرعة 60 km/h الآن": "الآن| |km/h| |60| |سرعة",
		"ABS في المطر":      "ABS| |المطر| |في",
		"كبح ( ) الآن":      "الآن| |(| |)| |كبح",
	} {
		got := ""
		for i, w := range visual(text) {
			if i > 0 {
				got += "|"
			}
			got += w.text
		}
		if got != want {
			t.Errorf("%q stands as %q, not %q", text, got, want)
		}
	}
}

// A line is as wide as its words and its spaces, whichever way it runs.
func TestArabicKeepsItsSpaces(t *testing.T) {
	var fonts Fonts
	width := func(text string) float64 {
		_, w, err := fonts.path(text, 100, regular)
		if err != nil {
			t.Fatal(err)
		}
		return w
	}
	one, two, three := width("٣٤"), width("٣٤ م"), width("٣٤ م م")
	if space, letter := 27.0, width("م"); two < one+letter+space || three < two+letter+space {
		t.Errorf("widths %v, %v, %v; one letter is %v", one, two, three, letter)
	}
}
