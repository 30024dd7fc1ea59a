package kit_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/quantity"
)

var (
	length = quantity.Shown{Kind: quantity.Length, Metric: "m", Imperial: "ft", MetricDecimals: 1}
	span   = quantity.Shown{Kind: quantity.Time, Metric: "s", MetricDecimals: 1}
)

// walk is a calculator small enough to see through.
var walk = kit.Calculator{
	ID: "walk", Title: "A walk", Question: "How long does it take?",
	Inputs: []kit.Input{
		{Name: "pace", Label: "Pace", Default: "slow", Choices: []kit.Choice{{"slow", "slowly"}, {"fast", "fast"}}},
		{Name: "speed", Aliases: []string{"velocity"}, Label: "Speed", Min: 0.1, Max: 10, Step: 0.1, Why: "feet are no faster",
			Shown: quantity.Shown{Kind: quantity.Speed, Metric: "km/h", Imperial: "mph"}},
		{Name: "way", Label: "Way", Shown: length, Default: "100m", Min: 1, Max: 1000, Step: 1,
			Also: []kit.Other{{Shown: span, Min: 1, Max: 60, Step: 1}}},
		{Name: "steps", Label: "Steps", Shown: quantity.Shown{Kind: quantity.Whole}, Default: "3", Min: 1, Max: 9, Step: 1},
		{Name: "rest", Label: "Rest", Shown: span, Min: 0, Max: 60, Step: 1},
		{Name: "note", Label: "Note", Free: true, Default: "none"},
	},
	Presets: []kit.Preset{
		{Input: "pace", Choice: "slow", Sets: []kit.Setting{{Input: "speed", Value: "3.6km/h"}}},
		{Input: "pace", Choice: "fast", Sets: []kit.Setting{{Input: "speed", Value: "7.2km/h"}}},
	},
	Outputs: []kit.Output{
		{Name: "time", Label: "Time", Sentence: "It takes {}.", Shown: span, Main: true},
		{Name: "rested", Label: "Rested", Sentence: "Rested: {}.", Shown: quantity.Shown{Kind: quantity.YesNo}, Main: true},
	},
	Figures: []kit.Figure{{Name: "way", Title: "The way", Draw: func(w *kit.Work, s figure.Style) figure.Scene {
		c := figure.Chart{Alt: s.Reader.Say("It takes {}.", w.Tell("time", s.Reader)), X: figure.Axis{Label: "Way", Shown: length}, Y: figure.Axis{Label: "Time", Shown: span},
			Series: []figure.Series{{Role: "speed", X: []float64{0, w.Number("way")}, Y: []float64{0, w.Output("time")}}}}
		return c.Scene(s)
	}}},
	Work: func(w *kit.Work) error {
		switch w.Word("note") {
		case "stray":
			return w.Refuse("note", "note: you went astray", "keep to the path")
		case "nowhere":
			w.Put("time", math.NaN())
			return nil
		}
		way := w.Number("way")
		if w.Kind("way") == quantity.Time {
			way *= w.Number("speed")
		}
		w.Put("time", way/w.Number("speed")+w.Number("rest"))
		if w.Has("rest") {
			w.Put("rested", 1)
		} else {
			w.Void("rested")
		}
		for i := range 3 {
			if err := w.Step(i+1, 3); err != nil {
				return err
			}
		}
		return nil
	},
}

var set = kit.Set{&walk}

func TestWork(t *testing.T) {
	for query, want := range map[string]float64{
		"walk":                             100,
		"calc:walk?speed=1m/s&way=10m":     10,
		"calc:walk?pace=fast":              50,
		"walk?pace=fast&speed=1m/s":        100, // what is written wins over the preset
		"walk?velocity=2m/s":               50,  // by its former name
		"walk?way=12s":                     12,  // as another kind
		"walk?rest=20s&way=50m&speed=1m/s": 70,
		"walk?way=10%6D&speed=1m%2Fs":      10, // RFC 3986, 2.1
	} {
		w, err := set.Work(query)
		if err != nil || math.Abs(w.Output("time")-want) > 1e-9 {
			t.Errorf("%s: got %v, %v, want %v", query, w, err, want)
		}
	}
}

