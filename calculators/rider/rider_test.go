package rider

import (
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/kit/kittest"
	"example.org/gripleaf/calculators/physics/ride"
	"example.org/gripleaf/calculators/quantity"
)

var set = kit.Set{&Calculator}

// Steady hands are all alike, and the same crowd rides the same way every time.
func TestCrowds(t *testing.T) {
	steady := kittest.Work(t, set, "rider?skill=0%&riders=10&surface=wet-asphalt")
	if spread := steady.Output("percentile-95") - steady.Output("percentile-5"); spread != 0 {
		t.Errorf("steady hands spread over %v m", spread)
	}
	const query = "rider?skill=15%&riders=40&surface=wet-asphalt&seed="
	a, again, b := kittest.Work(t, set, query+"3"), kittest.Work(t, set, query+"3"), kittest.Work(t, set, query+"4")
	for i := range a.Outputs {
		if a.Outputs[i] != again.Outputs[i] {
			t.Errorf("%s: %v, then %v", Calculator.Outputs[i].Name, a.Outputs[i], again.Outputs[i])
		}
	}
	if a.Output("median") == b.Output("median") || a.Output("controller-distance") != b.Output("controller-distance") {
		t.Errorf("another crowd: median %v and %v", a.Output("median"), b.Output("median"))
	}
	if !(a.Output("percentile-5") < a.Output("median") && a.Output("median") < a.Output("percentile-95")) {
		t.Errorf("quantiles out of order: %v", a.Outputs)
	}
}

// Unsteadier hands lock more often, whatever they aim at.
func TestUnsteadyHandsLockMore(t *testing.T) {
	calm, shaky := kittest.Work(t, set, "rider?skill=2%&riders=30&surface=wet-asphalt&aim=90%"), kittest.Work(t, set, "rider?skill=20%&riders=30&surface=wet-asphalt&aim=90%")
	if calm.Output("locked") >= shaky.Output("locked") || shaky.Output("falls") > 1 {
		t.Errorf("locked: %v at 2 %%, %v at 20 %%", calm.Output("locked"), shaky.Output("locked"))
	}
}

// R's quantile() with its default type 7 gives 1.4, 3 and 4.6 for the tenth, the half and the ninetieth of 1 to 5
// (Hyndman and Fan, 1996; worked by hand).
func TestQuantile(t *testing.T) {
	distances := []float64{1, 2, 3, 4, 5}
	for share, want := range map[float64]float64{0: 1, 0.1: 1.4, 0.5: 3, 0.9: 4.6, 1: 5} {
		if got := ride.Quantile(distances, share); math.Abs(got-want) > 1e-12 {
			t.Errorf("%v: got %v, want %v", share, got, want)
		}
	}
}

func TestHistogramHoldsEveryRider(t *testing.T) {
	c := crowd{controller: [3]float64{35, 34, 36}}
	for i := range 997 {
		c.count(&ride.Result{StoppingDistance: 30 + math.Mod(float64(i)*7.3, 20) + float64(i/990)*500})
	}
	sum := 0.0
	for _, share := range c.histogram().shares {
		sum += share
	}
	if math.Abs(sum-1) > 1e-9 {
		t.Errorf("shares add up to %v", sum)
	}
	for i := 1; i < len(c.distances); i++ {
		if c.distances[i] < c.distances[i-1] {
			t.Fatal("distances are out of order")
		}
	}
}

func TestProgress(t *testing.T) {
	q, _ := kit.Parse("rider?riders=40&surface=wet-asphalt&speed=30km/h")
	w, err := set.Prepare(q)
	if err != nil {
		t.Fatal(err)
	}
	calls := 0
	w.Progress = func(w *kit.Work, done, total int) bool {
		calls++
		if done != 2*calls || total != 40 || w.Output("median") <= 0 {
			t.Errorf("call %d: %d of %d, median %v", calls, done, total, w.Output("median"))
		}
		return calls < 3
	}
	if err := w.Run(); err != kit.ErrStopped || len(w.Data.(*crowd).distances) != 6 {
		t.Errorf("stopped with %v after %d riders", err, len(w.Data.(*crowd).distances))
	}
}

func BenchmarkRiders(b *testing.B) {
	for b.Loop() {
		if _, err := set.Work("rider?riders=100"); err != nil {
			b.Fatal(err)
		}
	}
}

// An answer that was kept is the answer, with its figure; numbers of another crowd are not taken.
func TestCondensedAnswerIsTheSame(t *testing.T) {
	const query = "rider?skill=15%&riders=30&surface=wet-asphalt"
	a := kittest.Work(t, set, query)
	numbers := Calculator.Condense(a)
	b := kittest.Prepare(t, set, query)
	if !Calculator.Restore(b, numbers) {
		t.Fatal("its numbers are not taken")
	}
	r := new(quantity.Reader)
	if diff := cmp.Diff(a.Outputs, b.Outputs) + cmp.Diff(a.Series, b.Series); diff != "" || a.Summary(r) != b.Summary(r) {
		t.Errorf("%s\nworked out: %s\nrestored: %s", diff, a.Summary(r), b.Summary(r))
	}
	x, y := a.Scene(0, figure.Style{Reader: r}), b.Scene(0, figure.Style{Reader: r})
	if diff := cmp.Diff(x.SVG(), y.SVG()); diff != "" {
		t.Error(diff)
	}
	if Calculator.Restore(kittest.Prepare(t, set, "rider?skill=15%&riders=40&surface=wet-asphalt"), numbers) || Calculator.Restore(kittest.Prepare(t, set, query), nil) {
		t.Error("numbers of another crowd are taken")
	}
}
