package proof

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"example.org/gripleaf/calculators/standard"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/lesson"
	"example.org/gripleaf/cmd/internal/locale"
	"example.org/gripleaf/cmd/internal/sum"
)

var book = sum.NewBook(standard.Set)

// check reads and checks the text of a lesson in a language.
func check(t *testing.T, tag, text string) (*lesson.Lesson, *locale.Locale, fault.List) {
	t.Helper()
	words, err := locale.New(tag, nil)
	if err != nil {
		t.Fatal(err)
	}
	l, faults := lesson.NewReader(words, false).Read(&fault.Source{File: "x.md", Text: []byte("---\ntitle: x\n---\n" + text)})
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	return l, words, Check(l, words, book)
}

// A number agrees when it is within half a unit of the last place that is written. The braking distance from 60 km/h
// with grip 0.8 is (60/3.6)²/(2·0.8·9.80665) m = 17.703406… m, or 58.08204… ft.
func TestAgreement(t *testing.T) {
	const link = "](calc:stop?speed=60km/h&grip=0.8#braking-distance)"
	for _, test := range []struct {
		tag, written string
		agrees       bool
	}{
		{"en", "17.7 m", true}, {"en", "17.70 m", true}, {"en", "17.703 m", true}, {"en", "17.704 m", false},
		{"en", "18 m", true}, {"en", "17 m", false}, {"en", "17.75 m", false}, {"en", "17.8 m", false}, {"en", "-17.7 m", false},
		{"en", "about 18 m", true}, {"en", "≈ 17.7 m", true}, {"en", "~18 m", true}, {"en", "about 20 m", false},
		{"en", "58 ft", true}, {"en", "58.08 ft", true}, {"en", "58.1 ft", true}, {"en", "59 ft", false},
		{"en", "1770 cm", true}, {"en", "1,770 cm", true}, {"en", "17703 mm", true}, {"en", "17,703 mm", true}, {"en", "0.0177 km", true},
		{"en", "17.7 metres", true}, {"en", "17.7m", true},
		{"de", "17,7 m", true}, {"de", "17,8 m", false}, {"de", "1.770 cm", true}, {"de", "etwa 18 m", true},
		{"hi", "17.7 मीटर", true}, {"hi", "लगभग 18 मीटर", true}, {"hi", "१७.७ मीटर", false},
		{"ar", "١٧٫٧ م", true}, {"ar", "١٧٫٨ م", false}, {"ar", "حوالي ١٨ م", true},
	} {
		_, _, faults := check(t, test.tag, "["+test.written+link)
		if agrees := len(faults) == 0; agrees != test.agrees {
			t.Errorf("%s %q agrees: %v, want %v: %v", test.tag, test.written, agrees, test.agrees, faults)
		}
	}
}

// Ratios, differences and changes of two states: the braking distance grows with the square of speed, the reaction
// distance in step with it, so these follow from arithmetic alone.
func TestRelations(t *testing.T) {
	for _, test := range []struct{ text, wrong string }{
		{"[4](calc:stop?speed=60km/h#braking-distance;times;speed=30km/h)", ""},
		{"[2.0](calc:stop?speed=60km/h#reaction-distance;times;speed=30km/h)", ""},
		{"[10 m](calc:stop?speed=72km/h#reaction-distance;minus;speed=36km/h)", ""},
		{"[100 %](calc:stop?speed=60km/h#reaction-distance;change;speed=30km/h)", ""},
		{"[−50 %](calc:stop?speed=30km/h#reaction-distance;change;speed=60km/h)", ""},
		{"[50 %](calc:stop?speed=30km/h#reaction-distance;change;speed=60km/h)", "the other way round"},
		{"[1](calc:stop?reaction=1s#reaction-distance;times;reaction=0s)", "gives 0"},
		{"[more](calc:stop?speed=60km/h#braking-distance;more-than;speed=50km/h)", ""},
		{"[less](calc:stop?speed=60km/h#braking-distance;less-than;speed=50km/h)", "does not hold"},
		{"[enough](calc:stop?speed=72km/h#reaction-distance;at-least;20m)", ""},
		{"[enough](calc:stop?speed=72km/h#reaction-distance;at-most;65.6ft)", "does not hold"},
		{"[the same](calc:stop?speed=72km/h#reaction-distance;same-as;speed=20m/s)", ""},
		{"[the same](calc:stop?speed=72km/h#reaction-distance;same-as;speed=73km/h)", "does not hold"},
		{"[`v·t_r`](calc:stop?speed=72km/h#reaction-distance)", ""},
		{"[`v·t_r + v²/(2·µ·g)`](calc:stop?speed=72km/h#stopping-distance)", ""},
		{"[`v·t_r + 1`](calc:stop?speed=72km/h#reaction-distance)", "the formula gives 21"},
	} {
		_, _, faults := check(t, "en", test.text)
		var said []string
		for _, f := range faults {
			said = append(said, f.Text+" "+f.Hint)
		}
		if test.wrong == "" && len(faults) > 0 || test.wrong != "" && !strings.Contains(strings.Join(said, "\n"), test.wrong) {
			t.Errorf("%s: %q, want %q", test.text, said, test.wrong)
		}
	}
}

