package formula

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// A token is a command with its backslash, or one character with the marks that combine with it. At the end of the text
// it is empty.
type token struct {
	at   int
	text string
}

func (t token) isCommand() bool { return len(t.text) > 1 && t.text[0] == '\\' }

type scanner struct {
	src string
	pos int
}

// next returns the token at hand, past white space, and moves behind it.
func (s *scanner) next() token {
	s.skip()
	t := token{s.pos, s.src[s.pos:]}
	t.text = t.text[:tokenLength(t.text)]
	s.pos += len(t.text)
	return t
}

func (s *scanner) peek() token {
	pos := s.pos
	t := s.next()
	s.pos = pos
	return t
}

// skip passes over white space, which means nothing in mathematics.
func (s *scanner) skip() {
	rest := strings.TrimLeft(s.src[s.pos:], " \t\r\n")
	s.pos = len(s.src) - len(rest)
}

// took moves behind text if it is next, white space before it included.
func (s *scanner) took(text string) bool {
	if s.peek().text != text {
		return false
	}
	s.next()
	return true
}

func tokenLength(s string) int {
	if s == "" {
		return 0
	}
	_, n := utf8.DecodeRuneInString(s)
	if s[0] != '\\' {
		return n + marks(s[n:])
	}
	for n < len(s) && isASCIILetter(s[n]) {
		n++
	}
	if n == 1 && len(s) > 1 {
		_, size := utf8.DecodeRuneInString(s[1:])
		n += size
	}
	return n
}

// marks counts the bytes of combining marks that s begins with.
func marks(s string) int {
	end := strings.IndexFunc(s, func(r rune) bool { return !unicode.IsMark(r) })
	if end < 0 {
		return len(s)
	}
	return end
}

func isASCIILetter(b byte) bool { return 'a' <= b|0x20 && b|0x20 <= 'z' }

// numeral returns the number that s begins with, and how many bytes it takes there: LaTeX writes a decimal comma as
// {,}. In a list, such as 1,2,3, commas separate numbers, so 1,000,000 is not one number.
func numeral(s string, list bool) (text string, size int) {
	text, size, commas, loose := read(s)
	if commas > 0 && list || commas > 1 && loose {
		size = strings.IndexByte(s, ',')
		text = s[:size]
	}
	return text, size
}

// read takes digits and the decimal signs between them. It counts bare commas and reports whether one of them is not
// before a group of three.
func read(s string) (text string, size, commas int, loose bool) {
	var b strings.Builder
	group := 3
	for size < len(s) {
		r, n := utf8.DecodeRuneInString(s[size:])
		if unicode.IsDigit(r) {
			b.WriteRune(r)
			size += n
			group++
			continue
		}
		mark, n := decimalSign(s[size:])
		if mark == 0 {
			break
		}
		if n == 1 && mark == ',' {
			commas++
			loose = loose || commas > 1 && group != 3
			group = 0
		}
		b.WriteByte(mark)
		size += n
	}
	return b.String(), size, commas, loose || commas > 0 && group != 3
}

// decimalSign returns the point or comma that s begins with if a digit follows.
func decimalSign(s string) (mark byte, size int) {
	mark, size = s[0], 1
	if len(s) > 2 && s[0] == '{' && s[2] == '}' {
		mark, size = s[1], 3
	}
	r, _ := utf8.DecodeRuneInString(s[size:])
	if mark != '.' && mark != ',' || !unicode.IsDigit(r) {
		return 0, 0
	}
	return mark, size
}
