package antilock

import (
	"math"
	"testing"
)

// roll turns a ring with a wheel at a speed that changes at a rate, for a while.
func roll(r *Ring, radius, v0, rate, duration float64) (t, v float64) {
	const h = 0.001
	angle, v := 0.0, v0
	for t = 0; t < duration; t += h {
		next := v + rate*h
		turned := angle + 0.5*(v+next)/radius*h
		r.turn(t, h, angle, v/radius, turned, next/radius)
		angle, v = turned, next
	}
	return t, v
}

func TestRingReadsSpeedAndRate(t *testing.T) {
	for _, rate := range []float64{-9, -2, 0, 4} {
		r := newRing(Wheel{Radius: 0.3, Teeth: 48}, 20)
		at, v := roll(&r, 0.3, 20, rate, 0.5)
		speed, got := r.read(at)
		// The reading is as late as half its window.
		if math.Abs(speed-v) > math.Abs(rate)*0.01+0.01 || math.Abs(got-rate) > 0.05 {
			t.Errorf("at %v m/s and %v m/s² the ring reads %v and %v", v, rate, speed, got)
		}
	}
}

// At a walk a whole tooth passes between readings: the speed comes late and
// coarse, and a wheel that has stopped is found out by silence.
func TestRingIsLateAtAWalk(t *testing.T) {
	r := newRing(Wheel{Radius: 0.3, Teeth: 48}, 1)
	at, _ := roll(&r, 0.3, 1, 0, 1)
	if speed, _ := r.read(at); math.Abs(speed-1) > 0.05 {
		t.Errorf("1 m/s reads %v", speed)
	}
	step := 2 * math.Pi * 0.3 / 48
	if speed, rate := r.read(at + 0.5); speed > step/0.5 || rate >= 0 {
		t.Errorf("half a second of silence reads %v m/s, %v m/s²", speed, rate)
	}
}

// A fitted tyre 5 % smaller in circumference turns 1/0.95 times as fast and
// reads 5.26 % fast; against the other wheel it shows -5.26 % of slip that is
// not there, and hides as much that is.
func TestSmallerTyreReadsFast(t *testing.T) {
	const told, v = 0.3, 15.0
	r := newRing(Wheel{Radius: told, Teeth: 48}, v)
	at, _ := roll(&r, 0.95*told, v, 0, 1)
	speed, _ := r.read(at)
	if fast := speed/v - 1; math.Abs(fast-0.0526) > 5e-5 {
		t.Errorf("reads %.4f fast, want 0.0526", fast)
	}
	if slip := 1 - speed/v; math.Abs(slip+0.0526) > 5e-5 {
		t.Errorf("apparent slip %.4f, want -0.0526", slip)
	}
}

// f = N·v/(2πr): 48 teeth at 100 km/h on a 0.3 m tyre are 707 edges a second.
func TestPulseRate(t *testing.T) {
	r := newRing(Wheel{Radius: 0.3, Teeth: 48}, 100/3.6)
	roll(&r, 0.3, 100/3.6, 0, 1)
	if want := 48 * 100 / 3.6 / (2 * math.Pi * 0.3); math.Abs(float64(r.n)-want) > 2 {
		t.Errorf("%d edges in a second, want %.0f", r.n, want)
	}
}

func TestFractionSolvesTheCubic(t *testing.T) {
	for _, c := range [][3]float64{{1, 1, 1}, {1, 0.5, 1.5}, {1, 1.4, 0.6}, {1, 1.8, 0.3}} {
		total, ra, rb := c[0], c[1], c[2]
		for part := 0.05; part < 1; part += 0.05 {
			s := fraction(part, total, ra, rb)
			c2, c3 := 3*total-2*ra-rb, ra+rb-2*total
			if got := ((c3*s+c2)*s + ra) * s; math.Abs(got-part) > 1e-6 {
				t.Errorf("rates %v and %v: part %v is reached at %v, where it is %v", ra, rb, part, s, got)
			}
		}
	}
}

// A fine ring on a fast wheel has more edges in the window than are kept: what is kept is enough.
func TestRingWithMoreEdgesThanItKeeps(t *testing.T) {
	for _, rate := range []float64{0, -10} {
		r := newRing(Wheel{Radius: 0.3, Teeth: 200}, 120)
		at, v := roll(&r, 0.3, 120, rate, 0.5)
		if perWindow := v / (2 * math.Pi * 0.3) * 200 * window; perWindow < ringEdges/2 {
			t.Fatalf("only %v edges", perWindow)
		}
		speed, got := r.read(at)
		if math.Abs(speed-v) > 0.05 || math.Abs(got-rate) > 0.2 {
			t.Errorf("at %v m/s and %v m/s² it reads %v and %v", v, rate, speed, got)
		}
	}
}