// Every fault of a query is told at once, each where it is, with a way out.
func TestFaults(t *testing.T) {
	type fault struct{ at, text, hint string }
	for query, want := range map[string][]fault{
		"calc:wlak?speed=1m/s": {{"wlak", `there is no calculator "wlak"`, "did you mean walk?"}},
		"calc:":                {{"", "no calculator is named", "write calc:NAME?input=value"}},
		"walk?sped=1m/s&way=5kg": {
			{"sped=1m/s", `walk has no input "sped"`, "did you mean speed?"},
			{"kg", `way: "kg" is not a unit of a distance or a time`, "use m, km, cm, mm, ft, in, yd, mi, s, ms, min, h"},
		},
		"walk?way=1001m":          {{"1001m", "way: 1001m is out of range", "give 1m to 1000m"}},
		"walk?way=61s":            {{"61s", "way: 61s is out of range", "give 1s to 60s"}},
		"walk?speed=99mph":        {{"99mph", "speed: 99mph is out of range", "give 0.36km/h to 36km/h (feet are no faster)"}},
		"walk?steps=2.5":          {{"2.5", "steps: 2.5 is not a whole number", "leave the decimals out"}},
		"walk?pace=fats":          {{"fats", `pace: "fats" is none of the choices`, "did you mean fast?"}},
		"walk?way=1m&way=2m":      {{"way=2m", `input "way" is given twice`, "keep one of them"}},
		"walk?way":                {{"way", `way: no number in ""`, "write a number and its unit, such as 20m"}},
		"walk?note=stray&way=10m": {{"note=stray", "note: you went astray", "keep to the path"}},
		"walk?note=nowhere":       {{"", "these inputs give no finite time", "bring them nearer to their defaults"}},
	} {
		_, err := set.Work(query)
		var faults kit.Faults
		if !errors.As(err, &faults) || len(faults) != len(want) {
			t.Errorf("%s: got %v", query, err)
			continue
		}
		for i, f := range faults {
			got := fault{query[f.Offset : f.Offset+f.Length], f.Text, f.Hint}
			if got != want[i] {
				t.Errorf("%s:\ngot  %q\nwant %q", query, got, want[i])
			}
		}
	}
}

func TestStopped(t *testing.T) {
	q, _ := kit.Parse("walk")
	w, err := set.Prepare(q)
	if err != nil {
		t.Fatal(err)
	}
	var seen []int
	w.Progress = func(_ *kit.Work, done, total int) bool {
		seen = append(seen, done)
		return done < 2
	}
	if err := w.Run(); err != kit.ErrStopped || len(seen) != 2 || w.Output("time") != 100 {
		t.Errorf("got %v after %v, time %v", err, seen, w.Output("time"))
	}
}

func TestAnswers(t *testing.T) {
	w, err := set.Work("walk?way=50m&note=a+b <&speed=1m/s")
	if err != nil {
		t.Fatal(err)
	}
	if got := w.Canonical(); got != "walk?speed=1m/s&way=50m&note=a%2Bb%20%3C" {
		t.Errorf("canonical: %s", got)
	}
	reader := quantity.Reader{System: quantity.Imperial, Words: map[string]string{"It takes {}.": "Es dauert {}."}}
	if got := w.Summary(&reader); got != "Es dauert 50.0\u00a0s." { // the moot output is not told
		t.Errorf("summary: %q", got)
	}
	page := w.Answer(&reader, nil)
	if way := page.Dials[2]; way.Name != "way" || way.Unit != "ft" || way.Slider.From < 3.28 || way.Slider.To > 3281 || way.Slider.Step != 5 && way.Slider.Step != 2 {
		t.Errorf("way: %+v", way)
	}
	if page.Dials[4].Set || page.Findings[1].Text != "" || !page.Findings[1].Moot {
		t.Errorf("what is not given or moot: %+v", page)
	}
	if len(page.Plates) != 1 || page.Plates[0].Alt != "Es dauert 50.0\u00a0s." || len(page.Plates[0].Table.Rows) != 2 {
		t.Errorf("figure: %+v", page.Plates)
	}
	// encoding/json, which knows nothing of the writer, reads the same answer back.
	var again kit.Answer
	d := json.NewDecoder(bytes.NewReader(kit.AppendAnswer(nil, page)))
	d.DisallowUnknownFields()
	if err := d.Decode(&again); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(*page, again, cmpopts.EquateEmpty()); diff != "" {
		t.Errorf("written and read (-answer +read):\n%s", diff)
	}
}

