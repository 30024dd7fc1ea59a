package cue

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/cmd/internal/lesson"
	"example.org/gripleaf/cmd/internal/locale"
)

func TestSpoken(t *testing.T) {
	metres := quantity.Shown{Kind: quantity.Length, Metric: "m", Imperial: "ft", MetricDecimals: 1, ImperialDecimals: 0}
	kmh := quantity.Shown{Kind: quantity.Speed, Metric: "km/h", Imperial: "mph"}
	seconds := quantity.Shown{Kind: quantity.Time, Metric: "s", MetricDecimals: 2}
	plain := quantity.Shown{Kind: quantity.Number, MetricDecimals: 2}
	english := voiceOf(t, "en", nil)
	feet := voiceOf(t, "en", nil)
	feet.System = quantity.Imperial
	for _, test := range []struct {
		si               float64
		shown            quantity.Shown
		metric, imperial string
	}{
		{23.6, metres, "about twenty-four metres", "just under eighty feet"},
		{23.6 * 1.25, metres, "about thirty metres", "just under one hundred feet"},
		{29.0, metres, "just under thirty metres", "about ninety-five feet"},
		{31.0, metres, "just over thirty metres", "about one hundred feet"},
		{17.68, metres, "about eighteen metres", "just under sixty feet"},
		{1, metres, "one metre", "about three feet"},
		{0.3048, metres, "about zero point three metres", "one foot"},
		{0, metres, "zero metres", "zero feet"},
		{100 / 3.6, kmh, "one hundred kilometres per hour", "just over sixty miles per hour"},
		{0.5, seconds, "zero point five seconds", "zero point five seconds"},
		{2.123, seconds, "about two point one seconds", "about two point one seconds"},
		{0.004, seconds, "about zero seconds", "about zero seconds"},
		{0.8, plain, "zero point eight", "zero point eight"},
		{1, plain, "one", "one"},
		{1234.5, metres, "just over one thousand two hundred metres", "about four thousand feet"},
		{-12.2, metres, "about minus twelve metres", "about minus forty feet"},
	} {
		of := &lesson.Result{Value: test.si, Shown: test.shown}
		if got := english.say(of, lesson.None).Spoken; got != test.metric {
			t.Errorf("%v: got %q, want %q", test.si, got, test.metric)
		}
		if got := feet.say(of, lesson.None).Spoken; got != test.imperial {
			t.Errorf("%v: got %q, want %q", test.si, got, test.imperial)
		}
	}
}

func voiceOf(t testing.TB, tag string, words map[string]string) *voice {
	l, err := locale.New(tag, words)
	if err != nil {
		t.Fatal(err)
	}
	return newVoice(l, quantity.Metric)
}

func TestSpokenInAnotherLanguage(t *testing.T) {
	words := map[string]string{"about {}": "ungefähr {}", "{} metres": "{} Meter", "{} metre": "{} Meter", "{} second": "{} Sekunde"}
	metres := quantity.Shown{Kind: quantity.Length, Metric: "m", MetricDecimals: 1}
	seconds := quantity.Shown{Kind: quantity.Time, Metric: "s", MetricDecimals: 1}
	for _, test := range []struct {
		tag   string
		value float64
		shown quantity.Shown
		want  string
	}{
		{"de", 2.52, metres, "ungefähr zwei Komma fünf Meter"},
		{"de", 1, metres, "ein Meter"},
		{"de", 1, seconds, "eine Sekunde"},
		{"de", 2.52, seconds, "ungefähr 2,5\u00a0s"}, // a unit without a word
		{"fr", 2.52, metres, "ungefähr 2,5 Meter"},   // no words for numbers
	} {
		if got := voiceOf(t, test.tag, words).say(&lesson.Result{Value: test.value, Shown: test.shown}, lesson.None).Spoken; got != test.want {
			t.Errorf("%s, %v: got %q, want %q", test.tag, test.value, got, test.want)
		}
	}
}

// In running text numbers become words, and what only looks like one stays.
func TestReadAloud(t *testing.T) {
	english := voiceOf(t, "en", nil)
	for text, want := range map[string]string{
		"From 60 to 70 km/h, at 9.81 m/s².":         "From sixty to seventy kilometres per hour, at nine point eight one metres per second squared.",
		"Down −8 %, from 1,400 rad/s.":              "Down minus eight percent, from one thousand four hundred rad/s.",
		"In 2003 the R78 and a 110/70R17 at 0:20.":  "In 2003 the R78 and a 110/70R17 at 0:20.",
		"At 60 in the wet, v_0 = 3.6, v2.":          "At sixty in the wet, v_0 = three point six, v2.",
		"A 60-km road, 3-wheeled, 1st, 10 m³, 5 s.": "A 60-km road, 3-wheeled, 1st, ten m³, five seconds.",
		"It is 2026-06-01, 12:30.":                  "It is 2026-06-01, 12:30.",
		"Speed 1 km/h.":                             "Speed one kilometre per hour.",
	} {
		if got := english.read(text); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
	german := voiceOf(t, "de", map[string]string{"{} metres": "{} Meter"})
	if got, want := german.read("Nach 17,7 m und 1.400 m, R78."), "Nach siebzehn Komma sieben Meter und eintausendvierhundert Meter, R78."; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

// What is said is true of the number, and nothing shorter would be.
func TestSpokenIsTrueAndShort(t *testing.T) {
	figures := voiceOf(t, "en", nil)
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float64Range(0.06, 90000).Draw(t, "v")
		said := figures.nearest(v, 1, func(near float64, places int) string { return figures.Locale.Format(near, places) })
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
