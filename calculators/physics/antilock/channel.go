package antilock

import (
	"math"

	"example.org/gripleaf/calculators/physics/extremum"
	"example.org/gripleaf/calculators/physics/hydraulics"
)

// channel is the unit's hand on one wheel.
type channel struct {
	phase  phase
	cycles int
	start  float64 // of the cycle, s
	open   float64 // time the outlet is still to stand open, s
	best   float64 // greatest grip since the cycle began
	at     float64 // slip at which it was
	peak   float64 // the same of the cycle before
	easing bool    // for the rear's sake, not the wheel's
	grip   float64 // the greatest grip of the cycle before
}

type phase uint8

const (
	follow  phase = iota // the hand's pressure passes through
	release              // dumping
	wait                 // held, the slip is to come back
	rebuild              // climbing to the next trip
)

// How a channel acts; invented, demo.
const (
	past     = 0.02  // share by which the grip falls behind its best when the wheel is past its peak
	hasty    = 0.3   // excess deceleration of such a wheel at the least, m/s²
	settled  = 0.2   // rate of slip at which a wheel rests, 1/s
	patience = 0.15  // time after which a wheel that rests is taken to be back, whatever its slip seems: a tyre may have another size, s
	rolls    = 0.02  // slip up to which no wheel is past its peak
	farthest = 0.50  // slip that is too much wherever the peak is: on loose ground there is none
	ahead    = 0.02  // time by which slip is foreseen, s
	climb    = 0.8   // rebuild a second, of what the tyre held; what that makes in a period, and some to spare, is let go
	spare    = 1.3   // over what is rebuilt in a period, for the road may get worse meanwhile
	back     = 0.08  // time in which a release is to bring the slip back, s
	goal     = 0.7   // of the slip of best grip, to which it is brought back
	twice    = 2     // times the slip of best grip, the same once that is known
	guess    = 0.20  // slip of best grip, until a cycle has shown it
	least    = 0.5e5 // pressure that a tyre is taken to hold at the least, Pa
	quick    = 0.10  // time in which the hand's whole pressure is given back where the wheel hardly slips, s
	hardly   = 0.25  // of the slip of best grip
	calm     = 0.05  // time over which such a wheel must hardly slip, s
	late     = 0.03  // share above what the tyre held from which the ground is taken to have got better
	doubling = 0.03  // time in which the climb then grows e-fold, s
)

// act decides what the valve of wheel i does in the tick from t.
func (c *channel) act(u *Unit, i int, t float64) Order {
	s, p := u.judge(i), u.read.Caliper[i]
	if s.grip > c.best {
		c.best, c.at = s.grip, s.tread
	}
	ceiling := math.Inf(1)
	if i == 0 {
		ceiling = u.ceiling()
	}
	tripped := c.trips(&s)
	free := c.cycles == 0 || t-c.start >= u.period-0.5*Tick
	switch c.phase {
	case follow, rebuild:
		switch {
		case tripped && (free || c.easing): // easing may turn into this
			if c.learn(); free {
				c.begin(t)
			}
			c.easing = false
			c.let(&u.settings.Wheels[i], p, c.holds(u, i, &s)*(1-u.quantum())-c.surplus(u, i, &s))
		case free && p > ceiling*(1+past):
			c.begin(t)
			c.easing = true
			c.let(&u.settings.Wheels[i], p, ceiling)
		case c.phase == follow && p+least > ceiling:
			c.phase = rebuild
		}
	case release:
		if c.open <= 0 {
			c.phase = wait
		}
	case wait:
		switch {
		case c.easing || c.returns(&s) || t-c.start > patience && math.Abs(s.rate) < settled && s.slip < farthest:
			c.phase = rebuild
		case s.rate > -settled && t-c.start > answer:
			c.let(&u.settings.Wheels[i], p, s.force/u.settings.Wheels[i].Gain-c.surplus(u, i, &s))
		}
	}
	return c.order(u, i, &s, tripped, free, ceiling)
}

// answer is the time that a wheel is given to answer a release before more is
// let go, s.
const answer = 0.012

// trips reports whether the wheel is past the peak of its grip, or slips too
// much wherever that is.
func (c *channel) trips(s *state) bool {
	return s.excess > hasty && c.beyond(s) || s.rate > -settled && s.slip+s.rate*ahead > c.far()
}

