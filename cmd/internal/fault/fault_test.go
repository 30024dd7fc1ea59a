package fault

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/rivo/uniseg"
)

func TestErrorLeavesOutWhatIsMissing(t *testing.T) {
	for _, test := range []struct {
		fault Fault
		want  string
	}{
		{Fault{File: "a.md", Line: 3, Column: 7, Text: "no such term"}, "a.md:3:7: no such term"},
		{Fault{File: "a.md", Line: 3, Text: "no such term"}, "a.md:3: no such term"},
		{Fault{File: "a.md", Text: "no heading"}, "a.md: no heading"},
		{Fault{Line: 3, Column: 7, Text: "no such term"}, "3:7: no such term"},
		{Fault{Text: "no lessons"}, "no lessons"},
	} {
		if got := test.fault.Error(); got != test.want {
			t.Errorf("got %q, want %q", got, test.want)
		}
	}
}

// The marks ‹ and › stand around the span in the text.
func TestAt(t *testing.T) {
	for _, test := range []struct {
		name, text   string
		line, column int
		length       int
		excerpt      string
	}{
		{"first line", "‹one› two\n", 1, 1, 3, "one two"},
		{"second line", "one\ntwo ‹three›\nfour", 2, 5, 5, "two three"},
		{"crlf", "one\r\ntwo ‹three›\r\nfour", 2, 5, 5, "two three"},
		{"characters, not bytes", "größer ‹µ› = 1\n", 1, 8, 1, "größer µ = 1"},
		{"byte order mark", "\ufeff‹title›: x\n", 1, 1, 5, "title: x"},
		{"before the byte order mark", "‹\ufeff›title: x\n", 1, 1, 0, "title: x"},
		{"line end", "one‹›\ntwo\n", 1, 4, 0, "one"},
		{"between cr and lf", "one\r‹›\ntwo\n", 1, 4, 0, "one"},
		{"over the line end", "one ‹two\nthree›\n", 1, 5, 3, "one two"},
		{"last line end", "one\n‹›", 2, 1, 0, ""},
		{"end without line end", "one\ntwo‹›", 2, 4, 0, "two"},
		{"empty", "‹›", 1, 1, 0, ""},
		{"not utf-8", "a\xff\xfe‹b›\n", 1, 4, 1, "a\xff\xfeb"},
	} {
		t.Run(test.name, func(t *testing.T) {
			before, rest, _ := strings.Cut(test.text, "‹")
			span, after, _ := strings.Cut(rest, "›")
			source := before + span + after
			got := At("a.md", []byte(source), len(before), len(span), "text", "hint")
			want := Fault{
				File: "a.md", Line: test.line, Column: test.column, Length: test.length,
				Excerpt: test.excerpt, Text: "text", Hint: "hint",
			}
			if diff := cmp.Diff(want, got); diff != "" {
				t.Error(diff)
			}
		})
	}
}

func TestAtOfPartsOfCharacters(t *testing.T) {
	got := At("a.md", []byte("aµ€b"), 2, 2, "text", "hint") // second byte of µ, first of €
	if got.Column != 2 || got.Length != 2 {
		t.Errorf("column %d, length %d, want 2 and 2", got.Column, got.Length)
	}
}

func FuzzAt(f *testing.F) {
	f.Add([]byte("one\ntwo"), 5, 2)
	f.Add([]byte("\ufeff\r\n\xff"), 1, 9)
	f.Add([]byte("\u202e\t界e\u0301"), -1, -1)
	f.Fuzz(func(t *testing.T, source []byte, offset, length int) {
		got := At("a.md", source, offset, length%1000, "text", "hint")
		line := strings.Split(string(source), "\n")[got.Line-1]
		line = strings.TrimSuffix(line, "\r")
		if got.Line == 1 {
			line = strings.TrimPrefix(line, "\ufeff")
		}
		last := got.Line-1 == strings.Count(string(source), "\n")
		if got.Excerpt != line && !(last && got.Excerpt == line+"\r") {
			t.Errorf("excerpt %q, want %q", got.Excerpt, line)
		}
		if end := got.Column - 1 + got.Length; end > utf8.RuneCountInString(got.Excerpt) {
			t.Errorf("the span ends at %d in %q", end, got.Excerpt)
		}
		var out strings.Builder
		if err := (List{got}).Print(&out, false); err != nil {
			t.Fatal(err)
		}
		if !utf8.ValidString(out.String()) {
			t.Errorf("printed %q", out.String())
		}
	})
}

