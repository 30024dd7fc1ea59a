package measured_test

import (
	"math"
	"testing"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/kit/kittest"
	"example.org/gripleaf/calculators/measured"
	"example.org/gripleaf/calculators/measured/trace"
)

var set = kit.Set{&measured.Calculator}

// A stop with one constant deceleration has that deceleration as its mean, from any speed.
func TestConstantDeceleration(t *testing.T) {
	for _, v := range []float64{11, 16.7, 27.8, 44.4} {
		for _, a := range []float64{2.5, 6.17, 9.2} {
			at := func(share float64) float64 { return v * v * (1 - share*share) / (2 * a) }
			if got := trace.MFDD(v, at(0.8), at(0.1)); math.Abs(got-a) > 1e-9 {
				t.Errorf("from %v m/s: got %v, want %v", v, got, a)
			}
		}
	}
}

// Correcting to the very speed that was ridden changes nothing, and there and back leads to the start.
func TestCorrection(t *testing.T) {
	if got := trace.Corrected(25, 25, 40); math.Abs(got-40) > 1e-12 {
		t.Errorf("to itself: %v", got)
	}
	there := trace.Corrected(27.5, 28.2, 50)
	if back := trace.Corrected(28.2, 27.5, there); math.Abs(back-50) > 1e-12 {
		t.Errorf("there and back: %v", back)
	}
	// A faster start than nominal was a longer stop.
	if there >= 50 {
		t.Errorf("corrected to %v", there)
	}
}

func TestLimitsWithMargins(t *testing.T) {
	const stop = "test?speed=60km/h&start-speed=60km/h&distance=24m&distance-80=10m&distance-10=23.5m"
	w := kittest.Work(t, set, stop+"&brakes=front&grip=0.95")
	distances, decelerations := w.Series[0], w.Series[1]
	if distances.Rows() != 1 || decelerations.Rows() != 1 {
		t.Fatalf("%d and %d limits", distances.Rows(), decelerations.Rows())
	}
	// Front brake alone from 60 km/h: 0.1·60 + 0.0087·60² = 37.32 m.
	if got := distances.Columns[1].Values[0]; math.Abs(got-37.32) > 1e-9 {
		t.Errorf("front alone: %v", got)
	}
	if got := distances.Columns[2].Values[0]; math.Abs(got-(37.32-24)) > 1e-9 || distances.Columns[3].Values[0] != 1 {
		t.Errorf("its margin: %v", got)
	}
	// Of those for all brakes, 0.0060·60² = 21.6 m is not met; high grip is met by the deceleration, 6.48 m/s², though
	// not by the distance. On low grip, 0.0056·60²/0.4 = 50.4 m is met.
	for query, want := range map[string][2]float64{stop: {2, 1}, stop + "&brakes=all&grip=0.4": {2, 1}, stop + "&grip=0.7": {1, 0}, stop + "&brakes=rear": {1, 1}} {
		if w := kittest.Work(t, set, query); float64(w.Series[0].Rows()) != want[0] || w.Output("met") != want[1] {
			t.Errorf("%s: %v of %d met, want %v", query, w.Output("met"), w.Series[0].Rows(), want)
		}
	}
}

func TestRefusals(t *testing.T) {
	kittest.Refused(t, set, map[string]string{
		"test?speed=60km/h&start-speed=66km/h":              "start-speed",
		"test?distance-80=30m&distance-10=29m":              "distance-10",
		"test?distance-80=48m&distance-10=49m&distance=50m": "distance-10",
		"test?distance=45m":                                 "distance",
		"test?distance=9m&distance-80=1m&distance-10=8.9m":  "distance-10",
	})
}
