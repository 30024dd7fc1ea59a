package lever_test

import (
	"fmt"
	"math"
	"testing"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/lever"
)

var set = kit.Set{&lever.Calculator}

func worked(t *testing.T, format string, arguments ...any) *kit.Work {
	t.Helper()
	query := fmt.Sprintf(format, arguments...)
	w, err := set.Work(query)
	if err != nil {
		t.Fatalf("%s: %v", query, err)
	}
	return w
}

// The chain by hand: 120 N · 5 on a 16 mm piston, two 30 mm pistons a side, two discs of 125 mm, a tyre of 300 mm.
func TestChain(t *testing.T) {
	w := worked(t, "lever?bike=roadster&hand-force=120N&pad-friction=0.45")
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
	w := worked(t, "lever?hand-force=0N")
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
		lock := worked(t, "lever?grip=%v", grip).Output("hand-force-to-lock")
		if lock > 600 {
			continue
		}
		force := worked(t, "lever?grip=%v&hand-force=%.9fN", grip, lock).Output("brake-force")
		load := min(weight, weight*share+force*ratio)
		if math.Abs(force-grip*load) > 1e-3 {
			t.Errorf("grip %v: asked %v, held %v", grip, force, grip*load)
		}
	}
}

// Past the limit more hand does not stop sooner.
func TestDecelerationEndsAtTheLimit(t *testing.T) {
	lock := worked(t, "lever?grip=0.7").Output("hand-force-to-lock")
	at, past := worked(t, "lever?grip=0.7&hand-force=%.9fN", lock), worked(t, "lever?grip=0.7&hand-force=%.9fN", 1.5*lock)
	if math.Abs(at.Output("deceleration")-past.Output("deceleration")) > 1e-6 {
		t.Errorf("%v at the lock, %v past it", at.Output("deceleration"), past.Output("deceleration"))
	}
	if before := worked(t, "lever?grip=0.7&hand-force=%.9fN", lock/2); math.Abs(2*before.Output("deceleration")-at.Output("deceleration")) > 1e-6 {
		t.Errorf("half the force gives %v of %v", before.Output("deceleration"), at.Output("deceleration"))
	}
}
