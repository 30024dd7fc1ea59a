package record

import (
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"example.org/gripleaf/cmd/internal/fault"
)

// read reads a mapping of the few kinds of values that there are.
func read(text string) (got map[string]any, faults fault.List) {
	got = make(map[string]any)
	source := &fault.Source{File: "x.yaml", Text: []byte(text)}
	Parse(source, 0, len(text), &faults).Each(map[string]func(Value){
		"text":  func(v Value) { got["text"] = v.Text() },
		"texts": func(v Value) { got["texts"] = v.Texts() },
		"flag":  func(v Value) { got["flag"] = v.Flag() },
		"date":  func(v Value) { got["date"] = v.Date().Format(time.DateOnly) },
		"at":    func(v Value) { got["at"] = v.Moment().String() },
	})
	return got, faults
}

func TestValues(t *testing.T) {
	got, faults := read("text: How a stop is made\ntexts: [one, \"two: 2\", 3]\nflag: true\ndate: 2026-09-14\nat: \"1:02:05\"\n")
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	want := map[string]any{"text": "How a stop is made", "texts": []string{"one", "two: 2", "3"}, "flag": true, "date": "2026-09-14", "at": "1h2m5s"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	for _, text := range []string{"text: 2026", "text: 0.5", "text: 'it''s'", "text: >\n  folded\n  lines\n"} {
		if got, faults := read(text); len(faults) > 0 || got["text"] == "" {
			t.Errorf("%q: %v %v", text, got, faults)
		}
	}
}

// Faults stand at the very place, in characters, also after letters of several bytes, and one does not hide the next.
func TestFaults(t *testing.T) {
	for _, test := range []struct{ text, want string }{
		{"txet: a", `x.yaml:1:1: there is no key "txet" here`},
		{"text: é\nflag: ja", "x.yaml:2:7: here should be true or false"},
		{"texts: [ä, [b]]", "x.yaml:1:12: here should be a text"},
		{"date: 2026-13-01", `x.yaml:1:7: "2026-13-01" is not a date`},
		{"at: 2 minutes", `x.yaml:1:5: "2 minutes" is not a moment of a video`},
		{"texts: one", "x.yaml:1:8: here should be a list"},
		{"- a\n- b", "x.yaml:1:1: here should be keys with values"},
		{"text: [a", "x.yaml:1:7: this YAML cannot be read"},
		{"text: a\ntext: b", "x.yaml:2:1: this YAML cannot be read"},
		{"text: a\n---\ntext: b", "x.yaml:2:1: a second document begins here"},
		{"text: {a: b}\nflag: 3", "x.yaml:1:7: here should be a text|x.yaml:2:7: here should be true or false"},
	} {
		_, faults := read(test.text)
		var got []string
		for _, f := range faults {
			got = append(got, f.Error())
		}
		wants := strings.Split(test.want, "|")
		if len(got) != len(wants) {
			t.Errorf("%q: %q, want %q", test.text, got, wants)
			continue
		}
		for i := range wants {
			if !strings.HasPrefix(got[i], wants[i]) {
				t.Errorf("%q: %q, want %q", test.text, got[i], wants[i])
			}
		}
	}
}

func TestMoment(t *testing.T) {
	for text, want := range map[string]time.Duration{"0:00": 0, "2:05": 125 * time.Second, "71:00": 71 * time.Minute, "1:02:05": 3725 * time.Second} {
		if got, err := Moment(text); err != nil || got != want {
			t.Errorf("%s: %v, %v", text, got, err)
		}
	}
	for _, text := range []string{"", "5", "2:5", "2:60", "1:60:00", "-1:00", "+1:00", "1:+5", "a:00", "1:2:3:4", "1000:00"} {
		if got, err := Moment(text); err == nil {
			t.Errorf("%q is read as %v", text, got)
		}
	}
	for _, text := range []string{"0:00", "9:59", "59:59", "1:00:00", "12:34:56"} {
		if d, _ := Moment(text); FormatMoment(d) != text {
			t.Errorf("%s becomes %s", text, FormatMoment(d))
		}
	}
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"text: a", "texts: [a, b]", "text: |\n  a\n", "? a\n: b", "&a text: *a", "text: !!int 3", "\ufeff", "a: b: c", "- {", "text: \"\\u00e4\""} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		_, faults := read(text)
		for _, one := range faults {
			if one.Line < 1 || one.Column < 1 || one.Text == "" {
				t.Fatalf("%q: %+v", text, one)
			}
		}
	})
}
