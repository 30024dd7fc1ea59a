package cycle_test

import (
	"reflect"
	"slices"
	"testing"

	"example.org/gripleaf/calculators/antilock"
	"example.org/gripleaf/calculators/cycle"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/kit/kittest"
)

var set = kit.Set{&cycle.Calculator, &antilock.Calculator}

// Each row has the very stop that antilock rides at that rate.
func TestRowsAreStops(t *testing.T) {
	w := kittest.Work(t, set, "cycle?surface=wet-asphalt&rates=100,5Hz, 20,5")
	rates, distances := w.Series[0].Columns[0].Values, w.Series[0].Columns[1].Values
	if len(rates) != 3 || rates[0] != 5 || rates[1] != 20 || rates[2] != 100 {
		t.Fatalf("rates are put in order, each once: %v", rates)
	}
	for i, query := range []string{"5Hz", "20Hz", "100Hz"} {
		if d := kittest.Work(t, set, "antilock?surface=wet-asphalt&cycle-rate="+query).Output("stopping-distance"); d != distances[i] {
			t.Errorf("%s: %v in the table, %v alone", query, distances[i], d)
		}
	}
	least, most := distances[0], distances[0]
	for _, d := range distances {
		least, most = min(least, d), max(most, d)
	}
	if w.Output("shortest-distance") != least || w.Output("longest-distance") != most || w.Output("best-gain") != most-least {
		t.Errorf("told %v to %v, gain %v of %v", w.Output("shortest-distance"), w.Output("longest-distance"), w.Output("best-gain"), distances)
	}
}

// A faster controller stops no longer, within half a per cent, and no ride is shorter than the ideal one. Each rate is
// told as it was ridden.
func TestNoRateStopsLonger(t *testing.T) {
	for _, surface := range []string{"dry-asphalt", "wet-asphalt", "snow", "gravel"} {
		w := kittest.Work(t, set, "cycle?speed=80km/h&rates=5,10,50,100&surface="+surface)
		column := w.Series[0].Columns[1]
		for i := 1; i < len(column.Values); i++ {
			if column.Values[i] > 1.005*column.Values[i-1] {
				t.Errorf("%s: %s rises: %v", surface, column.Label, column.Values)
			}
		}
		for i, low := range column.Low {
			if low < w.Output("ideal-distance") || low > column.Values[i] || column.Values[i] > column.High[i] {
				t.Errorf("%s: %v m, %v to %v, ideal %v", surface, column.Values[i], low, column.High[i], w.Output("ideal-distance"))
			}
		}
	}
}

func TestProgress(t *testing.T) {
	q, _ := kit.Parse("cycle?rates=10,20,30")
	w, err := set.Prepare(q)
	if err != nil {
		t.Fatal(err)
	}
	w.Progress = func(w *kit.Work, done, total int) bool {
		if rows := w.Series[0].Rows(); rows != done || total != 3 || w.Output("shortest-distance") <= 0 {
			t.Errorf("%d of %d done: %d rows, shortest %v", done, total, rows, w.Output("shortest-distance"))
		}
		return done < 2
	}
	if err := w.Run(); err != kit.ErrStopped || w.Series[0].Rows() != 2 {
		t.Errorf("stopped with %v and %d rows", err, w.Series[0].Rows())
	}
}

func TestRefusals(t *testing.T) {
	kittest.Refused(t, set, map[string]string{
		"cycle?channels=none": "channels",
		"cycle?rates=5,x":     "rates",
		"cycle?rates=1":       "rates",
		"cycle?rates=201":     "rates",
		"cycle?rates=2,3,4,5,6,7,8,9,10,11,12,13,14": "rates",
	})
}

func TestCondensedAnswerIsTheSame(t *testing.T) {
	const query = "cycle?rates=10,50&surface=wet-asphalt"
	a := kittest.Work(t, set, query)
	numbers := cycle.Calculator.Condense(a)
	b := kittest.Prepare(t, set, query)
	if !cycle.Calculator.Restore(b, numbers) {
		t.Fatal("its numbers are not taken")
	}
	if !slices.Equal(a.Outputs, b.Outputs) || !slices.Equal(a.Bands, b.Bands) || !reflect.DeepEqual(a.Series, b.Series) {
		t.Errorf("worked out: %v %v, restored: %v %v", a.Outputs, a.Series, b.Outputs, b.Series)
	}
	for _, other := range []string{"cycle?rates=10,60", "cycle?rates=10"} {
		if cycle.Calculator.Restore(kittest.Prepare(t, set, other), numbers) {
			t.Errorf("%s takes the numbers of other rates", other)
		}
	}
}