func TestAppendFaults(t *testing.T) {
	got := string(kit.AppendFaults(nil, kit.Faults{{Input: "a", Text: "b \"<\x01é\xff", Hint: "c"}}, &quantity.Reader{}))
	if want := `{"faults":[{"input":"a","text":"b \"\u003c\u0001é` + "\ufffd" + `","hint":"c"}]}`; got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	if got := string(kit.AppendFaults(nil, kit.ErrStopped, &quantity.Reader{})); got != `{"faults":[{"input":"","text":"stopped","hint":""}]}` {
		t.Errorf("got %s", got)
	}
	german := quantity.Reader{Words: map[string]string{"{} is out of range": "{} liegt außerhalb", "give {} to {}": "gib {} bis {} an"}}
	fault := kit.Fault{Input: "v", Text: "v: 9m is out of range", Hint: "give 1m to 5m",
		Wrong: quantity.Phrase{Says: "{} is out of range", With: []string{"9m"}}, Remedy: quantity.Phrase{Says: "give {} to {}", With: []string{"1m", "5m"}}}
	if got := string(kit.AppendFaults(nil, kit.Faults{fault}, &german)); got != `{"faults":[{"input":"v","text":"9m liegt außerhalb","hint":"gib 1m bis 5m an"}]}` {
		t.Errorf("a German reader gets %s", got)
	}
}

func TestReaders(t *testing.T) {
	want := quantity.Reader{System: quantity.Imperial, Locale: quantity.Locale{Decimal: '٫', Group: '٬', Zero: '٠', Indian: true}}
	text := string(kit.AppendReader(nil, &want)) + "unknown=1\n\nyes\tja\nno\t\nmore\n"
	got := kit.ParseReader(text)
	if got.System != want.System || got.Locale != want.Locale || len(got.Words) != 1 || got.Words["yes"] != "ja" {
		t.Errorf("got %+v from %q", got, text)
	}
}

// FuzzQuery: whatever is asked is answered or refused with its place; an answer's canonical query gives it again.
func FuzzQuery(f *testing.F) {
	for _, s := range []string{"calc:walk?pace=fast#time", "walk?way=12s&&rest=1s", "walk?%zz=%20&=", "walk?note=%2B%00ü", "#", "calc:walk?way=10m&way=1m"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		q, faults := kit.Parse(text)
		var w *kit.Work
		err := error(faults)
		if len(faults) == 0 {
			w, err = set.Prepare(q)
		}
		var list kit.Faults
		if errors.As(err, &list) {
			for _, f := range list {
				if f.Offset < 0 || f.Length < 0 || f.Offset+f.Length > len(text) || f.Text == "" {
					t.Fatalf("%q: %+v", text, f)
				}
			}
			if !json.Valid(kit.AppendFaults(nil, err, &quantity.Reader{})) {
				t.Fatalf("%q: faults are no JSON", text)
			}
			return
		}
		if w.Run() != nil {
			return
		}
		again, err := set.Work(w.Canonical())
		if err != nil || again.Output("time") != w.Output("time") || again.Canonical() != w.Canonical() {
			t.Fatalf("%q: canonical %q gives %v", text, w.Canonical(), err)
		}
		if !json.Valid(kit.AppendAnswer(nil, w.Answer(&quantity.Reader{}, nil))) {
			t.Fatalf("%q: no JSON", text)
		}
	})
}

func FuzzReader(f *testing.F) {
	f.Add("system=imperial\ndecimal=,\n\nyes\tja\n")
	f.Add("zero=\xff\ngroup=")
	f.Fuzz(func(t *testing.T, text string) {
		r := kit.ParseReader(text)
		again := kit.ParseReader(string(kit.AppendReader(nil, &r)))
		if again.System != r.System || again.Locale != r.Locale {
			t.Fatalf("%q: %+v, then %+v", text, r, again)
		}
	})
}

