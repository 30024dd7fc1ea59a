package cue

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/cmd/internal/lesson"
)

func TestSpoken(t *testing.T) {
	metres := quantity.Shown{Kind: quantity.Length, Metric: "m", Imperial: "ft", MetricDecimals: 1, ImperialDecimals: 0}
	kmh := quantity.Shown{Kind: quantity.Speed, Metric: "km/h", Imperial: "mph"}
	seconds := quantity.Shown{Kind: quantity.Time, Metric: "s", MetricDecimals: 2}
	plain := quantity.Shown{Kind: quantity.Number, MetricDecimals: 2}
	for _, test := range []struct {
		si               float64
		shown            quantity.Shown
		metric, imperial string
	}{
		{23.6, metres, "about 24 metres", "just under 80 feet"},
		{23.6 * 1.25, metres, "about 30 metres", "just under 100 feet"},
		{29.0, metres, "just under 30 metres", "about 95 feet"},
		{31.0, metres, "just over 30 metres", "about 100 feet"},
		{17.68, metres, "about 18 metres", "just under 60 feet"},
		{1, metres, "1 metre", "about 3 feet"},
		{0.3048, metres, "about 0.3 metres", "1 foot"},
		{0, metres, "0 metres", "0 feet"},
		{100 / 3.6, kmh, "100 kilometres per hour", "just over 60 miles per hour"},
		{0.5, seconds, "0.5 seconds", "0.5 seconds"},
		{2.123, seconds, "about 2.1 seconds", "about 2.1 seconds"},
		{0.004, seconds, "about 0 seconds", "about 0 seconds"},
		{0.8, plain, "0.8", "0.8"},
		{1234.5, metres, "just over 1200 metres", "about 4000 feet"},
		{-12.2, metres, "about −12 metres", "about −40 feet"},
	} {
		of := &lesson.Result{Value: test.si, Shown: test.shown}
		if got := say(&quantity.Reader{}, of, lesson.None).Spoken; got != test.metric {
			t.Errorf("%v: got %q, want %q", test.si, got, test.metric)
		}
		if got := say(&quantity.Reader{System: quantity.Imperial}, of, lesson.None).Spoken; got != test.imperial {
			t.Errorf("%v: got %q, want %q", test.si, got, test.imperial)
		}
	}
}

func TestSpokenInAnotherLanguage(t *testing.T) {
	r := &quantity.Reader{Locale: quantity.Locale{Decimal: ','}, Words: map[string]string{"about {}": "ungefähr {}", "{} metres": "{} Meter"}}
	of := &lesson.Result{Value: 2.52, Shown: quantity.Shown{Kind: quantity.Length, Metric: "m", MetricDecimals: 1}}
	if got, want := say(r, of, lesson.None).Spoken, "ungefähr 2,5 Meter"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	of.Shown = quantity.Shown{Kind: quantity.Time, Metric: "s", MetricDecimals: 1}
	if got, want := say(r, of, lesson.None).Spoken, "ungefähr 2,5\u00a0s"; got != want {
		t.Errorf("a unit without a word: got %q, want %q", got, want)
	}
}

// What is said is true of the number, and nothing shorter would be.
func TestSpokenIsTrueAndShort(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float64Range(0.06, 90000).Draw(t, "v")
		said := spoken(v, 1, &quantity.Reader{}, func(number string, _ bool) string { return number })
		number := said[strings.LastIndexByte(said, ' ')+1:]
		near, err := strconv.ParseFloat(strings.ReplaceAll(number, ",", ""), 64)
		if err != nil {
			t.Fatal(err)
		}
		off := math.Abs(v-near) / v
		shown := math.Abs(v-near) <= 0.05+1e-9 // as near as one decimal goes
		switch phrase := strings.TrimSuffix(said, " "+number); {
		case phrase == "about" && (off <= aboutWithin || shown):
		case phrase == "just under" && v < near && off <= justWithin:
		case phrase == "just over" && v > near && off <= justWithin:
		case said == number && off <= 1e-9:
		default:
			t.Fatalf("%v is said as %q", v, said)
		}
		for fewer := 1; fewer < digits(number); fewer++ {
			if other, _ := rounded(v, fewer); math.Abs(v-other) <= justWithin*v*0.999 {
				t.Fatalf("%v is said as %q, though %v has fewer digits", v, said, other)
			}
		}
	})
}

// digits counts the significant digits of a number as written.
func digits(number string) int {
	plain := strings.TrimLeft(strings.NewReplacer(",", "", ".", "").Replace(number), "0")
	if !strings.Contains(number, ".") {
		plain = strings.TrimRight(plain, "0")
	}
	return len(plain)
}
