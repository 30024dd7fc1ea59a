package chassis

import (
	"math"
	"testing"
)

// Rear-lift limits in g: rear share over height/wheelbase. Inputs for the sport
// bike from J. R. Davis, Stoppies part 1 (1000 lb, 55 % on the rear, ratio
// 0.55: seen; 1.00 g derived); ratio 0.50 of a large tourer seen, 1.10 g
// derived.
func TestLift(t *testing.T) {
	const pound, g = 0.45359237, 9.80665
	for _, c := range []struct{ share, ratio, want float64 }{{0.45, 0.55, 1.00}, {0.45, 0.50, 1.10}} {
		w := 1000 * pound * g
		b := Balance{Weight: w, Wheelbase: 1.5, CGHeight: 1.5 * c.ratio, FrontShare: c.share}
		if got := b.Lift() / w; math.Abs(got-c.want) > 1e-12 {
			t.Errorf("share %v ratio %v lifts at %v g, want %v", c.share, c.ratio, got, c.want)
		}
		if _, rear := b.Loads(b.Lift()); math.Abs(rear) > 1e-9 {
			t.Errorf("at the lift limit the rear carries %v N", rear)
		}
	}
}

// Load transfer is m·a·h/p (Cossalter, Motorcycle Dynamics, ch. 8: from memory,
// statics) until the rear is off, and the loads always add up to the weight.
func TestLoads(t *testing.T) {
	b := Balance{Weight: 260 * 9.80665, Wheelbase: 1.4, CGHeight: 0.65, FrontShare: 0.48}
	for a := -12.0; a < 20; a += 0.5 {
		front, rear := b.Loads(260 * a)
		if math.Abs(front+rear-b.Weight) > 1e-9 || front < 0 || rear < 0 {
			t.Fatalf("loads %v and %v at %v m/s²", front, rear, a)
		}
		want := 0.48*b.Weight + 260*a*0.65/1.4
		if want > 0 && want < b.Weight && math.Abs(front-want) > 1e-9 {
			t.Errorf("front %v at %v m/s², want %v", front, a, want)
		}
	}
}

var spring = Suspension{Rate: 18000, Preload: 350, Travel: 0.125, Compression: 900, Rebound: 1500}

// The spring's energy is the integral of its force, and its force never falls
// with compression.
func TestSpring(t *testing.T) {
	const h = 1e-6
	last := math.Inf(-1)
	for x := -0.05; x < 0.2; x += 0.001 {
		f, lo, hi := spring.Spring(x), spring.Energy(x-h), spring.Energy(x+h)
		if slope := (hi - lo) / (2 * h); math.Abs(slope-f) > 1e-3*math.Max(1, math.Abs(f)) {
			t.Fatalf("at %v the energy's slope is %v, the force %v", x, slope, f)
		}
		if f <= last {
			t.Fatalf("force falls at %v", x)
		}
		last = f
	}
}

func TestAt(t *testing.T) {
	for _, want := range []float64{-5000, -200, 0, 350, 1000, 3000, 1e5} {
		if got := spring.Spring(spring.At(want)); math.Abs(got-want) > 1e-6*math.Max(1, math.Abs(want)) {
			t.Errorf("At(%v) gives %v", want, got)
		}
	}
}

func TestDamper(t *testing.T) {
	if f := spring.Damper(0); f != 0 {
		t.Errorf("a damper at rest pushes with %v N", f)
	}
	for v := -2.0; v < 2; v += 0.01 {
		if spring.Damper(v)*v < 0 {
			t.Fatalf("at %v m/s the damper drives", v)
		}
	}
	if up, down := spring.Damper(1), spring.Damper(-1); math.Abs(up-900) > 10 || math.Abs(down+1500) > 10 {
		t.Errorf("1 m/s gives %v and %v N, want about 900 and -1500", up, down)
	}
}
