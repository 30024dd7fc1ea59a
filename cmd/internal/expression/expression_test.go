package expression

import (
	"math"
	"strings"
	"testing"
)

func values(m map[string]float64) func(string) (float64, bool) {
	return func(s string) (float64, bool) { v, ok := m[s]; return v, ok }
}

// The braking distance is the OpenStax worked example of the car that comes to a halt (College Physics 2e, example
// 2.14): 30.0 m/s at 7.00 m/s² on dry concrete takes 64.3 m. The rest is arithmetic.
func TestWork(t *testing.T) {
	v := values(map[string]float64{"v": 30, "a": 7, "t_r": 0.5, "x": 2})
	for _, c := range []struct {
		text string
		want float64
		tol  float64
	}{
		{"v²/(2·a)", 64.3, 0.05},
		{"v·t_r + v²/(2·a)", 15.0 + 64.3, 0.05},
		{"-x² + 10", 6, 0},
		{"2^3^2", 512, 0},
		{"12/3/2", 2, 0},
		{"10 − 3 − 2", 5, 0},
		{"√(x·8)", 4, 0},
		{"sin(0) + cos(0)", 1, 0},
		{"(1 - x)·v", -30, 0},
	} {
		f, err := Parse(c.text)
		if err != nil {
			t.Errorf("%s: %v", c.text, err)
			continue
		}
		if got, err := f.Work(v); err != nil || math.Abs(got-c.want) > c.tol {
			t.Errorf("%s = %v (%v), want %v", c.text, got, err, c.want)
		}
	}
}

func TestFaults(t *testing.T) {
	v := values(map[string]float64{"v": 1})
	for _, c := range []struct {
		text string
		at   int
		want string
	}{
		{"v·", 3, "ends too early"},
		{"2 v", 2, "does not belong"},
		{"(v", 0, "not closed"},
		{"v·q", 3, "symbol q"},
		{"1/(v-v)", 0, "no number"},
		{"sin v", 4, "no argument"},
		{"1.2.3", 0, "not a number"},
	} {
		f, err := Parse(c.text)
		if err == nil {
			_, err = f.Work(v)
		}
		e, ok := err.(*Error)
		if !ok || e.Offset != c.at || !strings.Contains(e.Text, c.want) {
			t.Errorf("%s: %+v, want %q at %d", c.text, err, c.want, c.at)
		}
	}
}

func TestMathML(t *testing.T) {
	f, err := Parse("v²/(2·µ·g)")
	if err != nil {
		t.Fatal(err)
	}
	const symbols = "<mrow><mfrac><mrow><msup><mrow><mi>v</mi></mrow><mrow><mn>2</mn></mrow></msup></mrow>" +
		"<mrow><mn>2</mn><mo>·</mo><mi>µ</mi><mo>·</mo><mi>g</mi></mrow></mfrac></mrow>"
	if got := f.MathML(nil); got != symbols {
		t.Errorf("got  %s\nwant %s", got, symbols)
	}
	got := f.MathML(func(s string) (Quantity, bool) { return Quantity{"16.7", "m/s"}, s == "v" })
	if want := `<msup><mrow><mo>(</mo><mn>16.7</mn><mspace width="0.17em"/><mtext>m/s</mtext><mo>)</mo></mrow>`; !strings.Contains(got, want) {
		t.Errorf("%s lacks %s", got, want)
	}
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"v²/(2·µ·g)", "((((", "√√x", "1^-2", "sin(x)^²", "a_b_c", "\xff"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		formula, err := Parse(text)
		if err != nil {
			if e, ok := err.(*Error); !ok || e.Offset < 0 || e.Offset+e.Length > len(text) {
				t.Fatalf("%q: %#v", text, err)
			}
			return
		}
		if m := formula.MathML(nil); strings.Count(m, "<mrow>") != strings.Count(m, "</mrow>") {
			t.Fatalf("%q: %s", text, m)
		}
	})
}
