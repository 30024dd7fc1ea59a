package locale

import (
	"testing"

	"example.org/gripleaf/calculators/quantity"
)

// The signs are those of the Unicode CLDR (symbols of each language's default numbering system).
func TestNumbers(t *testing.T) {
	for _, c := range []struct {
		tag         string
		rightToLeft bool
		want        string // of 1234567.5
	}{
		{"en", false, "1,234,567.5"},
		{"de", false, "1.234.567,5"},
		{"hi", false, "12,34,567.5"},
		{"ar", true, "١٬٢٣٤٬٥٦٧٫٥"},
		{"he", true, "1,234,567.5"},
		{"sv", false, "1\u00a0234\u00a0567,5"},
	} {
		l, err := New(c.tag, nil)
		if err != nil {
			t.Fatal(err)
		}
		if got := l.Numbers.Format(1234567.5, 1); got != c.want {
			t.Errorf("%s: %q, want %q", c.tag, got, c.want)
		}
		if l.RightToLeft != c.rightToLeft {
			t.Errorf("%s: right to left is %v", c.tag, l.RightToLeft)
		}
	}
	if l, _ := New("en", nil); l.Numbers != (quantity.Locale{}) {
		t.Errorf("English is not the zero Locale: %+v", l.Numbers)
	}
	if _, err := New("not a tag", nil); err == nil {
		t.Error("a wrong tag is taken")
	}
}

// The marks are those of Unicode's CLDR 41, common/main/*.xml, delimiters; those of nb are its parent's, no.
func TestQuotes(t *testing.T) {
	for tag, want := range map[string]Quotes{
		"en": {"“", "”", "‘", "’", "’"}, "en-GB": {"“", "”", "‘", "’", "’"}, "de": {"„", "“", "‚", "‘", "’"},
		"de-AT": {"„", "“", "‚", "‘", "’"}, "nb": {"«", "»", "‘", "’", "’"}, "zh-TW": {"「", "」", "『", "』", "’"},
		"hi": {"“", "”", "‘", "’", "’"}, "fr-CH": {"«\u202f", "\u202f»", "‹\u202f", "\u202f›", "’"},
	} {
		l, err := New(tag, nil)
		if err != nil || l.Quotes != want {
			t.Errorf("%s: %q, want %q", tag, l.Quotes, want)
		}
	}
}
