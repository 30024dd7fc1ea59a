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
	pressure float64 // in the caliper, by the unit's own account, Pa
	target   float64 // to release to, Pa
	last     float64 // pressure at the last trip, Pa
	base     float64 // pressure at the start of the rebuild, Pa
	inlet    float64 // rate of pressure with the inlet open, as learned, Pa/s
	open     float64 // time the inlet has stood open in this rebuild, s
	lenience float64 // how much more slip this ground has shown to bear
	worst    float64 // slip of the wheel in this cycle
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

// state is what a channel makes of its wheel at a tick.
type state struct {
	slip   float64
	excess float64 // deceleration beyond the bike's, m/s²
	due    float64 // slip that the bike's deceleration justifies
	trip   bool    // the wheel is on its way to locking
	near   bool    // it is about to trip
}

// judge looks at wheel i. A tyre gives its grip at little slip where there is
// little grip to give, so what slip and rate are too much depends on how hard
// the bike is slowing; and a slow unit must be careful early.
func (u *Unit) judge(i int) state {
	a := u.reference.deceleration()
	s := state{
		slip:   1 - u.speed[i]/u.reference.speed,
		excess: -u.rate[i] - a,
		due:    (tune.DueBase + tune.DueSlope*a) * (1 - tune.SlowCare*math.Min(0.3, u.period)),
	}
	if i == 1 {
		s.due *= tune.RearShare
	}
	s.due *= u.channels[i].lenience
	rate := tune.RateBase + tune.RateSlope*a
	s.trip = s.slip > s.due && s.excess > rate || s.slip > s.due+tune.Deep && s.excess > -0.2*rate
	s.near = s.slip > s.due && s.excess > tune.Near*rate
	return s
}

// sounder reports whether channel i is the one that tells the ground's speed
// when no wheel has come back for a while: the rear if it can be released.
func (u *Unit) sounder(i int) bool {
	return u.settings.Wheels[1].Watch == (i == 1) && u.reference.age > tune.Refresh
}

// sounds reports whether wheel i should be eased for a moment to see whether it
// still rolls at the ground's speed. Two wheels that creep towards locking
// together, or one alone, look like a gentle stop on a good road; a bike that
// slows hard and evenly needs no sounding.
func (u *Unit) sounds(i int) bool {
	if !u.sounder(i) || u.reference.smooth < 0.25 {
		return false
	}
	return u.reference.smooth < 7 || !u.settings.Wheels[1].Watch && u.reference.learned == 0
}

// returned reports whether a released wheel rolls again: it was gaining speed
// and has stopped gaining, or it has long had nothing to gain.
func (c *channel) returned(t, rate, decel float64) bool {
	switch {
	case c.phase != wait && c.phase != rebuild:
		c.rising = false
		return false
	case rate > 0.5+0.15*decel:
		c.rising = true
		return false
	case c.rising && rate <= 0:
		c.rising = false
		return true
	}
	return c.phase == wait && t-c.start > tune.Settled && rate < 0 && rate > -believable
}

// act decides what the valve of wheel i does in the tick from t.
func (c *channel) act(u *Unit, i int, t float64) Order {
	s := u.judge(i)
	since := t - c.start
	free := c.cycles == 0 || since >= u.period-0.5*Tick
	ease := 0.0
	if i == 0 {
		ease = u.ease()
	}
	c.worst = math.Max(c.worst, s.slip)
	switch c.phase {
	case follow, rebuild:
		if free && (s.trip || ease > 0 || u.sounds(i)) {
			c.begin(u, i, t, &s, ease)
		} else if c.phase == follow && i == 0 && u.alert {
			c.meter(u, t)
		}
	case release:
		if c.pressure <= c.target && !(s.slip > s.due+tune.Deep && s.excess > 0) {
			c.phase = wait
		}
	case wait:
		if free && since >= tune.Answer && s.trip {
			c.begin(u, i, t, &s, ease)
		} else if ease == 0 && s.slip+s.excess*tune.Foresee/u.reference.speed < s.due {
			c.adapt(s.due, since)
			c.phase, c.building, c.step, c.open, c.base = rebuild, t, 0, 0, c.pressure
		}
	}
	return c.order(u, i, t, s.trip || s.near || i == 0 && u.alert)
}

// adapt learns from how a wheel came back: at once, and it was not past the
// peak of grip, so this ground bears more slip; late, and it was well past.
func (c *channel) adapt(due, took float64) {
	switch {
	case took < tune.Easy && c.worst < 1.6*due:
		c.lenience = math.Min(tune.MaxLenience, c.lenience*tune.Ease)
	case took > tune.Hard || c.worst > due+tune.Deep:
		c.lenience = math.Max(0.8, c.lenience*tune.Tighten)
	}
}