// A worked step shows its symbols, then the values that its state has for them in SI units, so that it works out as it
// stands, then the result.
func TestStep(t *testing.T) {
	l, _, faults := check(t, "de", "[`v·t_r`](calc:stop?speed=60km/h&reaction=1.5s#reaction-distance)")
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	s := l.Steps[0]
	for _, want := range []string{"<mi>v</mi><mo>·</mo><msub><mi>t</mi><mi>r</mi></msub>"} {
		if !strings.Contains(s.Symbols, want) {
			t.Errorf("%s lacks %s", s.Symbols, want)
		}
	}
	for _, want := range []string{"<mn>16,67</mn>", "<mtext>m/s</mtext>", "<mn>1,5</mn>"} {
		if !strings.Contains(s.Values, want) {
			t.Errorf("%s lacks %s", s.Values, want)
		}
	}
	if s.Result.Text != "25,0\u00a0m" {
		t.Errorf("the result is %q", s.Result.Text)
	}
}

// A question's numbers are worked out with the values that its text shows; without any, with the first of the range.
func TestQuestions(t *testing.T) {
	_, _, faults := check(t, "en", "```question\nFrom [72 km/h](calc:#speed)? [](calc:stop?speed=36..108:36km/h&reaction=1s..2:1s#reaction-distance;within;5%)\n```\n")
	if len(faults) == 0 {
		t.Error("1s..2:1s is no range, and nobody says so")
	}
	l, _, faults := check(t, "en", "```question\nFrom [72 km/h](calc:#speed) and [1 s](calc:#reaction)? [](calc:stop?speed=36..108:36km/h&reaction=1..2:1s#reaction-distance;within;5%)\n```\n")
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	r := l.Questions[0].Answer.Result
	if math.Abs(r.Value-20) > 1e-9 {
		t.Errorf("72 km/h for 1 s are %g m", r.Value)
	}
	if within, err := tolerated(l.Questions[0].Answer, r); err != nil || math.Abs(within-1) > 1e-9 {
		t.Errorf("5 %% of 20 m are %g m, %v", within, err)
	}
}

func TestRecords(t *testing.T) {
	l, words, faults := check(t, "en", "[18 m](calc:stop?speed=60km/h&grip=0.8#braking-distance), [](calc:stop?speed=72km/h#reaction-distance), "+
		"[longer](calc:stop?speed=60km/h#braking-distance;longer-than;speed=50km/h)\n")
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	var got []string
	for _, r := range Records(l, words) {
		got = append(got, fmt.Sprintf("%s %d:%d %q %s %.2f %s", r.Kind, r.Line, r.Column, r.Written, r.Worked, r.Margin, r.Against))
	}
	want := []string{"number 4:1 \"18 m\" 17.70\u00a0m -0.30 ", "number 4:59 \"\" 20.000\u00a0m 0.00 ", "claim 4:105 \"longer\" 17.703\u00a0m 0.00 12.294\u00a0m"}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("got  %q\nwant %q", got, want)
	}
}

func BenchmarkCheck(b *testing.B) {
	words, err := locale.New("en", nil)
	if err != nil {
		b.Fatal(err)
	}
	text := []byte("---\ntitle: x\n---\n" + strings.Repeat("It takes [17.7 m](calc:stop?speed=60km/h&grip=0.8#braking-distance) to stop.\n\n", 30))
	r := lesson.NewReader(words, false)
	l, _ := r.Read(&fault.Source{File: "x.md", Text: text})
	for b.Loop() {
		if faults := Check(l, words, book); len(faults) > 0 {
			b.Fatal(faults)
		}
	}
}
