package antilock

import (
	"math"
	"testing"
)

// The reference follows a wheel that rolls, refuses one that slows as no brake
// could slow the bike, and learns of what slows it besides.
func TestReference(t *testing.T) {
	r := reference{speed: 20}
	for range 500 {
		r.follow(r.speed-0.5*5*Tick, 5)
	}
	if fell := 20 - r.speed; math.Abs(fell-0.5*5*500*Tick) > 0.1 {
		t.Errorf("with a rolling wheel the reference fell by %v", fell)
	}
	r = reference{speed: 20}
	for range 100 {
		r.follow(5, 2) // both wheels all but locked on ice
	}
	if fell, most := 20-r.speed, (1.2*2+0.5)*100*Tick; fell > most {
		t.Errorf("with locked wheels the reference fell by %v, brakes explain %v", fell, most)
	}
	r = reference{speed: 20, age: 0.5}
	r.rolls(18)
	if r.speed > 18.3 || r.extra <= 0 {
		t.Errorf("a wheel that rolls at 18 leaves the reference at %v, extra %v", r.speed, r.extra)
	}
}

// The deceleration at which a wheel takes a force solves
// force = a·(share + transfer·a).
func TestShare(t *testing.T) {
	for _, transfer := range []float64{0.047, -0.047, 0} {
		for a := 0.5; a < 5; a += 0.5 {
			force := a * (0.5 + transfer*a)
			if got := share(force, 0.5, transfer); math.Abs(got-a) > 1e-9 {
				t.Errorf("transfer %v: force %v is taken at %v, want %v", transfer, force, got, a)
			}
		}
	}
	if got := share(10, 0.5, -0.047); got != believable {
		t.Errorf("more force than the wheel can take: %v", got)
	}
}
