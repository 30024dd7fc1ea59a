package fault

import (
	"fmt"
	"unicode/utf8"
)

// mostNotText bounds how many characters of one text are reported: a picture that is taken for a text has nothing else.
const mostNotText = 20

// NotText returns a fault for everything in s.Text[from:to] that is not text: bytes that are not UTF-8, control
// characters, and the invisible characters that turn the direction of what follows them, so that it does not read as it
// is stored. Marks of direction (U+200E, U+200F, U+061C), which only stand beside a character, are text.
func (s *Source) NotText(from, to int) List {
	var list List
	for at := from; at < to && len(list) < mostNotText; {
		if b := s.Text[at]; ' ' <= b && b < 0x7f {
			at++
			continue // most of every text, and read twice as fast so
		}
		r, size := utf8.DecodeRune(s.Text[at:to])
		if text, hint := notText(r, size); text != "" {
			f := s.At(at, size, text, hint)
			f.Code = "not-text"
			list.Add(f)
		}
		at += size
	}
	return list
}

// notText says what is wrong with a character that was decoded from size bytes.
func notText(r rune, size int) (text, hint string) {
	switch {
	case r == utf8.RuneError && size == 1:
		return "this byte is not text", "save the file as UTF-8"
	case r < ' ' && r != '\t' && r != '\n' && r != '\r', r == 0x7f:
		return fmt.Sprintf("the control character U+%04X is not text", r), "delete it, or save the file as UTF-8"
	case '\u202a' <= r && r <= '\u202e', '\u2066' <= r && r <= '\u2069':
		return fmt.Sprintf("the invisible character U+%04X turns the direction of what follows it", r),
			"delete it; a mark beside a word, U+200E or U+200F, is taken"
	}
	return "", ""
}
