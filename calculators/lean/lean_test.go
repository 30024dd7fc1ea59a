package lean_test

import (
	"math"
	"strings"
	"testing"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/kit/kittest"
	"example.org/gripleaf/calculators/lean"
	"example.org/gripleaf/calculators/quantity"
)

var set = kit.Set{&lean.Calculator}

// Cornering and braking together use exactly the grip.
func TestEllipse(t *testing.T) {
	for degrees := 1; degrees <= 41; degrees += 5 {
		w := kittest.Workf(t, set, "lean?lean=%ddeg&grip=0.9", degrees)
		across, along := math.Tan(float64(degrees)*math.Pi/180), w.Output("left-for-braking")
		if got := math.Hypot(across, along); math.Abs(got-0.9) > 1e-12 {
			t.Errorf("%d°: %v together", degrees, got)
		}
		if math.Abs(w.Output("lateral-share")-across/0.9) > 1e-12 {
			t.Errorf("%d°: share %v", degrees, w.Output("lateral-share"))
		}
	}
}

// The way along the corner, stepped: v·dv = -a·ds with a = √(µ²g² - v⁴/r²).
func TestLeanedDistanceAgainstSteppedMotion(t *testing.T) {
	const g, grip, radius = 9.80665, 0.9, 40.0
	for _, v0 := range []float64{5, 10, 15, 18} {
		way, steps := 0.0, 200_000
		for i := range steps {
			u := v0 * v0 * (float64(i) + 0.5) / float64(steps)
			way += v0 * v0 / float64(steps) / 2 / math.Sqrt(grip*grip*g*g-u*u/(radius*radius))
		}
		if got := kittest.Workf(t, set, "lean?speed=%vm/s&radius=40m&grip=0.9", v0).Output("distance-leaned"); math.Abs(got-way) > 2e-3*way {
			t.Errorf("%v m/s: %v, stepped %v", v0, got, way)
		}
	}
}

// A wide corner is a straight: the leaned stop becomes the upright one, and never is shorter.
func TestWideCornersAreStraights(t *testing.T) {
	last := math.Inf(1)
	for _, radius := range []float64{30, 50, 100, 500, 5000} {
		w := kittest.Workf(t, set, "lean?radius=%vm", radius)
		leaned, upright := w.Output("distance-leaned"), w.Output("distance-upright")
		if leaned < upright || leaned > last {
			t.Errorf("radius %v: leaned %v, upright %v", radius, leaned, upright)
		}
		last = leaned
	}
	if w := kittest.Work(t, set, "lean?radius=5000m"); w.Output("distance-leaned")/w.Output("distance-upright") > 1.0001 {
		t.Errorf("at 5 km radius %v against %v", w.Output("distance-leaned"), w.Output("distance-upright"))
	}
}

func TestRadiusAndLeanAreInverse(t *testing.T) {
	angle := kittest.Work(t, set, "lean?speed=60km/h&radius=40m&grip=1.2").Output("lean")
	same := kittest.Workf(t, set, "lean?speed=60km/h&lean=%.12frad&grip=1.2", angle)
	if a, b := same.Output("distance-leaned"), kittest.Work(t, set, "lean?speed=60km/h&radius=40m&grip=1.2").Output("distance-leaned"); math.Abs(a-b) > 1e-9 {
		t.Errorf("%v and %v", a, b)
	}
}

// How far a straight from the tangent ends outside the circle: Pythagoras.
func TestRunsWide(t *testing.T) {
	w := kittest.Work(t, set, "lean?radius=40m&stand-up=1s")
	straight := w.Output("distance-upright") + w.Output("stand-up-cost")
	if want := math.Hypot(40, straight) - 40; math.Abs(w.Output("runs-wide")-want) > 1e-9 {
		t.Errorf("got %v, want %v", w.Output("runs-wide"), want)
	}
}

func TestRefusals(t *testing.T) {
	kittest.Refused(t, set, map[string]string{"lean?radius=20m&lean=10deg": "lean"})
}

// A corner that asks for more than all the grip is an outcome: v²/(r·g) = 27.78²/(20·9.80665) = 3.934 against 0.9.
func TestSlidesOut(t *testing.T) {
	w := kittest.Work(t, set, "lean?speed=100km/h&radius=20m")
	in := &quantity.Reader{}
	if got, want := w.EventsText(in), "The corner asks for a grip of 3.934, the tyres have 0.900: the bike slides out."; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	if share := w.Output("lateral-share"); math.Abs(share-3.934/0.9) > 1e-3 {
		t.Errorf("share %v", share)
	}
	if w.Output("left-for-braking") != 0 {
		t.Errorf("%v is left", w.Output("left-for-braking"))
	}
	circle := w.Scene(0, figure.Style{Reader: in})
	if !strings.Contains(circle.SVG(), "3.93") {
		t.Error("the circle of grip does not show what the corner asks for")
	}
	if w := kittest.Work(t, set, "lean?lean=42deg&grip=1"); len(w.Events) != 0 {
		t.Errorf("within the grip: %v", w.Events)
	}
}
