package antilock

import "example.org/gripleaf/calculators/physics/extremum"

// Ring is a toothed ring and the timer that reads it. It knows a wheel's speed
// only from edges that have passed: late by half the time they span, and at a
// walk a whole tooth late.
type Ring struct {
	step    float64 // rim travel from edge to edge, at the radius the unit was told, m
	pitch   float64 // angle from edge to edge, rad
	next    float64 // angle of the edge to come
	at      [ringEdges]float64
	n       int // edges seen
	current float64
	when    float64
	past    float64 // speed of the window before
	span    float64 // time between the middles of the two windows
}

const (
	ringEdges = 64
	window    = 0.004 // the least time that a speed is taken over, s
)

// newRing returns a ring of a wheel that rolls at speed.
func newRing(w Wheel, speed float64) Ring {
	const turn = 6.283185307179586
	r := Ring{pitch: turn / w.Teeth, step: turn / w.Teeth * w.Radius, current: speed, past: speed, span: window}
	r.next = r.pitch
	return r
}

// turn logs the edges that passed while the wheel turned from angle a at spin
// wa to angle b at spin wb, between times t and t+h.
func (r *Ring) turn(t, h, a, wa, b, wb float64) {
	for r.next <= b && b > a {
		r.at[r.n%ringEdges] = t + h*fraction(r.next-a, b-a, wa*h, wb*h)
		r.n++
		r.next += r.pitch
	}
}

// fraction returns when in a step of unit length a turn of total, begun at rate
// ra and ended at rb, has reached part: the cubic through both ends, solved by
// Newton's method.
func fraction(part, total, ra, rb float64) float64 {
	s := part / total
	c2, c3 := 3*total-2*ra-rb, ra+rb-2*total
	for range 3 {
		f := ((c3*s+c2)*s+ra)*s - part
		slope := (3*c3*s+2*c2)*s + ra
		if slope <= 0 {
			break
		}
		s -= f / slope
	}
	return extremum.Min(extremum.Max(s, 0), 1)
}

// edge returns the time of the edge that passed back edges ago.
func (r *Ring) edge(back int) float64 { return r.at[(r.n-1-back)%ringEdges] }

// read works out speed and its rate of change at time t, in m/s and m/s².
func (r *Ring) read(t float64) (speed, rate float64) {
	if r.n >= 2 && r.edge(0) > r.when {
		r.measure()
	}
	speed, rate = r.current, (r.current-r.past)/r.span
	if r.n == 0 {
		return speed, 0
	}
	// No edge for longer than the speed explains: it is slower than it was.
	if wait := t - r.edge(0); r.step < speed*wait {
		slower := r.step / wait
		rate = extremum.Min(rate, (slower-speed)/(0.5*wait+window))
		speed = slower
	}
	return speed, rate
}

// measure takes the speed over the last edges that span the window, and over
// as many before them.
func (r *Ring) measure() {
	k := 1
	for k < r.n-1 && k < ringEdges/2-1 && r.edge(0)-r.edge(k) < window {
		k++
	}
	last, mid := r.edge(0), r.edge(k)
	r.when = last
	r.current = r.step * float64(k) / (last - mid)
	if r.n <= 2*k {
		return
	}
	first := r.edge(2 * k)
	r.past = r.step * float64(k) / (mid - first)
	r.span = 0.5 * (last - first)
}
