package fault

import (
	"bytes"
	"slices"
	"sync"
	"unicode/utf8"
)

// A Source is a text that faults are found in. Parsers keep byte offsets; lines and columns are only worked out when
// there is a fault to report, and the line table is made once, at the first.
//
// Lines end with LF or CRLF. A byte order mark belongs to no column.
type Source struct {
	File string
	Text []byte

	once  sync.Once
	lines []int // offset of the first byte of each line

	copied sync.Once
	whole  string // Text, which all excerpts share

	mu   sync.Mutex
	last struct{ start, offset, characters int } // what was counted last: the next place mostly follows it in the same line
}

// At returns a fault in length bytes of s from offset on. A span that goes on past the end of its line is cut there, an
// offset outside of the text is moved to its nearest end.
func (s *Source) At(offset, length int, text, hint string) Fault {
	offset = min(max(offset, 0), len(s.Text))
	index, start, end := s.line(offset)
	stop := offset + min(max(length, 0), len(s.Text)-offset)
	offset, stop = min(max(offset, start), end), min(max(stop, start), end)
	offset, _ = character(s.Text[:end], offset)
	_, stop = character(s.Text[:end], stop)
	return Fault{
		File:    s.File,
		Line:    index + 1,
		Column:  s.characters(start, offset) + 1,
		Length:  utf8.RuneCount(s.Text[offset:stop]),
		Excerpt: s.excerpt(start, end),
		Text:    text,
		Hint:    hint,
	}
}

// characters counts from the start of a line to an offset in it.
func (s *Source) characters(start, offset int) int {
	s.mu.Lock()
	defer s.mu.Unlock()
	if start != s.last.start || offset < s.last.offset || s.last.offset < start {
		s.last.start, s.last.offset, s.last.characters = start, start, 0
	}
	s.last.characters += utf8.RuneCount(s.Text[s.last.offset:offset])
	s.last.offset = offset
	return s.last.characters
}

// Offset returns where a line and a column are, both from 1.
func (s *Source) Offset(line, column int) int {
	s.once.Do(s.scan)
	start := s.lines[min(max(line, 1), len(s.lines))-1]
	if start == 0 && bytes.HasPrefix(s.Text, mark) {
		start = len(mark)
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if start != s.last.start || column <= s.last.characters {
		s.last.start, s.last.offset, s.last.characters = start, start, 0
	}
	for ; s.last.characters < column-1 && s.last.offset < len(s.Text); s.last.characters++ {
		_, size := utf8.DecodeRune(s.Text[s.last.offset:])
		s.last.offset += size
	}
	return s.last.offset
}

// mark is a byte order mark.
var mark = []byte("\ufeff")

// mostExcerpt bounds the bytes of an excerpt. No line that somebody wrote is longer, and a place beyond is still told
// by its column.
const mostExcerpt = 20_000

func (s *Source) excerpt(start, end int) string {
	if end-start > mostExcerpt {
		end, _ = character(s.Text, start+mostExcerpt)
	}
	s.copied.Do(func() { s.whole = string(s.Text) })
	return s.whole[start:end]
}

// Position returns the line and the column of a byte offset, both from 1.
func (s *Source) Position(offset int) (line, column int) {
	f := s.At(offset, 0, "", "")
	return f.Line, f.Column
}

// line returns the index of the line that offset is in and the offsets of its first byte and of its line end.
func (s *Source) line(offset int) (index, start, end int) {
	s.once.Do(s.scan)
	index, found := slices.BinarySearch(s.lines, offset)
	if !found {
		index--
	}
	start, end = s.lines[index], len(s.Text)
	if index+1 < len(s.lines) {
		end = s.lines[index+1] - 1
		if end > start && s.Text[end-1] == '\r' {
			end--
		}
	}
	if index == 0 && bytes.HasPrefix(s.Text[:end], mark) {
		start = len(mark)
	}
	return index, start, end
}

// character returns where the character that offset i cuts apart starts and ends, or i twice if it cuts none.
func character(text []byte, i int) (start, end int) {
	for start = i - 1; start >= max(i-utf8.UTFMax+1, 0); start-- {
		if _, size := utf8.DecodeRune(text[start:]); size > i-start {
			return start, start + size
		}
	}
	return i, i
}

func (s *Source) scan() {
	s.lines = append(make([]int, 0, bytes.Count(s.Text, []byte("\n"))+1), 0)
	for i, c := range s.Text {
		if c == '\n' {
			s.lines = append(s.lines, i+1)
		}
	}
}

// At returns a fault in length bytes of source from offset on. Where many faults of one text are expected, a [Source]
// counts its lines only once.
func At(file string, source []byte, offset, length int, text, hint string) Fault {
	s := Source{File: file, Text: source}
	return s.At(offset, length, text, hint)
}
