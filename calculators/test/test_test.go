package test_test

import (
	"fmt"
	"math"
	"testing"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/test"
	"example.org/gripleaf/calculators/trace"
)

var set = kit.Set{&test.Calculator}

func worked(t *testing.T, format string, arguments ...any) *kit.Work {
	t.Helper()
	query := fmt.Sprintf(format, arguments...)
	w, err := set.Work(query)
	if err != nil {
		t.Fatalf("%s: %v", query, err)
	}
	return w
}

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
	w := worked(t, "test?speed=60km/h&start-speed=60km/h&distance=24m&distance-80=10m&distance-10=23.5m&grip=0.95")
	distances, decelerations := w.Series[0], w.Series[1]
	if distances.Rows() != 8 || decelerations.Rows() != 7 {
		t.Fatalf("%d and %d limits", distances.Rows(), decelerations.Rows())
	}
	// Front brake alone from 60 km/h: 0.1·60 + 0.0087·60² = 37.32 m.
	if got := distances.Columns[1].Values[0]; math.Abs(got-37.32) > 1e-9 {
		t.Errorf("front alone: %v", got)
	}
	if got := distances.Columns[2].Values[0]; math.Abs(got-(37.32-24)) > 1e-9 || distances.Columns[3].Values[0] != 1 {
		t.Errorf("its margin: %v", got)
	}
	// Not met: all brakes, 0.0060·60² = 21.6 m; low grip, 0.0056·60²/0.95 = 21.2 m and 6.87·0.95 = 6.53 m/s². High grip
	// is met by the deceleration, 6.48 m/s², though not by the distance.
	if w.Output("met") != 6 {
		t.Errorf("%v met", w.Output("met"))
	}
}

func TestRefusals(t *testing.T) {
	for query, input := range map[string]string{
		"test?speed=60km/h&start-speed=66km/h":              "start-speed",
		"test?distance-80=30m&distance-10=29m":              "distance-10",
		"test?distance-80=48m&distance-10=49m&distance=50m": "distance-10",
		"test?distance=45m":                                 "distance",
		"test?distance=9m&distance-80=1m&distance-10=8.9m":  "distance-10",
	} {
		_, err := set.Work(query)
		if faults, ok := err.(kit.Faults); !ok || faults[0].Input != input {
			t.Errorf("%s: %v", query, err)
		}
	}
}