// meter begins to let the hand's pressure in with care.
func (c *channel) meter(u *Unit, t float64) {
	now := u.holding(0, u.reference.deceleration())
	c.inlet = u.settings.Wheels[0].Inlet * math.Sqrt(0.3*now)
	c.phase, c.building, c.step, c.open = rebuild, t, 0, 0
	c.last, c.base, c.pressure = now, now, now
}

// begin starts a cycle: it learns from the rebuild that has just ended and
// opens the outlet for what the wheel's own deceleration shows to be too much,
// for what brings it back in time, and for the quantum that the unit can give
// back until it may act again.
func (c *channel) begin(u *Unit, i int, t float64, s *state, ease float64) {
	hold := u.holding(i, u.reference.deceleration())
	w := &u.settings.Wheels[i]
	now := hold + math.Min(hold, w.Spin*math.Max(0, s.excess))
	switch {
	case c.inlet == 0:
		c.inlet = w.Inlet * math.Sqrt(0.3*hold)
	case c.phase == rebuild && c.open > 0:
		// What was released has been rebuilt: so fast does the inlet fill.
		f := (now - c.base) / (c.inlet * c.open)
		c.inlet *= math.Min(1.5, math.Max(0.6, f))
	case c.phase == wait:
		now = math.Max(c.pressure, 0.5*now)
	}
	if c.phase != wait || c.last == 0 {
		c.last = now
	}
	c.cycles++
	c.start, c.phase, c.step, c.pressure, c.worst = t, release, 0, now, s.slip
	quantum := u.quantum()
	if u.sounder(i) {
		quantum = math.Max(quantum, tune.RefreshBite)
	}
	over := s.excess + math.Max(0, s.slip-s.due)*u.reference.speed/tune.Back
	c.target = math.Max(0, now-math.Min(w.Spin*math.Max(0, over), 0.7*now)-quantum*now-ease)
}

// quantum returns what a release takes at the least, as a share of the
// pressure: what the unit can rebuild until it may act again.
func (u *Unit) quantum() float64 {
	return math.Min(tune.Largest, math.Max(tune.Smallest, tune.Bite*u.period))
}

// holding returns the pressure that wheel i's brake needs for a deceleration.
func (u *Unit) holding(i int, a float64) float64 {
	w := &u.settings.Wheels[i]
	return math.Max(0.3e5, w.Need*a+w.Bend*a*a)
}

// order turns the phase into a valve position; shy holds off a rebuild.
func (c *channel) order(u *Unit, i int, t float64, shy bool) Order {
	switch {
	case c.phase == follow:
		return Order{hydraulics.Build, 1}
	case c.phase == release:
		return c.dump(&u.settings.Wheels[i])
	case c.phase == wait || shy:
		return Order{Valve: hydraulics.Hold, Share: 1}
	}
	return c.stair(u, i, t)
}

// dump opens the outlet until the caliper is at the target, and after that for
// as long as the wheel asks.
func (c *channel) dump(w *Wheel) Order {
	full := w.Outlet * math.Sqrt(math.Max(c.pressure, 1e4)) * Tick
	share := 1.0
	if left := c.pressure - c.target; left > 0 && left < full {
		share = left / full
	}
	c.pressure = math.Max(0, c.pressure-share*full)
	return Order{hydraulics.Dump, share}
}

// stair opens the inlet at the head of each step of the rebuild.
func (c *channel) stair(u *Unit, i int, t float64) Order {
	rate := tune.Bite * c.last
	if c.pressure < (0.95-u.quantum())*c.last {
		rate = tune.Quick * c.last
	}
	if late := t - c.building - (1-c.base/c.last)/tune.Bite; late > tune.LateBy {
		// Tripping is overdue: the ground has got better, or the hand eased.
		rate *= 1 + late/tune.LateGrow
	}
	if i == 0 {
		rate = math.Min(rate, u.patience()*c.last)
	}
	width := int(math.Min(12, math.Max(1, u.period/(6*Tick))))
	open := math.Min(1, rate/c.inlet)*float64(width) - float64(c.step)
	c.step = (c.step + 1) % width
	if open <= 0 {
		return Order{Valve: hydraulics.Hold, Share: 1}
	}
	open = math.Min(1, open)
	c.open += open * Tick
	c.pressure += open * Tick * c.inlet
	return Order{hydraulics.Build, open}
}
