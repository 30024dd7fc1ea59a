package ledger

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestChanges(t *testing.T) {
	before := Ledger{{"a.md", "calc:stop#x", 10, "m", "10.00 m"}, {"a.md", "calc:stop#y", 1, "s", "1.00 s"}, {"gone.md", "calc:stop#x", 1, "m", "1 m"}}
	now := Ledger{{"a.md", "calc:stop#x", 10.5, "m", "10.50 m"}, {"a.md", "calc:stop#y", 1 + 1e-12, "s", "1.00 s"}, {"new.md", "calc:stop#x", 2, "m", "2 m"}}
	want := []Change{{"a.md", "calc:stop#x", "10.00 m", "10.50 m", 10, 10.5}}
	if diff := cmp.Diff(want, Changes(before, now)); diff != "" {
		t.Error(diff)
	}
}

// What is written is read again, line by line in an order of its own, so that version control shows what moved.
func TestWrite(t *testing.T) {
	site := t.TempDir()
	l := Ledger{{"b.md", "calc:stop?a=1&b=2#x", 0.1, "m", "0.1 m"}, {"a.md", "calc:stop#y", 3, "", "3"}, {"a.md", "calc:stop#y", 3, "", "3"}}
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
