package standard_test

import (
	"encoding/json"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/calculators/standard"
)

// FuzzStates works out states from the whole input space of a calculator, ends and nonsense among them: it must answer
// with finite numbers or refuse with a reason, and never hang or panic.
func FuzzStates(f *testing.F) {
	for i := range standard.Set {
		f.Add(uint8(i), uint64(1))
		f.Add(uint8(i), uint64(2))
	}
	f.Fuzz(func(t *testing.T, calculator uint8, seed uint64) {
		c := standard.Set[int(calculator)%len(standard.Set)]
		query := state(c, rand.New(rand.NewPCG(seed, 7)))
		q, faults := kit.Parse(query)
		if len(faults) > 0 {
			t.Fatalf("%s: %v", query, faults)
		}
		w, err := standard.Set.Prepare(q)
		if err != nil {
			refusal(t, query, err)
			return
		}
		steps := 0
		w.Progress = func(*kit.Work, int, int) bool { steps++; return steps < 2 } // the first answer is enough of a long one
		if i, ok := c.Input("riders"); ok {
			w.Inputs[i].Number = 20
		}
		if err := w.Run(); err != nil && err != kit.ErrStopped {
			refusal(t, query, err)
			return
		}
		checkAnswer(t, query, w)
		if page := kit.AppendAnswer(nil, w.Answer(&quantity.Reader{}, nil)); !json.Valid(page) {
			t.Errorf("%s: the page's answer is no JSON", query)
		}
	})
}

// state writes a query that sets about half of a calculator's inputs.
func state(c *kit.Calculator, r *rand.Rand) string {
	var pairs []string
	for i := range c.Inputs {
		if in := &c.Inputs[i]; r.IntN(2) == 0 {
			pairs = append(pairs, in.Name+"="+value(in, r))
		}
	}
	r.Shuffle(len(pairs), func(i, k int) { pairs[i], pairs[k] = pairs[k], pairs[i] })
	return c.ID + "?" + strings.Join(pairs, "&")
}

var words = []string{"110/70R17", "120/70ZR17", "190/55-17", "3.00-18", "5,10,50", "100,2,7Hz,7", "NaN", "", "x", "180/55ZR17 73W"}

func value(in *kit.Input, r *rand.Rand) string {
	if len(in.Choices) > 0 {
		return in.Choices[r.IntN(len(in.Choices))].Value
	}
	if in.Free {
		return words[r.IntN(len(words))]
	}
	shown, low, high := in.Shown, in.Min, in.Max
	if len(in.Also) > 0 && r.IntN(2) == 0 {
		shown, low, high = in.Also[0].Shown, in.Also[0].Min, in.Also[0].Max
	}
	u, _ := shown.In(quantity.System(r.IntN(2)))
	si := low + (high-low)*r.Float64()
	switch r.IntN(8) {
	case 0:
		si = low
	case 1:
		si = high
	case 2:
		si = low - (high-low)*r.Float64()
	}
	if shown.Kind == quantity.Whole {
		si = float64(int(si))
	}
	return strconv.FormatFloat(u.From(si), 'g', 6, 64) + u.Symbol
}

// The corpus of the fuzzer is kept small; this runs every calculator over a few hundred drawn states on each test.
func TestDrawnStates(t *testing.T) {
	r := rand.New(rand.NewPCG(2026, 9))
	for _, c := range standard.Set {
		if c.Long {
			continue
		}
		n := 300
		if c.ID == "antilock" {
			n = 60
		}
		answered := 0
		for range n {
			query := strings.ReplaceAll(state(c, r), "%", "%25")
			w, err := standard.Set.Work(query)
			if err != nil {
				refusal(t, query, err)
				continue
			}
			answered++
			if slices.ContainsFunc(w.Outputs, func(v float64) bool { return v != v }) {
				t.Errorf("%s: not a number", query)
			}
		}
		if answered == 0 {
			t.Errorf("%s answered none of %d drawn states", c.ID, n)
		}
	}
}
