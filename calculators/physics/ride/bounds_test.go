package ride

import (
	"errors"
	"math"
	"strings"
	"testing"
)

// Every figure is taken from its lowest to its highest value, those two included, and nothing beyond is.
func TestBounds(t *testing.T) {
	type bound struct {
		input     string
		low, high float64
		in        func(s *Setup) *float64
	}
	bounds := []bound{
		{"speed", 1, 120, func(s *Setup) *float64 { return &s.Speed }},
		{"grade", -0.5, 0.5, func(s *Setup) *float64 { return &s.Grade }},
		{"lean", -1.1, 1.1, func(s *Setup) *float64 { return &s.Lean }},
		{"rise", 0, 10, func(s *Setup) *float64 { return &s.Rise }},
		{"demand", 0, 20, func(s *Setup) *float64 { return &s.Demand }},
		{"step", 0, 0.004, func(s *Setup) *float64 { return &s.Step }},
		{"cycle-rate", 1, 200, func(s *Setup) *float64 { return &s.CycleRate }},
		{"patch-start", 0, 10000, func(s *Setup) *float64 { return &s.PatchStart }},
		{"patch-length", 0, 10000, func(s *Setup) *float64 { return &s.PatchLength }},
		{"hand reaction", 0, 10, func(s *Setup) *float64 { return &s.Hand.Reaction }},
		{"hand swing", -2, 2, func(s *Setup) *float64 { return &s.Hand.Waves[0].Share }},
		{"hand swing rate", -100, 100, func(s *Setup) *float64 { return &s.Hand.Waves[1].Rate }},
		{"hand swing phase", -100, 100, func(s *Setup) *float64 { return &s.Hand.Waves[4].Phase }},
		{"mass", 50, 2000, func(s *Setup) *float64 { return &s.Bike.Mass }},
		{"wheelbase", 0.5, 4, func(s *Setup) *float64 { return &s.Bike.Wheelbase }},
		{"cg-height", 0.2, 2, func(s *Setup) *float64 { return &s.Bike.CGHeight }},
		{"front-share", 0.1, 0.9, func(s *Setup) *float64 { return &s.Bike.FrontShare }},
		{"radius of gyration", 0.15, 2, func(s *Setup) *float64 { return &s.Bike.Gyration }},
		{"drag area", 0, 5, func(s *Setup) *float64 { return &s.Bike.DragArea }},
		{"coefficient c1", 0, 5, func(s *Setup) *float64 { return &s.Surface.C1 }},
		{"coefficient c2", 0, 2000, func(s *Setup) *float64 { return &s.Surface.C2 }},
		{"coefficient c3", 0, 5, func(s *Setup) *float64 { return &s.Surface.C3 }},
		{"wedge", 0, 3, func(s *Setup) *float64 { return &s.Surface.Wedge }},
		{"rolling resistance", 0, 0.5, func(s *Setup) *float64 { return &s.Surface.Rolling }},
		{"patch wedge", 0, 3, func(s *Setup) *float64 { return &s.Patch.Wedge }},
		{"patch rolling resistance", 0, 0.5, func(s *Setup) *float64 { return &s.Patch.Rolling }},
		{"front unsprung mass", 1, 0.6 * 260 * 0.48, func(s *Setup) *float64 { return &s.Bike.Front.Unsprung }},
		{"rear unsprung mass", 1, 0.6 * 260 * 0.52, func(s *Setup) *float64 { return &s.Bike.Rear.Unsprung }},
		{"front fluid uptake", 1e-14, 1e-11, func(s *Setup) *float64 { return &s.Bike.Front.Brake.Uptake }},
	}
	for name, in := range map[string]struct {
		low, high float64
		in        [2]func(s *Setup) *float64
	}{
		"wheel radius":        {0.1, 0.6, [2]func(*Setup) *float64{func(s *Setup) *float64 { return &s.Bike.Front.Radius }, func(s *Setup) *float64 { return &s.Bike.Rear.Radius }}},
		"wheel inertia":       {0.02, 10, [2]func(*Setup) *float64{func(s *Setup) *float64 { return &s.Bike.Front.Inertia }, func(s *Setup) *float64 { return &s.Bike.Rear.Inertia }}},
		"relaxation length":   {0.05, 1, [2]func(*Setup) *float64{func(s *Setup) *float64 { return &s.Bike.Front.Relaxation }, func(s *Setup) *float64 { return &s.Bike.Rear.Relaxation }}},
		"sensor teeth":        {4, 200, [2]func(*Setup) *float64{func(s *Setup) *float64 { return &s.Bike.Front.Teeth }, func(s *Setup) *float64 { return &s.Bike.Rear.Teeth }}},
		"spring rate":         {1000, 5e5, [2]func(*Setup) *float64{func(s *Setup) *float64 { return &s.Bike.Front.Suspension.Rate }, func(s *Setup) *float64 { return &s.Bike.Rear.Suspension.Rate }}},
		"spring preload":      {0, 5000, [2]func(*Setup) *float64{func(s *Setup) *float64 { return &s.Bike.Front.Suspension.Preload }, func(s *Setup) *float64 { return &s.Bike.Rear.Suspension.Preload }}},
		"travel":              {0.02, 0.5, [2]func(*Setup) *float64{func(s *Setup) *float64 { return &s.Bike.Front.Suspension.Travel }, func(s *Setup) *float64 { return &s.Bike.Rear.Suspension.Travel }}},
		"compression damping": {0, 20000, [2]func(*Setup) *float64{func(s *Setup) *float64 { return &s.Bike.Front.Suspension.Compression }, func(s *Setup) *float64 { return &s.Bike.Rear.Suspension.Compression }}},
		"rebound damping":     {0, 20000, [2]func(*Setup) *float64{func(s *Setup) *float64 { return &s.Bike.Front.Suspension.Rebound }, func(s *Setup) *float64 { return &s.Bike.Rear.Suspension.Rebound }}},
	} {
		bounds = append(bounds, bound{"front " + name, in.low, in.high, in.in[0]}, bound{"rear " + name, in.low, in.high, in.in[1]})
	}
	for _, b := range bounds {
		for _, try := range []struct {
			value float64
			good  bool
		}{
			{b.low, true}, {b.high, true}, {math.NaN(), false},
			{math.Nextafter(b.low, math.Inf(-1)), false}, {math.Nextafter(b.high, math.Inf(1)), false},
		} {
			s := with(on("dry-asphalt"), Both, 50)
			patch := s.Surface
			s.Patch, s.PatchStart, s.PatchLength = &patch, 5, 5
			*b.in(&s) = try.value
			var out *RangeError
			refused := errors.As(s.Check(), &out) && out.Input == b.input
			if !try.good && out != nil && strings.HasSuffix(out.Input, "grip") { // a coefficient may be refused for the grip it makes
				continue
			}
			if refused == try.good || refused && (math.Abs(out.Low-b.low) > 1e-9 || math.Abs(out.High-b.high) > 1e-9*b.high) {
				t.Errorf("%s of %v: %v", b.input, try.value, s.Check())
			}
		}
	}
}

// A surface may hold from a fiftieth of the load to three times as much.
func TestBoundsOfGrip(t *testing.T) {
	for _, try := range []struct {
		peak float64
		good bool
	}{{0.0199, false}, {0.0201, true}, {2.99, true}, {3.01, false}} {
		s := on("dry-asphalt")
		_, peak := s.Surface.Peak()
		s.Surface.C1 *= try.peak / peak // a curve's height is in these two
		s.Surface.C3 *= try.peak / peak
		var out *RangeError
		if refused := errors.As(s.Check(), &out) && out.Input == "grip"; refused == try.good {
			t.Errorf("a grip of %v: %v", try.peak, s.Check())
		}
	}
}
