package gap_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.org/gripleaf/calculators/gap"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/kit/kittest"
)

var set = kit.Set{&gap.Calculator}

// With equal speeds and decelerations the reaction way is the gap that is just enough.
func TestEqualBrakesNeedTheReactionWay(t *testing.T) {
	w := kittest.Work(t, set, "gap?speed=90km/h&reaction=1s&gap=30m")
	if got := w.Output("needed-gap"); math.Abs(got-25) > 1e-9 {
		t.Errorf("needed %v", got)
	}
	if w.Output("meets") != 0 || math.Abs(w.Output("closest")-5) > 1e-9 {
		t.Errorf("closest %v", w.Output("closest"))
	}
}

// Closed forms for the cases a textbook asks: the one ahead stops first, or is caught while still rolling.
func TestClosedForms(t *testing.T) {
	// A wall (it stops at once) is met with what an obstacle of the same distance would see.
	v, a := 20.0, 5.0
	w := kittest.Workf(t, set, "gap?speed=20m/s&lead-speed=0m/s&gap=30m&reaction=0.5s&own-deceleration=%vm/s2", a)
	if want := math.Sqrt(v*v - 2*a*(30-0.5*v)); w.Output("meets") != 1 || math.Abs(w.Output("closing-speed")-want) > 1e-9 {
		t.Errorf("a wall: %v, want %v", w.Output("closing-speed"), want)
	}
	// Both roll on, the one behind faster, nobody has braked yet behind: (v - v_l)·t + a_l·t²/2 = gap.
	w = kittest.Work(t, set, "gap?speed=30m/s&lead-speed=20m/s&gap=5m&reaction=2s&lead-deceleration=4m/s2")
	if want := (-10 + math.Sqrt(10*10+2*4*5)) / 4; math.Abs(w.Output("moment")-want) > 1e-9 || math.Abs(w.Output("closing-speed")-(10+4*want)) > 1e-9 {
		t.Errorf("rolling: %v at %v, want at %v", w.Output("closing-speed"), w.Output("moment"), want)
	}
	// One ahead that is faster and brakes weakly is nearest at the start.
	w = kittest.Work(t, set, "gap?speed=10m/s&lead-speed=30m/s&gap=5m&lead-deceleration=1m/s2")
	if w.Output("closest") != 5 || w.Output("moment") != 0 {
		t.Errorf("faster ahead: closest %v at %v", w.Output("closest"), w.Output("moment"))
	}
}

func TestTimeAndDistanceAreOneGap(t *testing.T) {
	a, b := kittest.Work(t, set, "gap?speed=20m/s&gap=1.5s"), kittest.Work(t, set, "gap?speed=20m/s&gap=30m")
	if a.Output("closest") != b.Output("closest") {
		t.Errorf("1.5 s leave %v, 30 m leave %v", a.Output("closest"), b.Output("closest"))
	}
}

// Against the motion itself, stepped finely: drawn cases, all regimes.
func TestAgainstSteppedMotion(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 5))
	draw := func(low, high float64) float64 { return low + (high-low)*r.Float64() }
	for range 200 {
		v, vl, d := draw(5, 40), draw(0, 40), draw(1, 60)
		reaction, own, lead := draw(0, 2.5), draw(1, 10), draw(1, 10)
		w := kittest.Workf(t, set, "gap?speed=%.6fm/s&lead-speed=%.6fm/s&gap=%.6fm&reaction=%.6fs&own-deceleration=%.6fm/s2&lead-deceleration=%.6fm/s2", v, vl, d, reaction, own, lead)
		least, met := step(v, vl, d, reaction, own, lead)
		if met != (w.Output("meets") == 1) && math.Abs(least) > 0.05 {
			t.Fatalf("%s: meets %v, stepped %v (%v left)", w.Canonical(), w.Output("meets"), met, least)
		}
		if !met && math.Abs(w.Output("closest")-least) > 0.05 { // the braking begins up to a step late
			t.Fatalf("%s: closest %v, stepped %v", w.Canonical(), w.Output("closest"), least)
		}
	}
}

// step moves both in small steps (midpoint rule) and gives the least gap.
func step(v, vl, d, reaction, own, lead float64) (least float64, met bool) {
	const h = 1e-3
	least = d
	for t := 0.0; (v > 0 || vl > 0) && t < 100; t += h {
		nv, nl := v, max(0, vl-lead*h)
		if t >= reaction {
			nv = max(0, v-own*h)
		}
		d += h * ((nl+vl)/2 - (nv+v)/2)
		v, vl = nv, nl
		least = min(least, d)
		if d <= 0 {
			return d, true
		}
	}
	return least, false
}

func TestMonotone(t *testing.T) {
	last := -1.0
	for reaction := 0.0; reaction <= 3; reaction += 0.1 {
		needed := kittest.Workf(t, set, "gap?reaction=%.1fs", reaction).Output("needed-gap")
		if needed < last {
			t.Errorf("a reaction of %v s needs less gap: %v after %v", reaction, needed, last)
		}
		last = needed
	}
}
