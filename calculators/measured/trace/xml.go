package trace

import "strings"

// As much of XML as a track has: elements with attributes, text, and what may stand between them. The reader's page has
// no room for encoding/xml, which needs reflection; a test holds this against it.

// An xml is read from the front to the back.
type xml struct {
	text  string
	at    int
	start int    // of the last tag
	tag   string // inside of the last opening tag, behind its name
	empty bool   // it closed itself
}

// A tagKind is what was read.
type tagKind int

const (
	ended tagKind = iota
	opens
	closes
)

// next passes over text up to the next tag and returns its name without a prefix.
func (x *xml) next() (tagKind, string, *Error) {
	for {
		open := strings.IndexByte(x.text[x.at:], '<')
		if open < 0 {
			x.at = len(x.text)
			return ended, "", nil
		}
		start := x.at + open
		rest := x.text[start:]
		if end, between := x.between(rest); between {
			if end < 0 {
				return ended, "", x.fault(start, "the XML breaks off", "export the track again")
			}
			x.at = start + end
			continue
		}
		end := tagEnd(rest)
		if end < 0 {
			return ended, "", x.fault(start, "the XML breaks off within a tag", "export the track again")
		}
		x.start, x.at = start, start+end+1
		inside, closing := strings.CutPrefix(rest[1:end], "/")
		inside, x.empty = strings.CutSuffix(inside, "/")
		name := inside
		if i := strings.IndexAny(inside, " \t\r\n"); i >= 0 {
			name = inside[:i]
		}
		x.tag = inside[len(name):]
		if name == "" {
			return ended, "", x.fault(start, "a tag has no name", "export the track again")
		}
		_, local, prefixed := strings.Cut(name, ":")
		if !prefixed {
			local = name
		}
		if closing {
			return closes, local, nil
		}
		return opens, local, nil
	}
}

// between returns where a comment, a marked section, an instruction or a
// declaration ends, if one begins here; -1 if it does not end.
func (x *xml) between(rest string) (end int, between bool) {
	for _, b := range [...][2]string{{"<!--", "-->"}, {"<![CDATA[", "]]>"}, {"<?", "?>"}, {"<!", ">"}} {
		if strings.HasPrefix(rest, b[0]) {
			i := strings.Index(rest[len(b[0]):], b[1])
			if i < 0 {
				return -1, true
			}
			return len(b[0]) + i + len(b[1]), true
		}
	}
	return 0, false
}

// tagEnd returns where the > stands that ends a tag, which one between quotation marks does not.
func tagEnd(rest string) int {
	quote := byte(0)
	for i := range len(rest) {
		switch c := rest[i]; {
		case quote != 0:
			if c == quote {
				quote = 0
			}
		case c == '"' || c == '\'':
			quote = c
		case c == '>':
			return i
		}
	}
	return -1
}

// attribute returns one of the last opening tag; "" if it has none of the name.
func (x *xml) attribute(name string) string {
	rest := x.tag
	for {
		key, after, ok := strings.Cut(rest, "=")
		after = strings.TrimLeft(after, " \t\r\n")
		if !ok || after == "" {
			return ""
		}
		value, others, ok := strings.Cut(after[1:], after[:1])
		if !ok {
			return ""
		}
		if strings.TrimSpace(key) == name {
			return strings.TrimSpace(value)
		}
		rest = others
	}
}

// words returns the text up to the next tag, with a marked section of it. The
// references that XML knows would be in no number or time.
func (x *xml) words() string {
	rest := x.text[x.at:]
	if inside, ok := strings.CutPrefix(rest, "<![CDATA["); ok {
		text, _, _ := strings.Cut(inside, "]]>")
		return strings.TrimSpace(text)
	}
	text, _, _ := strings.Cut(rest, "<")
	return strings.TrimSpace(text)
}

func (x *xml) fault(at int, text, hint string) *Error {
	return &Error{Row: 1 + strings.Count(x.text[:at], "\n"), Offset: at, Length: 1, Text: text, Hint: hint}
}
