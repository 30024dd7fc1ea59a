package page

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/lesson"
	"example.org/gripleaf/cmd/internal/locale"
	"example.org/gripleaf/cmd/internal/search"
)

func TestPassages(t *testing.T) {
	words, err := locale.New("en", nil)
	if err != nil {
		t.Fatal(err)
	}
	const text = "---\ntitle: Grip\nquestion: What holds?\nsummary: The tyre.\n---\n\n---\n\nA *wet* road\nis slow.\n\nSo wait.\n\n## Rain\n\n## [Sand](moment:#soft)\n\nIt gives.\n"
	l, faults := lesson.NewReader(words, false).Read(&fault.Source{File: "en/grip.md", Text: []byte(text)})
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	got := Passages(&course.Entry{Meta: &l.Meta, Address: "grip.html"}, l)
	want := []search.Passage{
		{Path: "grip.html", Title: "Grip", Kind: search.Lesson, Text: "What holds? The tyre. A wet road is slow. So wait."},
		{Path: "grip.html#rain", Title: "Grip: Rain", Kind: search.Lesson},
		{Path: "grip.html#soft", Title: "Grip: Sand", Kind: search.Lesson, Text: "It gives."},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}
