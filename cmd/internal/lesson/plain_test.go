package lesson

import (
	"testing"

	"github.com/yuin/goldmark/util"

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
	} {
		l, _ := r.Read(&fault.Source{File: "a.md", Text: []byte("---\ntitle: a\n---\n\n" + text)})
		if got := string(l.AppendPlain([]byte("so "), l.Body.FirstChild())); got != "so "+want {
			t.Errorf("%s reads %q, want %q", text, got, "so "+want)
		}
	}
}

// What is left out where a text has nothing to resolve changes nothing.
func FuzzUnescape(f *testing.F) {
	for _, text := range []string{"a lever", `\*a\*`, "a &amp; b", `\&amp;`, "&#38;amp;", "&#x41;&nope;&", `\`, "\xff&"} {
		f.Add([]byte(text))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		want := util.ResolveEntityNames(util.ResolveNumericReferences(util.UnescapePunctuations(text)))
		if got := unescape(text); got != string(want) {
			t.Errorf("%q is %q, want %q", text, got, want)
		}
	})
}