func TestPrint(t *testing.T) {
	long := strings.Repeat("The bike stands. ", 20)
	for _, test := range []struct {
		name  string
		fault Fault
		want  string
	}{
		{"span", Fault{File: "a.md", Line: 2, Column: 5, Length: 4, Excerpt: "the stpo sign", Text: "no such term", Hint: `did you mean "stop"?`}, `
a.md:2:5: no such term
    the stpo sign
        ^^^^
  did you mean "stop"?
`},
		{"place at the end", Fault{File: "a.md", Line: 1, Column: 4, Excerpt: "one", Text: "not closed"}, `
a.md:1:4: not closed
    one
       ^
`},
		{"empty line", Fault{File: "a.md", Line: 1, Column: 1, Text: "empty"}, `
a.md:1:1: empty
`},
		{"tabs", Fault{File: "a.md", Line: 1, Column: 4, Length: 1, Excerpt: "a\t\tb", Text: "x"}, `
a.md:1:4: x
    a       b
            ^
`},
		{"wide characters", Fault{File: "a.md", Line: 1, Column: 3, Length: 2, Excerpt: "制動距離 d", Text: "x"}, `
a.md:1:3: x
    制動距離 d
        ^^^^
`},
		{"combining characters", Fault{File: "a.md", Line: 1, Column: 7, Length: 2, Excerpt: "cafe\u0301 ne\u0301", Text: "x"}, "\na.md:1:7: x\n    cafe\u0301 ne\u0301\n         ^^\n"},
		{"controls and directions", Fault{File: "a.md", Line: 1, Column: 9, Length: 1, Excerpt: "\x1b[31m\u202ea b", Text: "un\x07seen"}, `
a.md:1:9: un␇seen
    ␛[31m<U+202E>a b
                   ^
`},
		{"not utf-8", Fault{File: "a.md", Line: 1, Column: 2, Length: 1, Excerpt: "a\xffb", Text: "not UTF-8"}, `
a.md:1:2: not UTF-8
    a<FF>b
     ^^^^
`},
		{"notes and many lines", Fault{File: "a.md", Text: "two\nlines", Hint: "do this\nthen that", Notes: []Note{{File: "b.md", Line: 1, Column: 2, Text: "also here"}}}, `
a.md: two
  lines
  do this
  then that
  b.md:1:2: also here
`},
		{"start of a long line", Fault{File: "a.md", Line: 1, Column: 5, Length: 4, Excerpt: long, Text: "x"}, `
a.md:1:5: x
    The bike stands. The bike stands. The bike stands. The bike stands. The bike stands. The bike st…
        ^^^^
`},
		{"middle of a long line", Fault{File: "a.md", Line: 1, Column: 124, Length: 4, Excerpt: long, Text: "x"}, `
a.md:1:124: x
    …ke stands. The bike stands. The bike stands. The bike stands. The bike stands. The bike stands. …
                                     ^^^^
`},
		{"end of a long line", Fault{File: "a.md", Line: 1, Column: 334, Length: 6, Excerpt: long, Text: "x"}, `
a.md:1:334: x
    …ke stands. The bike stands. The bike stands. The bike stands. The bike stands. The bike stands.
                                                                                              ^^^^^^
`},
	} {
		t.Run(test.name, func(t *testing.T) {
			var b strings.Builder
			if err := (List{test.fault}).Print(&b, false); err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(strings.TrimPrefix(test.want, "\n"), b.String()); diff != "" {
				t.Error(diff)
			}
		})
	}
}

// Whatever the line holds, the carets fit on it.
func TestPrintOfLongLinesFits(t *testing.T) {
	for _, text := range []string{"x", "界", "\t", "\x00", "e\u0301"} {
		for column := 1; column < 300; column += 7 {
			f := Fault{File: "a.md", Line: 1, Column: column, Length: 500, Excerpt: strings.Repeat(text, 300), Text: "x"}
			line, pad, under := f.underlined()
			if w := uniseg.StringWidth(line); w > lineWidth+2 {
				t.Errorf("%q at %d: the excerpt is %d wide", text, column, w)
			}
			if w := len(pad) + len(under); w > lineWidth+2 {
				t.Errorf("%q at %d: the carets end at %d", text, column, w)
			}
		}
	}
}

