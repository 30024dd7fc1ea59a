package quantity_test

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
	"unicode/utf8"

	"example.org/gripleaf/calculators/quantity"
)

var (
	english = quantity.Locale{}
	german  = quantity.Locale{Decimal: ',', Group: '.'}
	hindi   = quantity.Locale{Indian: true, Zero: '०'}
	arabic  = quantity.Locale{Decimal: '٫', Group: '٬', Zero: '٠'}
)

// Exact factors: BIPM, Resolution 2 of the 3rd CGPM (1901) for g; international yard and pound agreement (1959), as in
// GNU Units' definitions.units; both seen.
func TestExactFactors(t *testing.T) {
	for _, c := range []struct {
		text string
		kind quantity.Kind
		want float64
	}{
		{"1g", quantity.Acceleration, 9.80665},
		{"1mph", quantity.Speed, 0.44704},
		{"60mph", quantity.Speed, 26.8224},
		{"1ft", quantity.Length, 0.3048},
		{"1in", quantity.Length, 0.0254},
		{"1mi", quantity.Length, 1609.344},
		{"1lb", quantity.Mass, 0.45359237},
		{"36km/h", quantity.Speed, 10},
		{"100degC", quantity.Temperature, 373.15},
		{"212degF", quantity.Temperature, 373.15},
		{"18degF", quantity.Warming, 10},
		{"180deg", quantity.Angle, math.Pi},
		{"1psi", quantity.Pressure, 6894.757293168},  // NIST SP 811, table of factors, from memory
		{"1hp", quantity.Power, 745.699871582},       // NIST SP 811, from memory
		{"1BTU", quantity.Energy, 1055.05585262},     // International Table, NIST SP 811, from memory
		{"1lbf-ft", quantity.Torque, 1.355817948331}, // NIST SP 811, from memory
	} {
		q, err := quantity.Parse(c.text, c.kind)
		if err != nil || math.Abs(q.Value-c.want) > 1e-11*math.Abs(c.want)+1e-12 {
			t.Errorf("%s: got %.12g, %v, want %.12g", c.text, q.Value, err, c.want)
		}
	}
}

func TestParse(t *testing.T) {
	for _, c := range []struct {
		text     string
		kind     quantity.Kind
		want     float64
		decimals int
	}{
		{"60km/h", quantity.Speed, 60 / 3.6, 0},
		{"60 km/h", quantity.Speed, 60 / 3.6, 0},
		{"0.50s", quantity.Time, 0.5, 2},
		{"5%", quantity.Share, 0.05, 0},
		{"0.05", quantity.Share, 0.05, 2},
		{"-8%", quantity.Share, -0.08, 0},
		{"0.8", quantity.Number, 0.8, 1},
		{"48", quantity.Whole, 48, 0},
		{"1e3m", quantity.Length, 1000, 0},
		{"-20degC", quantity.Temperature, 253.15, 0},
	} {
		q, err := quantity.Parse(c.text, c.kind)
		if err != nil || math.Abs(q.Value-c.want) > 1e-12 || q.Decimals != c.decimals {
			t.Errorf("%s: got %v, %v", c.text, q, err)
		}
	}
	if q, err := quantity.Parse("2s", quantity.Length, quantity.Time); err != nil || q.Unit.Kind != quantity.Time {
		t.Errorf("the second kind: got %v, %v", q, err)
	}
}

func TestParseRefuses(t *testing.T) {
	for text, want := range map[string]string{
		"":                              `no number in ""`,
		"fast":                          `no number in "fast"`,
		"60":                            `"60" has no unit`,
		"60kg":                          `"kg" is not a unit of a speed`,
		"60 kmph":                       `"kmph" is not a unit of a speed`,
		"1e999m/s":                      `"1e999" is not a number that can be used`,
		"1.2.3m/s":                      `"1.2.3" is not a number that can be used`,
		strings.Repeat("9", 41) + "m/s": `"` + strings.Repeat("9", 41) + `" is not a number that can be used`,
	} {
		_, err := quantity.Parse(text, quantity.Speed)
		var e *quantity.Error
		if !errors.As(err, &e) || e.Text != want || e.Hint == "" || e.Offset < 0 || e.Offset+e.Length > len(text) {
			t.Errorf("%q: got %+v, want %q", text, e, want)
		}
	}
}

func TestParseWritten(t *testing.T) {
	for _, c := range []struct {
		text   string
		locale quantity.Locale
		kind   quantity.Kind
		want   float64
	}{
		{"17.7 m", english, quantity.Length, 17.7},
		{"1,200 N", english, quantity.Force, 1200},
		{"24 metres", english, quantity.Length, 24},
		{"−3 %", english, quantity.Share, -0.03},
		{"17,7 m", german, quantity.Length, 17.7},
		{"12.345,5 N", german, quantity.Force, 12345.5},
		{"12\u00a0345 N", german, quantity.Force, 12345}, // a no-break space groups in every language
		{"१७.७ मीटर", hindi, quantity.Length, 17.7},
		{"12,34,567 N", hindi, quantity.Force, 1234567},
		{"١٧٫٧ متر", arabic, quantity.Length, 17.7},
		{" 8 m/s² ", english, quantity.Acceleration, 8},
	} {
		q, err := quantity.ParseWritten(c.text, c.locale, c.kind)
		if err != nil || math.Abs(q.Value-c.want) > 1e-9 {
			t.Errorf("%q: got %v, %v, want %v", c.text, q.Value, err, c.want)
		}
	}
	if q, err := quantity.ParseWritten("1.200 N", german, quantity.Force); err != nil || q.Value != 1200 || q.Decimals != 0 {
		t.Errorf("a German thousand: %v, %v", q, err)
	}
}

