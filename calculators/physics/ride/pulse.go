package ride

// What the lever feels. The pump returns the fluid that a release let into the
// accumulator to the master's line, where the hand must take it up; a rebuild
// draws it out again. The hand is taken to be steady enough that the pulse does
// not reach the caliper.

import (
	"example.org/gripleaf/calculators/physics/extremum"
	"example.org/gripleaf/calculators/physics/hydraulics"
)

// pulse follows the front lever.
type pulse struct {
	stored   float64 // fluid in the accumulator, m³
	pressure float64 // above the hand's, Pa
	low      float64 // in the present cycle, Pa
	high     float64
	cycle    int     // being followed
	sum      float64 // of the settled cycles' peak to peak, Pa
	settled  int
}

// settledFrom is the first cycle that counts: the one before catches whatever
// the squeeze was.
const settledFrom = 2

// move follows the lever through the tick that began at before.
func (u *pulse) move(r *run, before *state) {
	if !r.watched || !r.unitOn(front) {
		return
	}
	e, in := &r.plant.end[front], &r.plant.in[front]
	m := &e.modulator
	gone := e.uptake * (before[pressureF] - r.y[pressureF])
	drawn := 0.0
	switch cycles := r.unit.Cycles(front); {
	case in.valve == hydraulics.Dump:
		u.stored += extremum.Max(0, gone)
	case in.valve == hydraulics.Build && cycles > 0:
		drawn = -gone
	}
	back := extremum.Min(u.stored, m.Pump*r.span)
	u.stored -= back
	u.pressure += (back-drawn)/m.Lever - u.pressure*r.span/m.Yield
	if r.unit.Active() {
		u.watch(r.unit.Cycles(front))
	}
}

// watch keeps the peak to peak of each cycle.
func (u *pulse) watch(cycle int) {
	if cycle != u.cycle {
		if u.cycle >= settledFrom {
			u.sum += u.high - u.low
			u.settled++
		}
		u.cycle, u.low, u.high = cycle, u.pressure, u.pressure
	}
	u.low, u.high = extremum.Min(u.low, u.pressure), extremum.Max(u.high, u.pressure)
}

// mean returns the mean peak to peak of the settled cycles, or of what there
// was if none settled, Pa.
func (u *pulse) mean() float64 {
	if u.settled == 0 {
		if u.cycle == 0 {
			return 0
		}
		return u.high - u.low
	}
	return u.sum / float64(u.settled)
}