func TestPrintColours(t *testing.T) {
	f := Fault{File: "a.md", Line: 1, Column: 1, Length: 1, Excerpt: "a", Text: "x", Hint: "y"}
	var plain, painted strings.Builder
	List{f}.Print(&plain, false)
	List{f}.Print(&painted, true)
	if strings.Contains(plain.String(), "\x1b") {
		t.Errorf("plain text has escapes: %q", plain.String())
	}
	unpainted := strings.NewReplacer(bold, "", red, "", green, "", reset, "").Replace(painted.String())
	if painted.String() == unpainted || unpainted != plain.String() {
		t.Errorf("got %q, want %q with colours", painted.String(), plain.String())
	}
}

func TestColouredNeedsATerminal(t *testing.T) {
	file, err := os.CreateTemp(t.TempDir(), "")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	if Coloured(file) {
		t.Error("a file is not a terminal")
	}
}

func TestListSort(t *testing.T) {
	var l List
	if err := l.Err(); err != nil {
		t.Fatalf("an empty list is an error: %v", err)
	}
	l.Add(
		Fault{File: "b.md", Line: 1, Column: 1, Text: "x"},
		Fault{File: "a.md", Line: 10, Column: 1, Text: "x"},
		Fault{File: "a.md", Line: 9, Column: 2, Text: "y"},
		Fault{File: "a.md", Line: 9, Column: 2, Text: "x"},
		Fault{File: "a.md", Line: 9, Column: 1, Text: "z"},
		Fault{File: "a.md", Line: 9, Column: 2, Text: "x"},
		Fault{Text: "whole course"},
	)
	l.Sort()
	var got []string
	for _, f := range l {
		got = append(got, f.Error())
	}
	want := []string{"whole course", "a.md:9:1: z", "a.md:9:2: x", "a.md:9:2: y", "a.md:10:1: x", "b.md:1:1: x"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	if got, want := l.Err().Error(), "whole course (and 5 more)"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestFrom(t *testing.T) {
	one, two := Fault{File: "a.md", Text: "one"}, Fault{File: "b.md", Text: "two"}
	for _, test := range []struct {
		name string
		err  error
		want List
	}{
		{"nil", nil, nil},
		{"a fault", one, List{one}},
		{"a list", List{one, two}, List{one, two}},
		{"wrapped", fmt.Errorf("building: %w", List{one, two}), List{one, two}},
		{"joined", errors.Join(one, fmt.Errorf("building: %w", two), errors.New("disk full")), List{one, two, {Text: "disk full"}}},
		{"another error", fmt.Errorf("reading: %w", os.ErrNotExist), List{{Text: "reading: file does not exist"}}},
	} {
		if diff := cmp.Diff(test.want, From(test.err), cmpopts.EquateEmpty()); diff != "" {
			t.Errorf("%s: %s", test.name, diff)
		}
	}
}

func TestJSON(t *testing.T) {
	var empty List
	if got, _ := json.Marshal(empty); string(got) != "[]" {
		t.Errorf("an empty list is %s", got)
	}
	want := List{{Code: "term", File: "a.md", Line: 1, Column: 2, Length: 3, Excerpt: "abcd", Text: "x", Hint: "y", Notes: []Note{{Text: "z"}}}}
	text, err := json.Marshal(want)
	if err != nil {
		t.Fatal(err)
	}
	var got List
	if err := json.Unmarshal(text, &got); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

func BenchmarkPrint(b *testing.B) {
	l := make(List, 1000)
	for i := range l {
		l[i] = Fault{File: "a.md", Line: i + 1, Column: 20, Length: 4, Excerpt: "A stop of [17.7 m](calc:stpo?speed=60km/h) on dry asphalt", Text: "x", Hint: "y"}
	}
	for b.Loop() {
		var out strings.Builder
		l.Print(&out, true)
	}
}
