package fault

import "testing"

// The characters that turn text are those of Unicode Standard Annex #9, 2.1 to 2.5; that they can hide what a source
// says is CVE-2021-42574.
func TestNotText(t *testing.T) {
	for text, want := range map[string][]string{
		"plain, tab\t, Grüße, नमस्ते, مرحبا\u200f\u061c, \r\n": nil,
		"a\xffb\n\xc3(":  {"1:2", "2:1"},
		"a\x00\x1b[31m":  {"1:2", "1:3"},
		"é\u202e m 7.71": {"1:2"},
		"\u2066a\u2069":  {"1:1", "1:3"},
		"\x7f":           {"1:1"},
		"\ufffd":         nil, // was written so
	} {
		s := &Source{Text: []byte(text)}
		var got []string
		for _, f := range s.NotText(0, len(text)) {
			got = append(got, located("", f.Line, f.Column, "")[:3])
		}
		if len(got) != len(want) {
			t.Errorf("%q: %q", text, got)
			continue
		}
		for i := range got {
			if got[i] != want[i] {
				t.Errorf("%q: %q", text, got)
			}
		}
	}
	s := &Source{Text: make([]byte, 1000)}
	if n := len(s.NotText(0, 1000)); n != mostNotText {
		t.Errorf("%d faults of what is no text", n)
	}
}
