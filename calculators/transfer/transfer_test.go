package transfer_test

import (
	"math"
	"testing"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/kit/kittest"
	"example.org/gripleaf/calculators/transfer"
)

var set = kit.Set{&transfer.Calculator}

func TestStatics(t *testing.T) {
	const g = 9.80665
	for a := 0.0; a <= 15; a += 0.5 {
		w := kittest.Workf(t, set, "transfer?deceleration=%vm/s2", a)
		front, rear := w.Output("front-load"), w.Output("rear-load")
		if math.Abs(front+rear-260*g) > 1e-9 || rear < 0 {
			t.Errorf("%v m/s²: %v and %v do not carry the weight", a, front, rear)
		}
		if moved := 260 * a * 0.650 / 1.400; rear > 0 && math.Abs(front-0.48*260*g-moved) > 1e-9 {
			t.Errorf("%v m/s²: m·a·h/L is %v, moved are %v", a, moved, front-0.48*260*g)
		}
	}
}

// At the lift deceleration the rear tyre has just nothing left.
func TestLiftIsWhereTheRearLoadEnds(t *testing.T) {
	for _, bike := range []string{"roadster", "scooter", "tourer", "sport"} {
		lift := kittest.Workf(t, set, "transfer?bike=%s", bike).Output("lift-deceleration")
		if rear := kittest.Workf(t, set, "transfer?bike=%s&deceleration=%.9fm/s2", bike, lift).Output("rear-load"); math.Abs(rear) > 1e-5 {
			t.Errorf("%s: %v N left at lift", bike, rear)
		}
		if rear := kittest.Workf(t, set, "transfer?bike=%s&deceleration=%.9fm/s2", bike, lift-0.1).Output("rear-load"); rear <= 0 {
			t.Errorf("%s: nothing left before lift", bike)
		}
	}
}

func TestLimitIsTheLower(t *testing.T) {
	for _, grip := range []float64{0.2, 0.9, 1.1, 1.5} {
		w := kittest.Workf(t, set, "transfer?grip=%v", grip)
		if w.Output("limit-deceleration") != min(w.Output("lift-deceleration"), w.Output("grip-deceleration")) {
			t.Errorf("grip %v: limit %v", grip, w.Output("limit-deceleration"))
		}
	}
}

// Every figure that a preset sets can be overridden, and the bikes differ.
func TestBikes(t *testing.T) {
	tourer, sport := kittest.Work(t, set, "transfer?bike=tourer"), kittest.Work(t, set, "transfer?bike=sport")
	if tourer.Output("lift-deceleration") <= sport.Output("lift-deceleration") {
		t.Error("the long low tourer lifts before the short tall sport bike")
	}
	if w := kittest.Work(t, set, "transfer?bike=tourer&mass=300kg"); w.Number("mass") != 300 || w.Number("wheelbase") != tourer.Number("wheelbase") {
		t.Errorf("overridden: %v kg, wheelbase %v", w.Number("mass"), w.Number("wheelbase"))
	}
}
