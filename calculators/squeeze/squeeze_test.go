package squeeze_test

import (
	"testing"

	"example.org/gripleaf/calculators/antilock"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/kit/kittest"
	"example.org/gripleaf/calculators/squeeze"
)

var set = kit.Set{&squeeze.Calculator, &antilock.Calculator}

// The chosen squeeze is the stop that antilock rides without a controller, and so is each row.
func TestRowsAreStops(t *testing.T) {
	w := kittest.Work(t, set, "squeeze?surface=wet-asphalt&rise=0.2s&demand=90%")
	alone := kittest.Work(t, set, "antilock?channels=none&surface=wet-asphalt&rise=0.2s&demand=90%").Output("stopping-distance")
	if got := w.Output("stopping-distance"); got != alone {
		t.Errorf("chosen %v, alone %v", got, alone)
	}
	rises, distances := w.Series[0].Columns[0].Values, w.Series[0].Columns[1].Values
	found := false
	for i, rise := range rises {
		if rise == 0.2 {
			found = true
			if distances[i] != alone {
				t.Errorf("in the table %v, alone %v", distances[i], alone)
			}
		}
	}
	if !found || rises[0] != 0.05 || rises[len(rises)-1] != 1 {
		t.Errorf("rises %v", rises)
	}
}

// A stop without a lock is better than any with one.
func TestBestDoesNotLock(t *testing.T) {
	w := kittest.Work(t, set, "squeeze?surface=wet-asphalt&demand=97%")
	table := w.Series[0]
	for i, locks := range table.Columns[2].Values {
		if locks == 0 && table.Columns[1].Values[i] < w.Output("best-distance") {
			t.Errorf("%v s stops in %v without a lock, the best is told as %v", table.Columns[0].Values[i], table.Columns[1].Values[i], w.Output("best-distance"))
		}
	}
}

// A grip that is far above the demand never locks, and the time of a lock is then not told.
func TestTimeToLock(t *testing.T) {
	gentle, hard := kittest.Work(t, set, "squeeze?surface=wet-asphalt&demand=40%"), kittest.Work(t, set, "squeeze?surface=wet-asphalt&demand=150%")
	i, _ := squeeze.Calculator.Output("time-to-lock")
	if gentle.Output("locks") != 0 || !gentle.Moot[i] {
		t.Errorf("at 40 %%: locks %v", gentle.Output("locks"))
	}
	if hard.Output("locks") != 1 || hard.Moot[i] || hard.Output("time-to-lock") <= 0 {
		t.Errorf("at 150 %%: locks %v after %v", hard.Output("locks"), hard.Output("time-to-lock"))
	}
}
