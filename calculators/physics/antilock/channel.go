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
	bite     float64 // by how much more than its quantum a release takes
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
	tripSlip = 0.13 // slip at which a wheel that slows too fast trips
	deepSlip = 0.30 // slip that trips whatever the wheel does
	backSlip = 0.08 // slip at which a held wheel counts as back
	tripRate = 4.0  // deceleration beyond the reference's that is too fast, m/s²
	grabRate = 35.0 // deceleration that no gripping wheel has, m/s²
	gradient = 1.7  // of the rebuild, of the holding pressure a second
	largest  = 0.40 // quantum of a release, of the holding pressure
	leastFor = 0.02 // quantum of the fastest unit
)

// back reports whether a wheel that was gaining speed has stopped gaining.
func (c *channel) back(rate float64) bool {
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
	slip := 1 - u.speed[i]/u.reference.speed
	rate := u.rate[i]
	lifting := i == 0 && u.alert
	trip := c.trips(slip, rate, u.reference.deceleration()) || lifting
	free := c.cycles == 0 || t-c.start >= u.period
	switch c.phase {
	case follow, rebuild:
		if trip && free {
			c.begin(u, i, t)
		}
	case release:
		if c.release <= 0 && !(slip > deepSlip && rate < 0) {
			c.phase = wait
		}
	case wait:
		switch {
		case trip && free && rate < -u.reference.deceleration():
			c.bite = math.Min(8, 1.6*c.bite)
			c.begin(u, i, t)
		case !trip && (slip < backSlip || rate > 0 && slip < tripSlip):
			c.phase, c.building, c.step = rebuild, t, 0
		}
	}
	return c.order(u, i, t, trip)
}

// trips reports whether a wheel is on its way to locking.
func (c *channel) trips(slip, rate, decel float64) bool {
	return slip > deepSlip ||
		slip > tripSlip && rate < -(decel+tripRate) ||
		slip > 0.05 && rate < -grabRate
}

// begin starts a cycle: it learns from the rebuild that has just ended and
// opens the outlet for a quantum.
func (c *channel) begin(u *Unit, i int, t float64) {
	hold := u.holding(i)
	w := &u.settings.Wheels[i]
	switch {
	case c.duty == 0:
		c.duty = math.Min(1, 2*gradient*math.Sqrt(hold)/w.Inlet)
		c.bite = 1
	case c.phase == rebuild:
		// The next rebuild should trip when the unit may act again.
		took, due := t-c.building, math.Max(u.period-(c.building-c.start), 2*Tick)
		c.duty = math.Min(1, c.duty*math.Min(1.5, math.Max(0.5, took/due)))
		c.bite = math.Max(1, 0.7*c.bite)
	}
	c.cycles++
	c.start, c.phase, c.step = t, release, 0
	quantum := c.bite * math.Min(largest, math.Max(leastFor, gradient*u.period))
	c.release = math.Min(0.1, quantum*math.Sqrt(hold)/w.Outlet)
}

// holding returns the pressure that the wheel's brake needs for the
// deceleration the bike has.
func (u *Unit) holding(i int) float64 {
	w, a := &u.settings.Wheels[i], u.reference.deceleration()
	return math.Max(1e5, w.Need*a+w.Bend*a*a)
}

// order turns the phase into a valve position.
func (c *channel) order(u *Unit, i int, t float64, trip bool) Order {
	switch c.phase {
	case follow:
		return Order{hydraulics.Build, 1}
	case release:
		share := 1.0
		if c.release > 0 {
			share = math.Min(1, c.release/Tick)
		}
		c.release -= Tick
		return Order{hydraulics.Dump, share}
	case rebuild:
		if trip {
			return Order{Valve: hydraulics.Hold, Share: 1}
		}
		return c.stair(u, t)
	}
	return Order{Valve: hydraulics.Hold, Share: 1}
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
