package lever_test

import (
	"math"
	"testing"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/kit/kittest"
	"example.org/gripleaf/calculators/lever"
)

var set = kit.Set{&lever.Calculator}

// The chain by hand: 120 N · 5 on a 16 mm piston, two 30 mm pistons a side, two discs of 125 mm, a tyre of 300 mm.
func TestChain(t *testing.T) {
	w := kittest.Work(t, set, "lever?bike=roadster&hand-force=120N&pad-friction=0.45")
	pressure := 120 * 5 / (math.Pi / 4 * 0.016 * 0.016)
	clamp := pressure * 2 * math.Pi / 4 * 0.030 * 0.030
	torque := 2 * 2 * 0.45 * clamp * 0.125
	for name, want := range map[string]float64{"pressure": pressure, "clamp-force": clamp, "brake-torque": torque, "brake-force": torque / 0.300} {
		if got := w.Output(name); math.Abs(got-want) > 1e-9*want {
			t.Errorf("%s: got %v, want %v", name, got, want)
		}
	}
}

func TestNoForceNoBrake(t *testing.T) {
	w := kittest.Work(t, set, "lever?hand-force=0N")
	for _, name := range []string{"pressure", "clamp-force", "brake-torque", "brake-force", "deceleration"} {
		if w.Output(name) != 0 {
			t.Errorf("%s is %v", name, w.Output(name))
		}
	}
}

// At the locking force the brake asks exactly what the tyre holds under the load that very force has moved forward.
func TestLockingForce(t *testing.T) {
	const weight, share, ratio = 260 * 9.80665, 0.48, 0.650 / 1.400
	for _, grip := range []float64{0.1, 0.5, 0.9, 1.1, 1.3} {
		lock := kittest.Workf(t, set, "lever?grip=%v", grip).Output("hand-force-to-lock")
		if lock > 600 {
			continue
		}
		force := kittest.Workf(t, set, "lever?grip=%v&hand-force=%.9fN", grip, lock).Output("brake-force")
		load := min(weight, weight*share+force*ratio)
		if math.Abs(force-grip*load) > 1e-3 {
			t.Errorf("grip %v: asked %v, held %v", grip, force, grip*load)
		}
	}
}

// Past the limit more hand does not stop sooner.
func TestDecelerationEndsAtTheLimit(t *testing.T) {
	lock := kittest.Work(t, set, "lever?grip=0.7").Output("hand-force-to-lock")
	at, past := kittest.Workf(t, set, "lever?grip=0.7&hand-force=%.9fN", lock), kittest.Workf(t, set, "lever?grip=0.7&hand-force=%.9fN", 1.5*lock)
	if math.Abs(at.Output("deceleration")-past.Output("deceleration")) > 1e-6 {
		t.Errorf("%v at the lock, %v past it", at.Output("deceleration"), past.Output("deceleration"))
	}
	if before := kittest.Workf(t, set, "lever?grip=0.7&hand-force=%.9fN", lock/2); math.Abs(2*before.Output("deceleration")-at.Output("deceleration")) > 1e-6 {
		t.Errorf("half the force gives %v of %v", before.Output("deceleration"), at.Output("deceleration"))
	}
}

// The roadster's lever by hand: eight pads' pistons of 30 mm move 0.1 mm each, the 16 mm piston gives that way, five
// times; a bubble of one cubic centimetre at 15 times the pressure of the air is 1/16 as large as before.
func TestTravel(t *testing.T) {
	area := func(d float64) float64 { return math.Pi / 4 * d * d }
	firm := 5 / area(16) * 8 * area(30) * 0.1
	if got := 1000 * kittest.Work(t, set, "lever?hand-force=60N").Output("lever-travel"); math.Abs(got-firm) > 1e-9 {
		t.Errorf("firm: got %v mm, want %v", got, firm)
	}
	hand := 15 * 0.1013 * area(16) / 5 // N for 15 atmospheres above the air's
	soft := firm + 5/area(16)*1000*15/16
	w := kittest.Workf(t, set, "lever?hand-force=%.9fN&bubbles=5%%", hand)
	if got := 1000 * w.Output("lever-travel"); math.Abs(got-soft) > 1e-6 || w.Output("reaches-grip") != 0 {
		t.Errorf("soft: got %v mm, want %v", got, soft)
	}
}

// At the grip the pressure stays what the bubbles let it be, however hard the hand pulls.
func TestLeverMeetsTheGrip(t *testing.T) {
	some, more := kittest.Workf(t, set, "lever?hand-force=100N&bubbles=20%%"), kittest.Workf(t, set, "lever?hand-force=200N&bubbles=20%%")
	if some.Output("reaches-grip") != 1 || some.Output("lever-travel") != 0.07 || some.Output("pressure") != more.Output("pressure") {
		t.Errorf("%v and %v", some.Outputs, more.Outputs)
	}
	at := some.Output("pressure") * math.Pi / 4 * 0.016 * 0.016 / 5
	if just := kittest.Workf(t, set, "lever?hand-force=%.9fN&bubbles=20%%", 0.9999*at); just.Output("reaches-grip") != 0 || math.Abs(just.Output("lever-travel")-0.07) > 1e-5 {
		t.Errorf("just before the grip: %v", just.Outputs)
	}
}