// beyond reports whether the wheel is on the far side of the peak that this cycle
// has shown.
func (c *channel) beyond(s *state) bool {
	return s.grip < (1-past)*c.best && s.tread > extremum.Max(c.at, rolls)
}

// far returns the slip that is too much on this ground.
func (c *channel) far() float64 { return extremum.Min(farthest, twice*c.peak) }

// returns reports whether the wheel is back on the near side of the peak: slip
// shrinks, and the grip with it.
func (c *channel) returns(s *state) bool {
	falls := s.grip < (1-past)*c.best && s.tread < c.at
	return s.rate < settled && s.slip < c.far() && (falls || s.slip+s.rate*ahead < goal*c.peak)
}

// learn takes in what the cycle that ends has shown of the ground.
func (c *channel) learn() {
	c.peak = extremum.Max(rolls, extremum.Min(c.at, farthest))
	c.grip, c.best, c.at = c.best, 0, 0
}

// holds returns the pressure that the tyre holds, as far as is known, Pa: with its
// present load or the one that this deceleration keeps on it, whichever is less,
// for in a dive the load swings past that and comes back.
func (c *channel) holds(u *Unit, i int, s *state) float64 {
	w := &u.settings.Wheels[i]
	steady := u.settings.Weight * (w.Share + w.Transfer*u.read.Decel)
	return extremum.Max(least, c.grip*extremum.Min(s.load, steady)/w.Gain)
}

// begin starts a cycle.
func (c *channel) begin(t float64) {
	c.cycles++
	c.start = t
}

// let opens the outlet for as long as takes the pressure p to a target, Pa.
func (c *channel) let(w *Wheel, p, target float64) {
	drop := extremum.Max(0, p-extremum.Max(0.05*p, target))
	c.phase, c.open = release, drop/(w.Outlet*hydraulics.Orifice(p-0.5*drop))
}

// surplus returns the pressure by which the brake has to stay below what the
// tyre holds, to bring the slip back in time.
func (c *channel) surplus(u *Unit, i int, s *state) float64 {
	w := &u.settings.Wheels[i]
	return w.Inertia * u.read.Speed * extremum.Max(0, s.slip-goal*c.peak) / (back * w.Gain)
}

// quantum returns what a release takes at the least, as a share of what the
// tyre held: what the unit rebuilds until it may act again, and some to spare.
func (u *Unit) quantum() float64 { return extremum.Min(0.5, spare*climb*u.period) }

// order turns the phase into a valve position.
func (c *channel) order(u *Unit, i int, s *state, tripped, free bool, ceiling float64) Order {
	switch {
	case c.phase == follow:
		return Order{hydraulics.Build, 1}
	case c.phase == release:
		share := extremum.Min(1, c.open/Tick)
		c.open -= Tick
		return Order{hydraulics.Dump, share}
	case c.phase == wait || tripped:
		return Order{hydraulics.Hold, 1}
	}
	p := u.read.Caliper[i]
	rise := extremum.Min(c.rate(u, i, s, free)*Tick, ceiling-p)
	full := u.settings.Wheels[i].Inlet * hydraulics.Orifice(u.read.Master[i]-p) * Tick
	switch {
	case rise <= 0:
		return Order{hydraulics.Hold, 1}
	case rise >= full:
		return Order{hydraulics.Build, 1}
	}
	return Order{hydraulics.Build, rise / full}
}

// rate returns how fast the pressure is to climb, Pa/s.
func (c *channel) rate(u *Unit, i int, s *state, free bool) float64 {
	p := u.read.Caliper[i]
	held := c.holds(u, i, s)
	if c.beyond(s) { // no more than the tyre holds now
		held = extremum.Min(held, s.force/u.settings.Wheels[i].Gain)
		return extremum.Max(0, held*(1-u.quantum())-p) / (2 * Tick)
	}
	rate := climb * held
	if base := held * (1 - u.quantum()); p < base {
		rate = extremum.Max(rate, (base-p)/(2*Tick))
	}
	if !free {
		return rate
	}
	if over := p - (1+late)*held; over > 0 {
		rate += over / doubling
	}
	if s.slip+math.Abs(s.rate)*calm < hardly*c.peak {
		rate = extremum.Max(rate, u.read.Master[i]/quick)
	}
	return rate
}
