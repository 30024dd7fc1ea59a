package kit

import (
	"strings"
	"unicode/utf8"

	"example.org/gripleaf/calculators/quantity"
)

// ParseReader reads who reads, as a page tells the module: lines "system=imperial", "decimal=,", "group=.", "zero=0",
// "indian", then a blank line and the catalogue, one "English<TAB>translation" a line. What it does not know is left
// out.
func ParseReader(text string) quantity.Reader {
	var r quantity.Reader
	head, catalogue, _ := strings.Cut(text, "\n\n")
	for line := range strings.Lines(head) {
		name, value, _ := strings.Cut(strings.TrimSuffix(line, "\n"), "=")
		sign, _ := utf8.DecodeRuneInString(value)
		switch {
		case name == "system" && value == "imperial":
			r.System = quantity.Imperial
		case name == "indian":
			r.Locale.Indian = true
		case value == "":
		case name == "decimal":
			r.Locale.Decimal = sign
		case name == "group":
			r.Locale.Group = sign
		case name == "zero":
			r.Locale.Zero = sign
		}
	}
	for line := range strings.Lines(catalogue) {
		english, word, found := strings.Cut(strings.TrimSuffix(line, "\n"), "\t")
		if found && word != "" {
			if r.Words == nil {
				r.Words = make(map[string]string)
			}
			r.Words[english] = word
		}
	}
	return r
}

// AppendReader writes what ParseReader reads, the catalogue left out.
func AppendReader(b []byte, r *quantity.Reader) []byte {
	if r.System == quantity.Imperial {
		b = append(b, "system=imperial\n"...)
	}
	if r.Locale.Indian {
		b = append(b, "indian\n"...)
	}
	for _, s := range []struct {
		name string
		sign rune
	}{{"decimal", r.Locale.Decimal}, {"group", r.Locale.Group}, {"zero", r.Locale.Zero}} {
		if s.sign != 0 {
			b = append(b, s.name...)
			b = append(b, '=')
			b = utf8.AppendRune(b, s.sign)
			b = append(b, '\n')
		}
	}
	return b
}
