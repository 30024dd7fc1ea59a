package ride

import (
	"math"

	"example.org/gripleaf/calculators/physics/extremum"
)

// tally gathers a run's results as it goes.
type tally struct {
	limit  Limit
	decel  float64 // smoothed, m/s²
	peak   float64
	load   float64
	held   [2]float64 // each wheel without a break above 15 km/h, s
	beyond float64    // in a corner that asks for more than there is, s
	toLock float64
	locks  bool
	impact float64 // m/s
	fall   Fall
	fell   float64 // when, s
	over   bool
}

const (
	// A front wheel locked for longer, above the speed, throws the bike down
	// (common practice, no source).
	fallTime  = 0.3
	fallSpeed = 15 / 3.6
	// slideTime is how long a tyre may slide sideways in a corner before the bike
	// is down; invented, demo.
	slideTime = 0.1
	// leaned is the share of its grip that a corner must ask for before a locked
	// rear wheel steps out and does not just slide along; invented, demo.
	leaned = 0.05
	// feel is the time over which a deceleration is smoothed before its peak is
	// taken, s: shorter than a dive, longer than a tyre's shake.
	feel = 0.03
)

// count takes in the tick that began at before.
func (c *tally) count(r *run, before *state) {
	p, v := &r.plant, r.y[speed]
	a := (before[speed] - v) / r.span
	c.decel += (a - c.decel) * r.span / (feel + r.span)
	c.peak = extremum.Max(c.peak, c.decel)
	c.load = extremum.Max(c.load, p.out[front].load)
	c.over = r.y[pitch] > overPitch
	if p.in[front].stuck && !c.locks && v > walking {
		c.locks, c.toLock = true, r.time
	}
	if at := r.setup.Obstacle; at > 0 && before[travel] < at && r.y[travel] >= at {
		c.impact = before[speed] + (v-before[speed])*(at-before[travel])/(r.y[travel]-before[travel])
	}
	c.falls(r, v)
}

// falls judges whether the bike still stands.
func (c *tally) falls(r *run, v float64) {
	tan := r.plant.lean * v * v
	for i := range c.held {
		if c.held[i] += r.span; !r.plant.in[i].stuck || v <= fallSpeed {
			c.held[i] = 0
		}
	}
	if tan > 0 && (tan >= r.plant.surface[r.plant.in[front].under].peak || tan >= r.plant.surface[r.plant.in[rear].under].peak) {
		c.beyond += r.span
	} else {
		c.beyond = 0
	}
	// A tyre that already spends grip on the corner has less time.
	patience := fallTime * extremum.Max(0, 1-tan/r.plant.surface[r.plant.in[front].under].peak)
	switch {
	case c.fall != Upright:
	case c.over:
		c.fall = OverTheFront
	case c.held[front] > patience:
		c.fall = FrontLocked
	case c.beyond > slideTime:
		c.fall = SlidOut
	case c.held[rear] > patience && tan > leaned*r.plant.surface[r.plant.in[rear].under].peak:
		c.fall = RearSteppedOut
	}
	if c.fall != Upright && c.fell == 0 {
		c.fell = r.time
	}
}

// unitOn reports whether the controller has a channel on a wheel.
func (r *run) unitOn(i int) bool {
	return r.setup.Channels == Both || i == front && r.setup.Channels == Front
}

// stores returns the energy in motion and in springs and height.
func (r *run) stores() Energy {
	p, y := &r.plant, &r.y
	e := Energy{Kinetic: 0.5 * (p.mass*y[speed]*y[speed] + p.sprung*y[heaveRate]*y[heaveRate] + p.inertia*y[pitchRate]*y[pitchRate])}
	var rates state
	p.derive(y, &rates)
	for i := range p.end {
		w := &p.end[i]
		e.Kinetic += 0.5 * w.inertia * y[spinF+i] * y[spinF+i]
		e.Suspension += w.spring.Energy(p.out[i].compression)
	}
	return e
}

// A bike whose rear rises this far goes over its front wheel: no rider brings it
// back. What is left of the speed it scrapes away lying down. Invented, demo.
const (
	overPitch = 0.6  // rad
	lying     = 0.45 // of its weight, or the grip of a locked tyre if that is less
)

// scrape ends a stop that went over.
func (r *run) scrape(res *Result) {
	v, g := r.y[speed], extremum.Min(lying, r.plant.surface[r.plant.in[front].under].Locked())
	a := extremum.Max(0.1, g*r.plant.weight+r.plant.along)
	left := r.stores().Kinetic
	d := v * v / (2 * a)
	res.StoppingDistance += d
	res.BrakingTime += v / a
	res.Energy.Kinetic += left
	climbed := r.plant.mass * r.plant.along * d
	res.Energy.Grade += climbed
	res.Energy.Slip += left - climbed
}

// account closes the energy account.
func (r *run) account() Energy {
	y, end := &r.y, r.stores()
	e := Energy{
		Kinetic: r.begin.Kinetic - end.Kinetic,
		Brake:   y[heat], Slip: y[scrub], Drag: y[air], Rolling: y[rolling],
		Grade:      r.plant.mass * r.plant.along * y[travel],
		Suspension: y[damping] + end.Suspension - r.begin.Suspension,
	}
	e.Residual = e.Kinetic - (e.Brake + e.Slip + e.Drag + e.Rolling + e.Grade + e.Suspension)
	return e
}

// finish turns the tally into the result.
func (r *run) finish() (Result, error) {
	c, s, d := &r.tally, r.setup, r.y[travel]
	res := Result{
		StoppingDistance: d, BrakingTime: r.time, PeakDeceleration: c.peak,
		FrontLockedTime: r.plant.locked[front], RearLockedTime: r.plant.locked[rear],
		LiftHeight: r.plant.height, LiftTime: r.plant.aloft,
		Fall: c.fall, FallTime: c.fell, FrontLocks: c.locks, TimeToLock: c.toLock,
		PeakFrontLoad: c.load, IdealDistance: Ideal(s), ImpactSpeed: c.impact,
		Limit: c.limit, Energy: r.account(),
	}
	if c.over {
		r.scrape(&res)
	}
	if left := res.StoppingDistance - s.Obstacle; c.over && s.Obstacle > d && left > 0 { // scraping on, it is met all the same
		v, over := r.y[speed], res.StoppingDistance-d
		res.ImpactSpeed = v * math.Sqrt(left/over)
	}
	res.MeanDeceleration = s.Speed * s.Speed / (2 * res.StoppingDistance)
	res.GripUsed = res.IdealDistance / res.StoppingDistance
	if r.watched {
		res.Cycles = r.unit.Cycles(front)
		if !r.unitOn(front) {
			res.Cycles = r.unit.Cycles(rear)
		}
		if r.demand[front] > 0 {
			res.LeverPulse = r.pulse.mean() / r.demand[front]
		}
	}
	if math.IsNaN(d) || math.IsInf(d, 0) || math.IsNaN(res.Energy.Residual) {
		return Result{}, ErrUnfit
	}
	return res, nil
}
