package antilock

import (
	"example.org/gripleaf/calculators/physics/extremum"
	"example.org/gripleaf/calculators/physics/hydraulics"
)

// channel is the unit's hand on one wheel.
type channel struct {
	phase    phase
	cycles   int
	start    float64 // of the cycle, s
	building float64 // start of the rebuild, s
	release  float64 // time the outlet is still to stand open, s
	last     float64 // pressure at the last trip, Pa
	base     float64 // pressure at the start of the rebuild, Pa
	drop     float64 // of pressure across the open inlet, as learned, Pa
	mark     float64 // pressure when the drop was last looked at, Pa
	opened   float64 // time the inlet has been told to open since, s
	sounding bool    // let go to find the ground's speed
	gaining  float64 // when the wheel last gained speed, s
	loaded   float64 // when its brake was last more than lightly on, s
	lenience float64 // how much more slip this ground has shown to bear
	trail    float64 // force at the ground, following late, N
	early    float64 // force at the ground when the slip was well below what is due, N
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
	force  float64 // at the ground, N
	due    float64 // slip that the bike's deceleration justifies
	trip   bool    // the wheel is on its way to locking
	near   bool    // it is about to trip
}

// judge looks at wheel i. A tyre gives its grip at little slip where there is
// little grip to give, so what slip and rate are too much depends on how hard
// the bike is slowing; and a slow unit must be careful early.
func (u *Unit) judge(i int) state {
	a := u.reference.decel
	s := state{
		slip:   1 - u.speed[i]/u.reference.speed,
		excess: -u.rate[i] - a,
		due:    (dueLeast + dueGrowth*a) * extremum.Min(1-slowCare*extremum.Min(0.3, u.period), fastCare+slowCare*u.period),
	}
	if i == 1 {
		s.due *= rearShare
	}
	s.due *= u.channels[i].lenience
	rate := excessLeast + excessGrowth*a + blind/extremum.Max(1, u.reference.speed)
	w := &u.settings.Wheels[i]
	s.force = u.felt[i]*w.Gain + w.Inertia*u.rate[i]
	s.trip = s.slip > s.due && s.excess > rate || s.deep(0) && (s.excess > -0.2*rate || s.slip > 0.9)
	s.near = s.slip > s.due && s.excess > nearly*rate
	return s
}

// bare is a pressure that hardly brakes, Pa: the accumulator's and a little.
const bare = 0.5e5

// rolls reports whether wheel i has been let go, or was never held, and has had
// time to come back to the ground's speed.
func (u *Unit) rolls(i int, t float64) bool {
	c := &u.channels[i]
	switch {
	case u.rate[i] > 0.5+0.15*u.reference.decel:
		c.gaining = t
	case u.pressure[i] > extremum.Max(bare, light*c.last):
		c.loaded = t
	}
	return t-c.loaded > settled && t-c.gaining > 0.01
}

// sounds reports whether wheel i is to be let go far enough to roll, because
// none has met the reference for a while: the rear if it is governed.
func (u *Unit) sounds(i int) bool {
	c, both := &u.channels[i], u.settings.Wheels[0].Watch && u.settings.Wheels[1].Watch
	if both && i == 0 || c.phase == follow || c.phase == release || u.pressure[i] < extremum.Max(2*bare, light*c.last) {
		return false
	}
	if c.sounding {
		return false
	}
	patience := doubtAlone
	if both {
		patience = doubt
	}
	return u.reference.age > patience
}

// deep reports whether the wheel slips far more than is due.
func (s *state) deep(more float64) bool { return s.slip > tooFar*s.due+0.03+more }

// act decides what the valve of wheel i does in the tick from t.
func (c *channel) act(u *Unit, i int, t float64) Order {
	s := u.judge(i)
	since := t - c.start
	free := c.cycles == 0 || since >= u.period-0.5*Tick
	ease := 0.0
	if i == 0 && (c.cycles == 0 || since >= answerLoad) {
		ease = u.ease()
	}
	c.watch(&s)
	switch c.phase {
	case follow, rebuild:
		if free && (s.trip || ease > 0 || u.sounds(i)) {
			c.begin(u, i, t, &s, ease)
		} else if c.phase == follow && i == 0 && u.alert {
			c.restore(t, u.pressure[i])
		}
	case release:
		if c.release <= 0 && !(s.deep(runaway) && (s.excess > 0 || s.slip > 0.9)) {
			c.phase = wait
		}
	case wait:
		if free && since >= answer && (s.trip || ease > 0 || u.sounds(i)) {
			c.begin(u, i, t, &s, ease)
		} else if c.sounding && since < listen {
			c.sounding = !u.rolls(i, t)
		} else if ease == 0 && s.slip+s.excess*foresight/u.reference.speed < s.due {
			if c.early = 0; c.sounding {
				c.sounding, u.reference.age = false, 0
			}
			c.restore(t, u.pressure[i])
		}
	}
	return c.order(u, i, t, s.trip || s.near || i == 0 && u.alert)
}

