package slip_test

import (
	"fmt"
	"math"
	"testing"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/kit/kittest"
	"example.org/gripleaf/calculators/slip"
)

var set = kit.Set{&slip.Calculator}

func TestRollingFreelyGripsNothing(t *testing.T) {
	in := &slip.Calculator.Inputs[0]
	for _, c := range in.Choices {
		if got := kittest.Work(t, set, "slip?slip=0%&surface="+c.Value).Output("grip"); got != 0 {
			t.Errorf("%s: %v", c.Value, got)
		}
	}
}

// No slip grips better than the peak on firm ground, and at the peak's slip the grip is the peak on all.
func TestPeakIsThePeak(t *testing.T) {
	for _, c := range slip.Calculator.Inputs[0].Choices {
		w := kittest.Work(t, set, "slip?surface="+c.Value)
		peak := w.Output("peak-grip")
		for k := 0; w.Output("locked-loss") > 0 && k <= 1000; k++ {
			if got := kittest.Work(t, set, fmt.Sprintf("slip?surface=%s&slip=%v", c.Value, float64(k)/1000)).Output("grip"); got > peak+1e-12 {
				t.Fatalf("%s: %v at %v, above the peak %v", c.Value, got, float64(k)/1000, peak)
			}
		}
		at := kittest.Work(t, set, fmt.Sprintf("slip?surface=%s&slip=%.12f", c.Value, w.Output("peak-slip"))).Output("grip")
		if math.Abs(at-peak) > 1e-9 {
			t.Errorf("%s: %v at the peak's slip, the peak is %v", c.Value, at, peak)
		}
	}
}

// A locked wheel on loose ground holds more than a turning one does at its best (common practice, no source).
func TestLooseGroundGainsByLocking(t *testing.T) {
	for _, surface := range []string{"gravel", "deep-sand", "loose-snow"} {
		if w := kittest.Work(t, set, "slip?surface="+surface); w.Output("locked-loss") >= 0 || w.Output("peak-slip") >= 0.5 {
			t.Errorf("%s loses %v by locking, its turning wheel is best at a slip of %v", surface, w.Output("locked-loss"), w.Output("peak-slip"))
		}
	}
	for _, surface := range []string{"dry-asphalt", "wet-asphalt", "ice"} {
		if w := kittest.Work(t, set, "slip?surface="+surface); w.Output("locked-loss") <= 0 {
			t.Errorf("%s loses %v by locking", surface, w.Output("locked-loss"))
		}
	}
}
