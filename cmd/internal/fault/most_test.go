package fault

import (
	"strings"
	"testing"
)

func TestMost(t *testing.T) {
	var l List
	for i := range 5 {
		l.Add(Fault{File: "b.md", Line: 5 - i, Text: "wrong"}, Fault{File: "a.md", Line: i + 1, Text: "wrong"})
	}
	l.Add(Fault{File: "c.md", Text: "wrong"})
	var got []string
	for _, f := range l.Most(3) {
		got = append(got, f.Error())
	}
	want := "a.md:1: wrong|a.md:2: wrong|a.md:3: wrong|a.md: and 2 more faults in this file|" +
		"b.md:1: wrong|b.md:2: wrong|b.md:3: wrong|b.md: and 2 more faults in this file|c.md: wrong"
	if strings.Join(got, "|") != want {
		t.Errorf("%q", got)
	}
	if List(nil).Most(3) != nil {
		t.Error("faults of nothing")
	}
}

// All faults of one line share its text, and a line of megabytes is cut.
func TestExcerptsAreBounded(t *testing.T) {
	s := &Source{Text: []byte(strings.Repeat("é", 3_000_000))}
	if f := s.At(4_000_000, 1, "", ""); len(f.Excerpt) != mostExcerpt || f.Column != 2_000_001 {
		t.Errorf("an excerpt of %d bytes, column %d", len(f.Excerpt), f.Column)
	}
	s = &Source{Text: []byte(strings.Repeat("e", 10_000))}
	if n := testing.AllocsPerRun(100, func() { s.At(5, 1, "", "") }); n > 0 {
		t.Errorf("a fault takes %v allocations", n)
	}
	var b strings.Builder
	f := Fault{Line: 1, Column: 30_000, Length: 3, Excerpt: strings.Repeat("x", mostExcerpt), Text: "wrong"}
	if err := (List{f}).Print(&b, false); err != nil || b.Len() > 500 {
		t.Errorf("%v, %d bytes", err, b.Len())
	}
}
