package ledger

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestChanges(t *testing.T) {
	before := Ledger{{Lesson: "a.md", Link: "calc:stop#x", Value: 10, Unit: "m", Shown: "10.00 m"}, {Lesson: "a.md", Link: "calc:stop#y", Value: 1, Unit: "s", Shown: "1.00 s"}, {Lesson: "gone.md", Link: "calc:stop#x", Value: 1, Unit: "m", Shown: "1 m"}}
	now := Ledger{{Lesson: "a.md", Link: "calc:stop#x", Value: 10.5, Unit: "m", Shown: "10.50 m"}, {Lesson: "a.md", Link: "calc:stop#y", Value: 1 + 1e-12, Unit: "s", Shown: "1.00 s"}, {Lesson: "new.md", Link: "calc:stop#x", Value: 2, Unit: "m", Shown: "2 m"}}
	want := []Change{{"a.md", "calc:stop#x", "10.00 m", "10.50 m", 10, 10.5}}
	if diff := cmp.Diff(want, Changes(before, now)); diff != "" {
		t.Error(diff)
	}
}

// What is written is read again, line by line in an order of its own, so that version control shows what moved.
func TestWrite(t *testing.T) {
	site := t.TempDir()
	l := Ledger{{Lesson: "b.md", Link: "calc:stop?a=1&b=2#x", Value: 0.1, Unit: "m", Shown: "0.1 m"}, {Lesson: "a.md", Link: "calc:stop#y", Value: 3, Unit: "", Shown: "3"}, {Lesson: "a.md", Link: "calc:stop#y", Value: 3, Unit: "", Shown: "3"}}
	l.Sort()
	if err := Write(site, l); err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile(filepath.Join(site, FileName))
	if err != nil {
		t.Fatal(err)
	}
	const want = `{
"format": "gripleaf-ledger-1",
"numbers": [
{"lesson":"a.md","link":"calc:stop#y","value":3,"shown":"3"}
,{"lesson":"b.md","link":"calc:stop?a=1&b=2#x","value":0.1,"unit":"m","shown":"0.1 m"}
]
}
`
	if diff := cmp.Diff(want, string(text)); diff != "" {
		t.Error(diff)
	}
	again, err := Read(site)
	if diff := cmp.Diff(l, again); diff != "" || err != nil {
		t.Error(diff, err)
	}
	if empty, err := Read(t.TempDir()); err != nil || len(empty) != 0 {
		t.Errorf("a site without a ledger: %v, %v", empty, err)
	}
}

// The day on which a number moved, and what it was, stay until it moves again.
func TestDate(t *testing.T) {
	at := func(value float64, shown string) Ledger {
		return Ledger{{Lesson: "a.md", Link: "calc:stop#x", Value: value, Shown: shown}}
	}
	first, second, third, fourth := at(1, "1 m"), at(2, "2 m"), at(2, "2 m"), at(3, "3 m")
	first.Date(nil, "2026-01-01")
	second.Date(first, "2026-02-02")
	third.Date(second, "2026-03-03")
	fourth.Date(third, "2026-04-04")
	for i, test := range []struct {
		ledger     Ledger
		moved, was string
	}{{first, "", ""}, {second, "2026-02-02", "1 m"}, {third, "2026-02-02", "1 m"}, {fourth, "2026-04-04", "2 m"}} {
		if got := test.ledger[0]; got.Moved != test.moved || got.Was != test.was {
			t.Errorf("%d: moved %q, was %q", i, got.Moved, got.Was)
		}
	}
}