func TestFormat(t *testing.T) {
	for _, c := range []struct {
		locale   quantity.Locale
		n        float64
		decimals int
		want     string
	}{
		{english, 1234.5, 1, "1234.5"},
		{english, 12345.678, 2, "12,345.68"},
		{english, -0.04, 1, "0.0"},
		{english, -17.7, 1, "−17.7"},
		{german, 12345.6, 1, "12.345,6"},
		{hindi, 1234567, 0, "१२,३४,५६७"},
		{arabic, 17.7, 1, "١٧٫٧"},
	} {
		if got := c.locale.Format(c.n, c.decimals); got != c.want {
			t.Errorf("%v: got %q, want %q", c.n, got, c.want)
		}
	}
}

func TestReader(t *testing.T) {
	speed := quantity.Shown{Kind: quantity.Speed, Metric: "km/h", Imperial: "mph", MetricDecimals: 1}
	metric, imperial := quantity.Reader{}, quantity.Reader{System: quantity.Imperial, Words: map[string]string{"mph": "Meilen/h", "{} or {}": "{} oder {}"}}
	if got := metric.Quantity(10, speed); got != "36.0\u00a0km/h" {
		t.Errorf("metric: %q", got)
	}
	if got := imperial.Quantity(0.44704*60, speed); got != "60\u00a0Meilen/h" {
		t.Errorf("imperial: %q", got)
	}
	if got := imperial.Say("{} or {}", "a", "{}"); got != "a oder {}" {
		t.Errorf("said %q", got)
	}
	if got := metric.Quantity(math.Pi/4, quantity.Shown{Kind: quantity.Angle, Metric: "deg"}); got != "45°" {
		t.Errorf("a degree sign stands close: %q", got)
	}
	if got := metric.Quantity(1, quantity.Shown{Kind: quantity.YesNo}); got != "yes" {
		t.Errorf("yes or no: %q", got)
	}
}

// Every unit leads to SI and back, and is found by each of its spellings.
func TestUnitsInAndOut(t *testing.T) {
	for kind := quantity.Number; kind <= quantity.Damping; kind++ {
		for _, symbol := range quantity.Symbols(kind) {
			u := quantity.Must(kind, symbol)
			if back := u.From(u.SI(12.5)); math.Abs(back-12.5) > 1e-11 {
				t.Errorf("%v %s: 12.5 comes back as %v", kind, symbol, back)
			}
			for _, spelling := range append(u.Spoken, u.Shown) {
				if found, ok := quantity.Find(kind, spelling); !ok || found != u {
					t.Errorf("%v: %q does not mean %s", kind, spelling, symbol)
				}
			}
		}
		if strings.HasPrefix(kind.String(), "%!") || kind.String() == "" {
			t.Errorf("kind %d has no name", kind)
		}
	}
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"60km/h", "1e3m", "-5 %", "0.8", "١٢ م", "..", "1e", "+.5s", "9e-400m"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		for kind := quantity.Number; kind <= quantity.Damping; kind++ {
			q, err := quantity.Parse(text, kind)
			checkParsed(t, text, q, err)
		}
	})
}

func checkParsed(t *testing.T, text string, q quantity.Quantity, err error) {
	t.Helper()
	if err != nil {
		e := err.(*quantity.Error)
		if e.Offset < 0 || e.Length < 0 || e.Offset+e.Length > len(text) || e.Text == "" || e.Hint == "" {
			t.Fatalf("%q: fault %+v", text, e)
		}
		return
	}
	if math.IsNaN(q.Value) || math.IsInf(q.Value, 0) || q.Unit == nil {
		t.Fatalf("%q: %+v", text, q)
	}
}

// What a locale prints, it reads again.
func FuzzParseWritten(f *testing.F) {
	f.Add(17.7, uint8(1), uint8(0), "17,7 m")
	f.Add(-1234567.0, uint8(0), uint8(2), "१२,३४,५६७ N")
	f.Add(99999.5, uint8(1), uint8(3), " ١٬٢٣٤ ")
	f.Fuzz(func(t *testing.T, n float64, decimals, which uint8, text string) {
		locale := []quantity.Locale{english, german, hindi, arabic}[which%4]
		q, err := quantity.ParseWritten(text, locale, quantity.Length, quantity.Force)
		if utf8.ValidString(text) {
			checkParsed(t, text, q, err)
		}
		if math.IsNaN(n) || math.Abs(n) > 1e12 {
			return
		}
		places := int(decimals % 7)
		printed := locale.Format(n, places) + "\u00a0N"
		q, err = quantity.ParseWritten(printed, locale, quantity.Force)
		if err != nil || math.Abs(q.Value-n) > 0.500001*math.Pow10(-places)+1e-15*math.Abs(n) || q.Decimals != places {
			t.Fatalf("%v printed as %q is read as %v, %v", n, printed, q, err)
		}
	})
}

func Example() {
	q, _ := quantity.Parse("60mph", quantity.Speed)
	reader := quantity.Reader{Locale: quantity.Locale{Decimal: ','}}
	fmt.Println(q.Value)
	fmt.Println(reader.Quantity(q.Value, quantity.Shown{Kind: quantity.Speed, Metric: "km/h", MetricDecimals: 1}))
	// Output:
	// 26.8224
	// 96,6 km/h
}