// What comes with a query is for a calculator that takes it; what is read from it counts as given, and an uncertainty
// is told with its number.
func TestAttachment(t *testing.T) {
	q, _ := kit.Parse("walk?steps=4")
	prepare := func(c kit.Calculator) *kit.Work {
		w, err := kit.Set{&c}.Prepare(q)
		if err != nil {
			t.Fatal(err)
		}
		w.Attachment = "12.5"
		return w
	}
	if err := prepare(walk).Run(); err == nil || err.Error() != "walk takes no attachment" {
		t.Errorf("taken by one that takes none: %v", err)
	}
	reading := walk
	reading.Takes = "A pace"
	reading.Work = func(w *kit.Work) error {
		w.Read("way", 12.5)
		w.Put("time", 12.5)
		w.Doubt("time", 0.25)
		return nil
	}
	w := prepare(reading)
	if err := w.Run(); err != nil {
		t.Fatal(err)
	}
	if got, want := w.Canonical(), "walk?way=12.5m&steps=4"; got != want {
		t.Errorf("the link is %s, want %s", got, want)
	}
	if got, want := w.Sentence(0, &quantity.Reader{}), "It takes 12.5\u00a0±\u00a00.2\u00a0s."; got != want {
		t.Errorf("said %q, want %q", got, want)
	}
	if page := string(kit.AppendAnswer(nil, w.Answer(&quantity.Reader{}, nil))); !strings.Contains(page, `"read":true`) {
		t.Errorf("the page is not told what was read: %s", page)
	}
}

// A band is told beside its number, for people and for machines; what happened is told with amounts in the reader's
// words; and an answer that leaves something out says so.
func TestBandEventsAndQuick(t *testing.T) {
	seconds := quantity.Shown{Kind: quantity.Time, Metric: "s", MetricDecimals: 1}
	c := kit.Calculator{ID: "walk", Outputs: []kit.Output{
		{Name: "time", Label: "Time", Sentence: "It takes {}.", Shown: seconds},
		{Name: "rest", Label: "Rest", Shown: seconds},
	}}
	c.Work = func(w *kit.Work) error {
		w.Put("rest", 1)
		w.Happened("You paused after {}.", kit.Amount{Value: 3, Shown: seconds})
		w.Happened("Nothing else held you up.")
		if w.Quick() {
			w.Put("time", 12.5)
			return nil
		}
		w.PutBand("time", 12.5, 12.2, 14)
		return nil
	}
	english, german := &quantity.Reader{}, &quantity.Reader{Locale: quantity.Locale{Decimal: ','}, Words: map[string]string{
		"{} to {} in nine of ten": "{} bis {} in neun von zehn", "You paused after {}.": "Pause nach {}."}}
	w, err := kit.Set{&c}.Work("walk")
	if err != nil {
		t.Fatal(err)
	}
	for _, check := range [...][2]string{
		{w.Sentence(0, english), "It takes 12.5\u00a0s."},
		{w.Answer(english, nil).Findings[0].Sentence(english), "It takes 12.5\u00a0s, 12.2 to 14.0 in nine of ten."},
		{w.Answer(german, nil).Findings[0].Sentence(german), "It takes 12,5\u00a0s, 12,2 bis 14,0 in neun von zehn."},
		{w.Answer(english, nil).Findings[1].Sentence(english), "Rest: 1.0\u00a0s"},
		{w.EventsText(english), "You paused after 3.0\u00a0s. Nothing else held you up."},
		{w.EventsText(german), "Pause nach 3,0\u00a0s. Nothing else held you up."},
	} {
		if check[0] != check[1] {
			t.Errorf("got %q\nwant %q", check[0], check[1])
		}
	}
	q, _ := kit.Parse("walk")
	first, _ := kit.Set{&c}.Prepare(q)
	first.First = true
	if err := first.Run(); err != nil {
		t.Fatal(err)
	}
	if whole, cut := string(kit.AppendAnswer(nil, w.Answer(english, nil))), string(kit.AppendAnswer(nil, first.Answer(english, nil))); !strings.Contains(whole, `"whole":true`) || !strings.Contains(cut, `"whole":false`) || first.BandText(0, english) != "" {
		t.Errorf("whole: %s\nfirst: %s", whole, cut)
	}
	c.Work = func(w *kit.Work) error { w.PutBand("time", 1, 0, math.Inf(1)); return nil }
	if _, err := (kit.Set{&c}).Work("walk"); err == nil {
		t.Error("a band without an end is an answer")
	}
}
