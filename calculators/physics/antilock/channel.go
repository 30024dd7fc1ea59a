package antilock

import (
	"math"

	"example.org/gripleaf/calculators/physics/hydraulics"
)

// channel is the unit's hand on one wheel.
type channel struct {
	phase    phase
	cycles   int
	start    float64 // of the cycle, s
	building float64 // start of the rebuild, s
	release  float64 // time the outlet is still to stand open, s
	duty     float64 // share of the time that the inlet stands open to rebuild
	rising   bool    // the wheel has been gaining speed
	step     int     // ticks into the step of the rebuild
}

type phase uint8

const (
	follow  phase = iota // the hand's pressure passes through
	release              // dumping
	wait                 // held, the wheel is to come back
	rebuild              // in steps
)

// What the wheel does when it trips, and how the pressure answers; invented,
// demo, tuned to the demo bikes.
const (
	deepSlip = 0.22  // slip beyond what is justified that trips whatever the rate
	back     = 0.06  // time in which a release should bring the slip back, s
	foresee  = 0.02  // time by which a returning wheel is met early, s
	gradient = 1.5   // of the rebuild, of the holding pressure a second
	largest  = 0.35  // quantum of a release, of the holding pressure
	smallest = 0.012 // the same, of the fastest unit
)

// state is what a channel knows of its wheel at a tick.
type state struct {
	slip   float64
	excess float64 // deceleration beyond the bike's, m/s²
	due    float64 // slip that the bike's deceleration justifies
	trip   bool    // the wheel is on its way to locking
	near   bool    // it is about to trip
}

// state judges wheel i. A tyre gives its grip at little slip where there is
// little grip to give, so what slip and rate are too much depends on how hard
// the bike is slowing.
func (u *Unit) state(i int) state {
	a := u.reference.deceleration()
	s := state{
		slip:   1 - u.speed[i]/u.reference.speed,
		excess: -u.rate[i] - a,
		due:    0.025 + 0.01*a,
	}
	rate := 1 + 0.8*a
	s.trip = s.slip > s.due && s.excess > rate || s.slip > s.due+deepSlip && s.excess > -2
	s.near = s.slip > s.due && s.excess > 0.4*rate
	return s
}

// returned reports whether a wheel that was gaining speed has stopped gaining.
func (c *channel) returned(rate float64) bool {
	if c.phase != wait && c.phase != rebuild {
		c.rising = false
		return false
	}
	if rate > 2 {
		c.rising = true
	}
	if c.rising && rate <= 0 {
		c.rising = false
		return true
	}
	return false
}

// act decides what the valve of wheel i does in the tick from t.
func (c *channel) act(u *Unit, i int, t float64) Order {
	s := u.state(i)
	ease := 0.0
	if i == 0 {
		ease = u.ease()
	}
	free := c.cycles == 0 || t-c.start >= u.period-0.5*Tick
	switch {
	case c.phase != release && (s.trip || ease > 0) && free:
		c.begin(u, i, t, &s, ease)
	case c.phase == release && c.release <= 0 && !(s.slip > s.due+deepSlip && s.excess > 0):
		c.phase = wait
	}
	if c.phase == wait && ease == 0 && s.slip+s.excess*foresee/u.reference.speed < s.due {
		c.phase, c.building, c.step = rebuild, t, 0
	}
	return c.order(u, t, s.trip || s.near || i == 0 && u.alert)
}

// begin starts a cycle: it learns from the rebuild that has just ended and
// opens the outlet for what the wheel's own deceleration shows to be too much,
// for what brings it back in time, and for the quantum that the unit can give
// back until it may act again.
func (c *channel) begin(u *Unit, i int, t float64, s *state, ease float64) {
	hold := u.holding(i, u.reference.deceleration())
	w := &u.settings.Wheels[i]
	if c.duty == 0 {
		c.duty = math.Min(1, 2*gradient*math.Sqrt(hold)/w.Inlet)
	} else if c.phase == rebuild {
		// The next rebuild should trip when the unit may act again.
		took, due := t-c.building, math.Max(u.period-(c.building-c.start), 2*Tick)
		c.duty = math.Min(1, c.duty*math.Min(1.5, math.Max(0.5, took/due)))
	}
	c.cycles++
	c.start, c.phase, c.step = t, release, 0
	over := math.Max(0, s.excess+math.Max(0, s.slip-s.due)*u.reference.speed/back)
	quantum := hold * math.Min(largest, math.Max(smallest, gradient*u.period))
	drop := math.Min(w.Spin*over, hold) + quantum + ease
	c.release = math.Min(0.1, drop/(w.Outlet*math.Sqrt(hold+w.Spin*math.Max(0, s.excess))))
}

// holding returns the pressure that wheel i's brake needs for a deceleration.
func (u *Unit) holding(i int, a float64) float64 {
	w := &u.settings.Wheels[i]
	return math.Max(0.5e5, w.Need*a+w.Bend*a*a)
}

// order turns the phase into a valve position; careful holds off a rebuild.
func (c *channel) order(u *Unit, t float64, careful bool) Order {
	switch {
	case c.phase == follow && careful && c.cycles == 0 && u.alert:
		return Order{Valve: hydraulics.Hold, Share: 1}
	case c.phase == follow:
		return Order{hydraulics.Build, 1}
	case c.phase == release:
		share := math.Min(1, math.Max(0, c.release/Tick))
		if c.release <= 0 {
			share = 1
		}
		c.release -= Tick
		return Order{hydraulics.Dump, share}
	case c.phase == wait || careful:
		return Order{Valve: hydraulics.Hold, Share: 1}
	}
	return c.stair(u, t)
}

// stair opens the inlet at the head of each step of the rebuild.
func (c *channel) stair(u *Unit, t float64) Order {
	if due := u.period - (c.building - c.start); t-c.building > 1.5*math.Max(due, 10*Tick) {
		// Tripping is overdue: the ground has got better or the hand eased.
		c.duty = math.Min(1, c.duty*(1+Tick/0.05))
	}
	width := int(math.Min(12, math.Max(1, u.period/(6*Tick))))
	open := c.duty*float64(width) - float64(c.step)
	c.step = (c.step + 1) % width
	if open <= 0 {
		return Order{Valve: hydraulics.Hold, Share: 1}
	}
	return Order{hydraulics.Build, math.Min(1, open)}
}
