package search

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"
)

func TestWords(t *testing.T) {
	for _, test := range []struct {
		text string
		want []string
	}{
		{"Grip, and slip!", []string{"grip", "and", "slip"}},
		{"Größe der Straße", []string{"grosse", "der", "strasse"}},
		{"café Café CAFE\u0301", []string{"cafe", "cafe", "cafe"}},
		{"from 60 km/h", []string{"from", "60", "km", "h"}},
		{"الكَبْح ـــ كبـح", []string{"الكبح", "كبح"}}, // vowel points and the lengthening stroke go
		{"ब्रेक लगाना", []string{"ब्रेक", "लगाना"}},    // vowel signs stay: they are letters there
		{strings.Repeat("x", 60) + " ok", []string{"ok"}},
		{"\u0301 a", []string{"a"}},
	} {
		if got := Words(test.text); !slices.Equal(got, test.want) {
			t.Errorf("Words(%q) = %q, want %q", test.text, got, test.want)
		}
	}
}

func TestFilesAreTheSameWhateverTheOrder(t *testing.T) {
	a := []Passage{{"a.html", "Grip", Lesson, "how a tyre holds"}}
	b := []Passage{{"b.html#x", "Slip", Lesson, "how grip is made"}, {"b.html#y", "Slip: more", Lesson, "grip grip"}}
	var one, two Index
	one.Add("a", a)
	one.Add("b", b)
	two.Add("b", b)
	two.Add("a", a)
	first, second := one.Files(0), two.Files(0)
	if len(first) != len(second) {
		t.Fatalf("%d files and %d", len(first), len(second))
	}
	for i := range first {
		if first[i].Name != second[i].Name || string(first[i].Data) != string(second[i].Data) {
			t.Errorf("%s differs from %s:\n%s\n%s", first[i].Name, second[i].Name, first[i].Data, second[i].Data)
		}
	}
	terms := make(map[string][]int)
	for _, f := range first {
		if data, ok := strings.CutPrefix(string(f.Data), `gripleafFound("terms-0-103",`); ok { // 103 is g
			if err := json.Unmarshal([]byte(strings.TrimSuffix(data, ")")), &terms); err != nil {
				t.Fatal(err)
			}
		}
	}
	if want := []int{0, 8, 1, 1, 2, 2}; !slices.Equal(terms["grip"], want) {
		t.Errorf("grip stands in %v, want %v", terms["grip"], want)
	}
}

func FuzzWords(f *testing.F) {
	f.Add("Größe, 60 km/h")
	f.Fuzz(func(t *testing.T, text string) {
		for _, w := range Words(text) {
			if w == "" {
				t.Fatal("an empty word")
			}
			if again := Words(w); len(again) != 1 || again[0] != w {
				t.Fatalf("%q folds to %q again", w, again)
			}
		}
	})
}
