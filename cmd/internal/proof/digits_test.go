package proof

import (
	"strings"
	"testing"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/lesson"
	"example.org/gripleaf/cmd/internal/locale"
	"example.org/gripleaf/cmd/internal/sum"
)

// spread is a calculator whose outcomes lie in a band of a given width about 28.04 m.
var spread = kit.Calculator{
	ID:     "spread",
	Inputs: []kit.Input{{Name: "width", Shown: quantity.Shown{Kind: quantity.Length, Metric: "m"}, Default: "1.2m", Min: 0, Max: 100}},
	Outputs: []kit.Output{
		{Name: "way", Shown: quantity.Shown{Kind: quantity.Length, Metric: "m", MetricDecimals: 1}},
		{Name: "exact", Shown: quantity.Shown{Kind: quantity.Length, Metric: "m", MetricDecimals: 1}},
	},
	Work: func(w *kit.Work) error {
		width := w.Number("width")
		w.PutBand("way", 28.04, 28.04-width/2, 28.04+width/2)
		w.Put("exact", 28.04)
		return nil
	},
}

// A number may be written as fine as the largest power of ten within the band of its outcomes, and no finer.
func TestDigits(t *testing.T) {
	words, err := locale.New("en", nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, test := range []struct{ text, want string }{
		{"[28.04 m](calc:spread#way)", "write 28\u00a0m"}, {"[28.0 m](calc:spread#way)", "write 28\u00a0m"}, {"[28 m](calc:spread#way)", ""},
		{"[28.04 m](calc:spread?width=0.9m#way)", "write 28.0\u00a0m"}, {"[28.0 m](calc:spread?width=0.9m#way)", ""},
		{"[28.04 m](calc:spread?width=2cm#way)", ""}, {"[28 m](calc:spread?width=30m#way)", ""}, {"[2804 cm](calc:spread?width=0.9m#way)", ""},
		{"[28.04 m](calc:spread?width=0m#way)", ""}, {"[28.04 m](calc:spread#exact)", ""}, {"[](calc:spread#way)", ""},
	} {
		l, faults := lesson.NewReader(words, false).Read(&fault.Source{File: "x.md", Text: []byte("---\ntitle: x\n---\n" + test.text)})
		faults.Add(Check(l, words, sum.NewBook(kit.Set{&spread}))...)
		if len(faults) > 0 {
			t.Fatal(faults)
		}
		var said []string
		for _, f := range Digits(l, words) {
			said = append(said, f.Hint)
		}
		if strings.Join(said, "; ") != test.want {
			t.Errorf("%s: %q, want %q", test.text, said, test.want)
		}
	}
}
