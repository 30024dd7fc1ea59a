package trace

import (
	"strconv"
	"strings"
	"unicode/utf16"
	"unicode/utf8"
)

// Tables as RFC 4180 describes them, with what loggers do beside it: other
// separators, lines of remarks, and a byte order mark.

// A field is one value of a table and where it stands.
type field struct {
	text   string
	offset int
	length int // bytes of the file, quotes included
}

// A record is one row.
type record struct {
	row    int // line that it begins on, from 1
	fields []field
}

// What a table may have at most.
const (
	maxRows   = 200_000
	maxFields = 200 // of a row
)

// records splits text into rows. Empty lines and remarks, which begin with #, are passed over.
func records(text string, separator byte) (list []record, fault *Error) {
	row, at := 1, 0
	for at < len(text) {
		line := text[at:lineEnd(text, at)]
		if trimmed := strings.TrimSpace(line); trimmed == "" || trimmed[0] == '#' {
			at, row = at+len(line)+1, row+1
			continue
		}
		r := record{row: row}
		end, open := r.read(text, at, separator)
		if open >= 0 {
			return nil, &Error{Row: row, Offset: open, Length: 1,
				Text: "this quotation mark is never closed", Hint: "put another where the value ends"}
		}
		if len(list) == maxRows {
			return nil, &Error{Row: row, Offset: at, Text: "there are more than " + strconv.Itoa(maxRows) + " rows", Hint: "cut the log to the stop"}
		}
		if len(r.fields) > maxFields {
			return nil, &Error{Row: row, Offset: at, Text: "the row has more than " + strconv.Itoa(maxFields) + " values",
				Hint: "export fewer columns, and one row a line"}
		}
		list = append(list, r)
		row += strings.Count(text[at:min(end+1, len(text))], "\n")
		at = end + 1
	}
	return list, nil
}

func lineEnd(text string, at int) int {
	if i := strings.IndexByte(text[at:], '\n'); i >= 0 {
		return at + i
	}
	return len(text)
}

// read takes the fields of the row that begins at an offset. It returns where
// the row ends, and where a quotation mark that is never closed stands, or -1.
func (r *record) read(text string, at int, separator byte) (end, open int) {
	for {
		f := field{offset: at}
		stop := at
		if at < len(text) && text[at] == '"' {
			if stop = quoteEnd(text, at); stop < 0 {
				return at, at
			}
		}
		for stop < len(text) && text[stop] != separator && text[stop] != '\n' {
			stop++
		}
		f.length = len(strings.TrimRight(text[at:stop], "\r"))
		f.text = unquote(text[at : at+f.length])
		r.fields = append(r.fields, f)
		if stop == len(text) || text[stop] == '\n' {
			return stop, -1
		}
		at = stop + 1
	}
}

// quoteEnd returns the offset behind the quotation mark that closes the one at
// an offset, or -1. Two of them stand for one.
func quoteEnd(text string, at int) int {
	for i := at + 1; i < len(text); i++ {
		if text[i] != '"' {
			continue
		}
		if i+1 == len(text) || text[i+1] != '"' {
			return i + 1
		}
		i++
	}
	return -1
}

func unquote(s string) string {
	s = strings.TrimSpace(s)
	if len(s) >= 2 && s[0] == '"' && s[len(s)-1] == '"' {
		s = strings.TrimSpace(strings.ReplaceAll(s[1:len(s)-1], `""`, `"`))
	}
	return s
}

// separator finds what parts the fields: the one of tab, semicolon and comma that most rows at the start have equally
// often, the first of them if it is a draw.
func separator(text string) byte {
	best, most := byte(','), 0
	for _, c := range []byte("\t;,") {
		counts := map[int]int{}
		for _, line := range firstLines(text, 20) {
			counts[strings.Count(line, string(c))]++
		}
		for n, rows := range counts {
			if n > 0 && rows > most {
				best, most = c, rows
			}
		}
	}
	return best
}

func firstLines(text string, n int) (list []string) {
	for line := range strings.Lines(text) {
		if trimmed := strings.TrimSpace(line); trimmed != "" && trimmed[0] != '#' {
			list = append(list, line)
		}
		if len(list) == n {
			break
		}
	}
	return list
}

const byteOrder = "\ufeff"

// Text returns a file's text in UTF-8, in which all offsets count: some loggers write UTF-16, with a mark of the order
// of its bytes.
func Text(file string) string {
	high := 0
	switch {
	case strings.HasPrefix(file, "\xff\xfe"):
		high = 1
	case !strings.HasPrefix(file, "\xfe\xff"):
		return file
	}
	units := make([]uint16, 0, len(file)/2)
	for i := 2; i+1 < len(file); i += 2 {
		units = append(units, uint16(file[i+high])<<8|uint16(file[i+1-high]))
	}
	return string(utf16.Decode(units))
}

// readable refuses what is not text.
func readable(text string) *Error {
	for i, r := range text {
		if r == 0 || r == utf8.RuneError && !strings.HasPrefix(text[i:], string(utf8.RuneError)) {
			if r != 0 && 0xa0 <= text[i] { // a letter or degree sign of an older encoding, in a header
				continue
			}
			row := 1 + strings.Count(text[:i], "\n")
			return &Error{Row: row, Offset: i, Length: 1, Text: "this is not a text file", Hint: "export the log as CSV, in UTF-8"}
		}
	}
	return nil
}
