package lesson

import (
	"testing"

	"example.org/gripleaf/cmd/internal/fault"
)

func TestPlain(t *testing.T) {
	r := NewReader(english, false)
	for text, want := range map[string]string{
		"a *hard* **stop**\nin rain":              "a hard stop in rain",
		"`a\\*b &amp; c` and \\*d\\* &amp; &#65;": "a\\*b &amp; c and *d* & A",
		"<https://braking.example/> a<br>b":       "https://braking.example/ ab",
		"\"wet\" [grip](term:grip)":               "“wet” grip",
		"it takes [12.8 m](calc:stop#distance)":   "it takes 12.8 m",
		"a ![wet road](road.png) b":               "a wet road b",
		"it grows with $v^2$, so":                 "it grows with v^2, so",
		"- one\n- two\n  - three\n\n  four":       "one two three four",
		"> one\n>\n> two":                         "one two",
		"| a | b |\n| - | - |\n| 1 | 2 |":         "a b 1 2",

		// CommonMark 0.31.2, examples 13 (cut), 14 (cut), 26, 27, 28 (cut).
		`\→\A\a\ \3\φ\«`:                            `\→\A\a\ \3\φ\«`,
		`\&ouml; not a character entity`:            "&ouml; not a character entity",
		"&#35; &#1234; &#992; &#0;":                 "# Ӓ Ϡ \ufffd",
		"&#X22; &#XD06; &#xcab;":                    "\" ആ ಫ",
		"&nbsp &x; &#; &#x; &#87654321; &#abcdef0;": "&nbsp &x; &#; &#x; &#87654321; &#abcdef0;",
		"&#38;amp;": "&amp;",
	} {
		l, _ := r.Read(&fault.Source{File: "a.md", Text: []byte("---\ntitle: a\n---\n\n" + text)})
		if got := string(l.AppendPlain([]byte("so "), l.Body.FirstChild())); got != "so "+want {
			t.Errorf("%s reads %q, want %q", text, got, "so "+want)
		}
	}
}
