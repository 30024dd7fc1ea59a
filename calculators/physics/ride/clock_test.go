package ride

import (
	"errors"
	"math"
	"testing"

	"example.org/gripleaf/calculators/physics/antilock"
	"example.org/gripleaf/calculators/physics/tyre"
)

// A step is the longest part of a tick in which nothing turns by more than a radian: not a wheel on its tyre, not the
// side walls of a tyre, not the slip that has to be rolled off.
func TestClock(t *testing.T) {
	for name, test := range map[string]struct {
		change func(s *Setup)
		binds  int // which of the three is the fastest
	}{
		"wheel on its tyre": {func(s *Setup) { s.Bike.Front.Inertia /= 4 }, 0},
		"side walls":        {func(s *Setup) { s.Bike.Rear.Inertia /= 1000 }, 1},
		"slip rolled off":   {func(s *Setup) { s.Bike.Front.Relaxation /= 2000 }, 2},
		"grip of a patch": {func(s *Setup) {
			ice, _ := tyre.Find("ice")
			s.Patch, s.PatchStart, s.PatchLength = &ice, 5, 5
			s.Bike.Front.Inertia /= 4
		}, 0},
		"half the given one": {func(s *Setup) { s.Step = antilock.Tick / 2 }, 0},
	} {
		s := on("dry-asphalt")
		test.change(&s)
		var r run
		r.start(&s, nil)
		fastest, binds := 0.0, 0
		for i := range r.plant.end {
			e := &r.plant.end[i]
			surfaces := []*tyre.Surface{&s.Surface}
			if s.Patch != nil {
				surfaces = append(surfaces, s.Patch)
			}
			for _, on := range surfaces {
				stiffness := (on.C1*on.C2 + on.Wedge) * s.Bike.Mass * 9.80665 // of the whole weight on one wheel, N per unit of slip
				about := stiffness * e.radius * e.radius / e.inertia
				for k, rate := range []float64{math.Sqrt(about / e.relaxation), 0.008 * about, s.Speed / e.relaxation} {
					if rate > fastest {
						fastest, binds = rate, k
					}
				}
			}
		}
		parts := r.span / r.step
		if n := math.Round(parts); math.Abs(parts-n) > 1e-9 || r.span != antilock.Tick {
			t.Errorf("%s: a tick of %v has %v steps", name, r.span, parts)
		}
		longest := 1 / fastest
		if s.Step > 0 {
			longest = min(longest, s.Step)
		}
		if binds != test.binds || r.step > longest*(1+1e-9) || r.step < r.span && r.span/(math.Round(parts)-1) <= longest {
			t.Errorf("%s: a step of %v s, where %v is the longest for rate %d", name, r.step, longest, binds)
		}
	}
}

// Whatever leads nowhere ends, and says why.
func TestLost(t *testing.T) {
	s := on("dry-asphalt")
	for name, test := range map[string]struct {
		change func(r *run)
		want   error
	}{
		"as it should":        {func(r *run) {}, nil},
		"speed not a number":  {func(r *run) { r.y[speed] = math.NaN() }, ErrUnfit},
		"pitch not a number":  {func(r *run) { r.y[pitch] = math.NaN() }, ErrUnfit},
		"heave not a number":  {func(r *run) { r.y[heave] = math.NaN() }, ErrUnfit},
		"leapt off":           {func(r *run) { r.y[heave] = 10.1 }, ErrUnfit},
		"nose up":             {func(r *run) { r.y[pitch] = -0.99 }, nil},
		"over the rear wheel": {func(r *run) { r.y[pitch] = -1.01 }, ErrUnfit},
		"sunk in":             {func(r *run) { r.y[heave] = -10.1 }, ErrUnfit},
		"not yet":             {func(r *run) { r.y[heave] = 9.9 }, nil},
		"five minutes":        {func(r *run) { r.time, r.looked = 299, 299 }, nil},
		"more":                {func(r *run) { r.time, r.looked = 301, 301 }, ErrNoStop},
		"faster downhill":     {func(r *run) { r.y[speed] = s.Speed + 19 }, nil},
		"far too fast":        {func(r *run) { r.y[speed] = s.Speed + 21 }, ErrNoStop},
		"as fast as it was":   {func(r *run) { r.time, r.looked, r.seen = 13, 0, s.Speed }, ErrNoStop},
		"hardly slower":       {func(r *run) { r.time, r.looked, r.seen = 13, 0, s.Speed+0.04 }, ErrNoStop},
		"slower":              {func(r *run) { r.time, r.looked, r.seen = 13, 0, s.Speed+0.06 }, nil},
		"too early to say so": {func(r *run) { r.time, r.looked, r.seen = 11, 0, s.Speed }, nil},
	} {
		var r run
		r.start(&s, nil)
		test.change(&r)
		if got := r.lost(); !errors.Is(got, test.want) {
			t.Errorf("%s: %v, want %v", name, got, test.want)
		}
		if name == "slower" && (r.looked != 13 || r.seen != s.Speed) {
			t.Errorf("after a look at %v s the speed that was seen is %v", r.looked, r.seen)
		}
	}
}
