package sum

import (
	"fmt"
	"sync"
	"sync/atomic"
	"testing"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/quantity"
)

// counting is a calculator that counts how often it is asked, and refuses what is over ten.
func counting(times *atomic.Int64) kit.Set {
	plain := quantity.Shown{Kind: quantity.Number, MetricDecimals: 1}
	return kit.Set{{
		ID:      "twice",
		Inputs:  []kit.Input{{Name: "x", Shown: plain, Default: "1", Min: 0, Max: 1e9}},
		Outputs: []kit.Output{{Name: "y", Shown: plain}},
		Work: func(w *kit.Work) error {
			times.Add(1)
			if w.Number("x") > 10 {
				return w.Refuse("x", "too much", "less")
			}
			w.Put("y", 2*w.Number("x"))
			return nil
		},
	}}
}

func TestOnce(t *testing.T) {
	var times atomic.Int64
	b := NewBook(counting(&times))
	var group sync.WaitGroup
	for range 20 {
		group.Go(func() {
			if w, err := b.Query("calc:twice?x=3"); err != nil || w.Output("y") != 6 {
				t.Errorf("twice 3 is %v, %v", w, err)
			}
		})
	}
	group.Wait()
	if n := times.Load(); n != 1 {
		t.Errorf("worked out %d times", n)
	}
}

// A refusal is remembered too, and has its place in the text of whoever asks.
func TestRefusal(t *testing.T) {
	var times atomic.Int64
	b := NewBook(counting(&times))
	for text, at := range map[string]int{"calc:twice?x=11": 11, "twice?x=11": 6} {
		_, err := b.Query(text)
		faults, ok := err.(kit.Faults)
		if !ok || len(faults) != 1 || faults[0].Offset != at {
			t.Errorf("%s: %#v, want it at %d", text, err, at)
		}
	}
	if n := times.Load(); n != 1 {
		t.Errorf("refused %d times", n)
	}
	if _, err := b.Query("calc:thrice"); err == nil {
		t.Error("a calculator that there is not answers")
	}
}

// However much is asked, only so much is kept; what was asked for lately is.
func TestBound(t *testing.T) {
	var times atomic.Int64
	b := NewBook(counting(&times))
	for i := range 3 * most {
		if _, err := b.Query(fmt.Sprintf("calc:twice?x=%g", float64(i)/1e6)); err != nil {
			t.Fatal(err)
		}
		if kept := len(b.new) + len(b.before); kept > 2*most {
			t.Fatalf("%d are kept", kept)
		}
	}
	before := times.Load()
	if _, err := b.Query(fmt.Sprintf("calc:twice?x=%g", float64(3*most-1)/1e6)); err != nil || times.Load() != before {
		t.Errorf("the last is worked out again: %v", err)
	}
}

type shelf map[string][]float64

func (s shelf) Get(query string) ([]float64, bool)  { numbers, ok := s[query]; return numbers, ok }
func (s shelf) Put(query string, numbers []float64) { s[query] = numbers }

// What one book has stored another one need not work out, but for answers that are none, and what does not fit.
func TestStore(t *testing.T) {
	var times atomic.Int64
	set := counting(&times)
	set[0].Condense = func(w *kit.Work) []float64 { return w.Outputs }
	set[0].Restore = func(w *kit.Work, numbers []float64) bool { return copy(w.Outputs, numbers) == 1 }
	stored := make(shelf)
	ask := func(query string, want int64) {
		t.Helper()
		w, err := NewStoredBook(set, stored).Query(query)
		if refused := err != nil; refused != (query == "calc:twice?x=11") || !refused && w.Output("y") != 2*w.Number("x") {
			t.Errorf("%s: %v, %v", query, w, err)
		}
		if n := times.Load(); n != want {
			t.Errorf("%s: worked out %d times, want %d", query, n, want)
		}
	}
	ask("calc:twice?x=3", 1)
	ask("calc:twice?x=3", 1)
	ask("calc:twice", 2)
	ask("calc:twice?x=11", 3)
	ask("calc:twice?x=11", 4)
	stored["twice?x=3"] = nil
	ask("calc:twice?x=3", 5)
	ask("calc:twice?x=3", 5)
}
