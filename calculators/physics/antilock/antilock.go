// Package antilock is the controller that keeps a braked wheel turning.
//
// It is invented, demo: a plain one, built from what the trade has published for
// decades, and tuned to these bikes. It sees only what a real one sees: the edges
// of one or two toothed rings, and the pressure in the calipers it governs, as
// valve blocks with a sensor in each circuit do. It moves only what a real one
// moves, one three-position valve a wheel. At the factory it is told what bike it
// is fitted to: mass, wheels, brakes, teeth, and the deceleration that lifts the
// rear wheel. It never sees the ground's speed or a tyre's load.
//
// From pressures and wheel rates it works out how much of the bike's slowing the
// brakes explain, and takes the faster wheel for the ground's speed unless that
// wheel slows more than is explained; now and then it lets a wheel go to make
// sure (reference.go). A channel passes the hand's pressure through until its
// wheel trips: it slips more than the bike's deceleration justifies and slows
// faster than the bike. Then begins a cycle: release a quantum, hold until the
// wheel has come back, rebuild in steps until it trips again (channel.go). A unit
// can start only so many cycles a second. What it releases at once is what it can
// rebuild until it may act again: a slow one must take a big bite and give it
// back slowly, a fast one nibbles, and the lever tells. From trips that come
// while the force at the ground still grows it learns that this ground bears more
// slip. A picture of the dive tells it when the rear is about to lift (rear.go).
package antilock

import (
	"math"

	"example.org/gripleaf/calculators/physics/extremum"
	"example.org/gripleaf/calculators/physics/hydraulics"
)

// Tick is the unit's clock, s.
const Tick = 0.002

// creep is the speed below which the unit leaves the brakes alone: 4 km/h.
const creep = 4 / 3.6

// Wheel is a wheel as the unit was told of it.
type Wheel struct {
	Radius   float64 // m
	Teeth    float64
	Watch    bool    // it has a channel of its own
	Gain     float64 // force at the ground over pressure, N/Pa
	Inertia  float64 // in spin, as a mass at the rim, kg
	Share    float64 // of the weight at rest
	Transfer float64 // of the weight for each m/s² of deceleration
	// Outlet and Inlet are the valve's orifices over the caliper's fluid
	// uptake: the rate of pressure over √drop, √Pa/s.
	Outlet, Inlet float64
}

// Settings is what a unit is told at the factory.
type Settings struct {
	Rate   float64 // cycles it can start a second, Hz
	Lift   float64 // deceleration that lifts the rear wheel, m/s²
	Guard  bool    // keep the rear wheel down
	Mass   float64 // laden, kg
	Drag   float64 // deceleration over speed², 1/m
	Dive   float64 // natural frequency of the dive, rad/s
	Wheels [2]Wheel
}

// Order is what a valve does during the next tick.
type Order struct {
	Valve hydraulics.Valve
	Share float64 // of the tick
}

// Unit is a controller at work. The zero Unit is not usable; see New.
type Unit struct {
	settings  Settings
	period    float64
	rings     [2]Ring
	speed     [2]float64 // of the wheels' rims, m/s
	rate      [2]float64 // m/s²
	pressure  [2]float64 // in the calipers, Pa
	felt      [2]float64 // the same, as late as the wheels' rates are
	reference reference
	channels  [2]channel
	dive      float64 // deceleration that the load has answered to, m/s²
	diving    float64 // its rate, m/s³
	ahead     float64 // what it will answer to in a moment, m/s²
	floats    bool    // the rear wheel is in the air
	alert     bool    // it soon may be
}

// New returns a unit on a bike that rolls at a speed, m/s.
func New(s Settings, speed float64) Unit {
	u := Unit{settings: s, period: 1 / s.Rate}
	u.reference = reference{speed: speed}
	for i := range u.rings {
		u.rings[i] = newRing(s.Wheels[i], speed)
		u.channels[i].lenience = 1
	}
	return u
}

// Turn tells the unit that wheel i turned from angle a at spin wa to angle b at
// spin wb, in rad and rad/s, between times t and t+h. Only the edges of its
// ring are kept.
func (u *Unit) Turn(i int, t, h, a, wa, b, wb float64) {
	if u.settings.Wheels[i].Watch {
		u.rings[i].turn(t, h, a, wa, b, wb)
	}
}

// Cycles returns how many cycles channel i has started.
func (u *Unit) Cycles(i int) int { return u.channels[i].cycles }

// Speed returns the unit's guess of the ground speed, m/s.
func (u *Unit) Speed() float64 { return u.reference.speed }

// Active reports whether the unit governs the brakes: not below 4 km/h.
func (u *Unit) Active() bool { return u.reference.speed > creep }

// Act reads the rings and the calipers' pressures at time t and returns the
// order to each valve.
func (u *Unit) Act(t float64, pressure [2]float64) [2]Order {
	u.read(t, pressure)
	var orders [2]Order
	for i := range orders {
		orders[i] = Order{hydraulics.Build, 1}
		if u.settings.Wheels[i].Watch && u.Active() {
			orders[i] = u.channels[i].act(u, i, t)
		}
	}
	return orders
}

// read works out wheel speeds, the reference, and whether the rear is lifting.
func (u *Unit) read(t float64, pressure [2]float64) {
	for i, p := range pressure {
		u.pressure[i] = p
		u.felt[i] += (p - u.felt[i]) * Tick / lag
	}
	for i := range u.rings {
		if u.settings.Wheels[i].Watch {
			u.speed[i], u.rate[i] = u.rings[i].read(t)
		}
	}
	u.feelRear()
	u.reference.follow(u.fastest(), u.explained())
	for i := range u.channels {
		if u.settings.Wheels[i].Watch && u.rolls(i, t) {
			// Should the other run faster, it rolls, and this one is only on its way.
			u.reference.rolls(extremum.Max(u.speed[i], u.speed[1-i]))
		}
	}
	u.foresee()
}

// explained returns the deceleration that brakes and air explain, m/s². What a
// brake does not spend on stopping its wheel, the tyre takes to the ground. A
// brake that is not watched is taken to work as hard, for its load, as the one
// that is.
func (u *Unit) explained() float64 {
	s := &u.settings
	var force [2]float64 // over mass
	for i := range force {
		w := &s.Wheels[i]
		force[i] = (u.felt[i]*w.Gain + w.Inertia*u.rate[i]) / s.Mass
	}
	a := force[0] + force[1]
	for i := range force {
		if !s.Wheels[1-i].Watch {
			w := &s.Wheels[i]
			a = share(force[i], w.Share, w.Transfer)
		}
	}
	return extremum.Max(0, a) + s.Drag*u.reference.speed*u.reference.speed
}

// share returns the deceleration at which a wheel that carries share of the
// weight at rest, and transfer more for each m/s², takes force of it.
func share(force, share, transfer float64) float64 {
	if force <= 0 || math.Abs(transfer*force) < 1e-9 {
		return force / share
	}
	d := share*share + 4*transfer*force
	if d < 0 {
		return believable
	}
	return extremum.Min(believable, (math.Sqrt(d)-share)/(2*transfer))
}

// fastest returns the speed of the faster wheel, leaving out a rear wheel with
// so little load that it runs on by itself.
func (u *Unit) fastest() float64 {
	w := &u.settings.Wheels
	light := u.floats || u.ahead > trust*u.settings.Lift
	switch {
	case !w[0].Watch:
		return u.speed[1]
	case !w[1].Watch, light && u.speed[1] > u.speed[0]:
		return u.speed[0]
	}
	return extremum.Max(u.speed[0], u.speed[1])
}