// watch follows the force at the ground: what it was as the slip passed well
// below what is due, and whether it still surges.
func (c *channel) watch(s *state) {
	switch {
	case s.slip < early*s.due:
		c.early = 0
	case c.early == 0:
		c.early = s.force
	}
	c.trail += (s.force - c.trail) * Tick / trailing
	// While the force still surges with the hand, the tyre is not past its peak.
	if s.force > (1+surge)*c.trail && s.slip < bears*s.due {
		s.trip, s.near = false, false
	}
}

// adapt learns from a trip: if the force at the ground was still growing with
// slip, this ground bears more of it, and if it was falling, less.
func (c *channel) adapt(s *state) {
	if c.early <= 0 {
		return
	}
	switch gain := s.force / c.early; {
	case gain > grows:
		c.lenience = extremum.Min(mostSlip, c.lenience*moreSlip)
	case gain < 1:
		c.lenience = extremum.Max(leastSlip, c.lenience*lessSlip)
	}
	c.early = 0
}

// restore begins a rebuild.
func (c *channel) restore(t, pressure float64) {
	c.phase, c.building, c.step = rebuild, t, 0
	c.base, c.mark, c.opened = pressure, pressure, 0
	if c.last == 0 {
		c.last = pressure
	}
	if c.drop == 0 {
		c.drop = 0.3 * c.last
	}
}

// gauge learns the pressure drop across the inlet from what it has let in.
func (c *channel) gauge(w *Wheel, pressure float64) {
	const enough = 0.002 // s of open inlet
	if c.opened < enough {
		return
	}
	flow := extremum.Max(0, pressure-c.mark) / (w.Inlet * c.opened)
	c.drop = extremum.Min(4*c.drop, extremum.Max(0.25*c.drop, hydraulics.Drop(flow)))
	c.mark, c.opened = pressure, 0
}

// begin starts a cycle: it opens the outlet for what the wheel's own
// deceleration shows to be too much, for what brings it back in time, and for
// the quantum that the unit can give back until it may act again.
func (c *channel) begin(u *Unit, i int, t float64, s *state, ease float64) {
	w, now, sound := &u.settings.Wheels[i], u.pressure[i], u.sounds(i)
	if c.phase != wait && !sound {
		c.last = extremum.Max(now, forget*c.last)
	}
	c.cycles++
	if c.phase != wait && !sound {
		c.adapt(s)
	}
	c.start, c.phase, c.step = t, release, 0
	over := s.excess + extremum.Max(0, s.slip-s.due)*u.reference.speed/back
	drop := extremum.Min(w.Inertia/w.Gain*extremum.Max(0, over), 0.7*now) + u.quantum()*now + ease
	if c.sounding = sound; sound {
		drop = extremum.Max(drop, letGo*now)
	}
	drop = extremum.Min(drop, 0.95*now)
	c.release = drop / (w.Outlet * hydraulics.Orifice(now-0.5*drop))
}

// quantum returns what a release takes at the least, as a share of the
// pressure: what the unit can rebuild until it may act again.
func (u *Unit) quantum() float64 {
	return extremum.Min(largest, extremum.Max(smallest, bite*u.period))
}

// holding returns the pressure of the front for a deceleration that the front
// brings about alone.
func (u *Unit) holding(a float64) float64 { return u.settings.Mass * a / u.settings.Wheels[0].Gain }

// order turns the phase into a valve position; shy holds off a rebuild.
func (c *channel) order(u *Unit, i int, t float64, shy bool) Order {
	switch {
	case c.phase == follow:
		return Order{hydraulics.Build, 1}
	case c.phase == release:
		return c.dump()
	case c.phase == wait || shy:
		return Order{Valve: hydraulics.Hold, Share: 1}
	}
	return c.stair(u, i, t)
}

// dump opens the outlet for the time that was worked out, and after that for as
// long as the wheel asks.
func (c *channel) dump() Order {
	share := 1.0
	if c.release > 0 {
		share = extremum.Min(1, c.release/Tick)
	}
	c.release -= Tick
	return Order{hydraulics.Dump, share}
}

// stair opens the inlet at the head of each step of the rebuild, for as long as
// the last step has shown it to take.
func (c *channel) stair(u *Unit, i int, t float64) Order {
	now := u.pressure[i]
	rate := bite * c.last
	if now < (0.95-u.quantum())*c.last {
		rate = quick * c.last
	}
	if late := t - c.building - (1-c.base/c.last)/bite; late > overdue {
		// Tripping is overdue: the ground has got better, or the hand eased.
		rate *= 1 + late/hurry
	}
	if i == 0 {
		rate = extremum.Min(rate, u.patience())
	}
	width := int(extremum.Min(12, extremum.Max(1, u.period/(6*Tick))))
	c.gauge(&u.settings.Wheels[i], now)
	full := u.settings.Wheels[i].Inlet * hydraulics.Orifice(extremum.Max(c.drop, 0.05e5))
	open := extremum.Min(1, rate/full)*float64(width) - float64(c.step)
	c.step = (c.step + 1) % width
	if open <= 0 {
		return Order{Valve: hydraulics.Hold, Share: 1}
	}
	open = extremum.Min(1, open)
	c.opened += open * Tick
	return Order{hydraulics.Build, open}
}
