package stop_test

import (
	"math"
	"testing"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/kit/kittest"
	"example.org/gripleaf/calculators/stop"
)

var set = kit.Set{&stop.Calculator}

func out(t *testing.T, output, format string, arguments ...any) float64 {
	t.Helper()
	return kittest.Workf(t, set, format, arguments...).Output(output)
}

func TestTwiceTheSpeedFourTimesTheDistance(t *testing.T) {
	for _, grade := range []int{-10, 0, 7} {
		one := out(t, "braking-distance", "stop?speed=40km/h&grip=0.7&grade=%d%%", grade)
		two := out(t, "braking-distance", "stop?speed=80km/h&grip=0.7&grade=%d%%", grade)
		if math.Abs(two-4*one) > 1e-9 {
			t.Errorf("grade %d %%: %v, then %v", grade, one, two)
		}
	}
	if one, two := out(t, "reaction-distance", "stop?speed=40km/h"), out(t, "reaction-distance", "stop?speed=80km/h"); math.Abs(two-2*one) > 1e-9 {
		t.Errorf("reaction: %v, then %v", one, two)
	}
}

func TestUseIsAShareOfTheGrip(t *testing.T) {
	if a, b := out(t, "deceleration", "stop?grip=0.8&use=50%%"), out(t, "deceleration", "stop?grip=0.4"); math.Abs(a-b) > 1e-12 {
		t.Errorf("half of 0.8 is %v, 0.4 is %v", a, b)
	}
}

// Up and down the same slope the decelerations lie evenly about that of a level road, but for the slope's cosine.
func TestMirroredGrades(t *testing.T) {
	level := out(t, "deceleration", "stop?grip=0.8")
	for _, grade := range []float64{3, 6, 9, 20} {
		up, down := out(t, "deceleration", "stop?grip=0.8&grade=%v%%", grade), out(t, "deceleration", "stop?grip=0.8&grade=-%v%%", grade)
		cosine := 1 / math.Sqrt(1+grade*grade/1e4)
		if math.Abs((up+down)/2-level*cosine) > 1e-12 {
			t.Errorf("%v %%: %v up, %v down, %v level", grade, up, down, level)
		}
	}
}

func TestMonotone(t *testing.T) {
	last := math.Inf(1)
	for grip := 0.1; grip < 1.5; grip += 0.1 {
		d := out(t, "stopping-distance", "stop?grip=%v", grip)
		if d >= last {
			t.Errorf("grip %v does not shorten the stop: %v after %v", grip, d, last)
		}
		last = d
	}
}

// What is left at an obstacle closes the account: v² = 2·a·s up to it, v_i² beyond.
func TestObstacle(t *testing.T) {
	v, a := 60/3.6, out(t, "deceleration", "stop?speed=60km/h")
	hit := out(t, "impact-speed", "stop?speed=60km/h&reaction=0.5s&obstacle=20m")
	if braked := 20 - 0.5*v; math.Abs(hit*hit+2*a*braked-v*v) > 1e-9 {
		t.Errorf("hit at %v", hit)
	}
	whole := out(t, "stopping-distance", "stop?speed=60km/h")
	if hit := out(t, "impact-speed", "stop?speed=60km/h&obstacle=%.6fm", whole+0.001); hit != 0 {
		t.Errorf("beyond the stop: %v", hit)
	}
	if hit := out(t, "impact-speed", "stop?speed=60km/h&obstacle=1m&reaction=1s"); math.Abs(hit-v) > 1e-12 {
		t.Errorf("before the brakes bite: %v", hit)
	}
}

func TestUnitsInUnitsOut(t *testing.T) {
	if a, b := out(t, "stopping-distance", "stop?speed=100km/h"), out(t, "stopping-distance", "stop?speed=62.13711922mph"); math.Abs(a-b) > 1e-6 {
		t.Errorf("%v and %v", a, b)
	}
}

func TestSlopeSteeperThanGrip(t *testing.T) {
	_, err := set.Work("stop?grip=0.1&grade=-12%")
	faults, ok := err.(kit.Faults)
	if !ok || faults[0].Input != "grade" || faults[0].Offset != len("stop?grip=0.1&") {
		t.Errorf("got %v", err)
	}
}

func TestSurfaceSetsGrip(t *testing.T) {
	wet := out(t, "deceleration", "stop?surface=wet-asphalt")
	if same := out(t, "deceleration", "stop?grip=0.8013"); math.Abs(wet-same) > 1e-3 {
		t.Errorf("wet asphalt %v, its peak %v", wet, same)
	}
	if a := out(t, "deceleration", "stop?surface=ice&grip=0.8"); math.Abs(a-out(t, "deceleration", "stop?grip=0.8")) > 1e-12 {
		t.Errorf("a written grip wins over the surface: %v", a)
	}
}
