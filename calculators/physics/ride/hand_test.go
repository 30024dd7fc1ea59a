package ride

import (
	"math"
	"testing"
)

// The spread of an unsteady hand is the standard deviation of its force about
// its aim, and its mean is its aim.
func TestUnsteadySpread(t *testing.T) {
	const spread = 0.12
	var sum, squares float64
	n := 0
	for seed := range uint64(400) {
		h := Unsteady(spread, 0, seed)
		g := grip{hand: &h, share: 1, opened: -1}
		for at := 0.0; at < 4; at += 0.1 {
			x := g.squeeze(at) - 1
			sum += x
			squares += x * x
			n++
		}
	}
	if mean := sum / float64(n); math.Abs(mean) > 0.01 {
		t.Errorf("mean error %v", mean)
	}
	if got := math.Sqrt(squares / float64(n)); math.Abs(got/spread-1) > 0.1 {
		t.Errorf("spread %v, want %v", got, spread)
	}
}

func TestSeedsDiffer(t *testing.T) {
	if Unsteady(0.1, 0.2, 1) != Unsteady(0.1, 0.2, 1) {
		t.Error("one seed, two hands")
	}
	if Unsteady(0.1, 0.2, 1) == Unsteady(0.1, 0.2, 2) {
		t.Error("two seeds, one hand")
	}
}

// A hand with a reaction lets a locked front wheel go and comes back with less;
// one without holds on.
func TestHandLetsGo(t *testing.T) {
	s := on("wet-asphalt")
	stubborn := mustRun(t, s)
	s.Hand.Reaction = 0.2
	alert := mustRun(t, s)
	if alert.FrontLockedTime >= stubborn.FrontLockedTime/2 || alert.FrontLockedTime == 0 {
		t.Errorf("locked %.2f s with a reaction, %.2f s without", alert.FrontLockedTime, stubborn.FrontLockedTime)
	}
}
