// Package antilock is the controller that keeps a braked wheel turning.
//
// It is invented, demo: a plain one, built from what the trade has published for
// decades. At the factory it is told what bike it is fitted to: mass, wheels,
// brakes, and when the rear wheel lifts. Every two milliseconds it reads the
// speed of each wheel's rim, the pressures before and behind its valves, and an
// inertial sensor that gives the bike's deceleration, lean and pitch. The
// readings are exact. A real unit times the edges of a ring's teeth, which come
// every 1.8 ms at 80 km/h with 48 teeth, and bridges the gaps with what it knows
// of pressure and inertia; what such an estimate misses is left out here, for it
// teaches nothing about braking. The ground's speed is that of the faster rim
// while both roll, carried on by the deceleration once the brakes are on: so a
// tyre of another size than the unit was told makes the other wheel seem to slip.
// Below the speed at which teeth come less often than every 35 ms, about 4 km/h,
// it leaves the brakes alone, but for a front that is about to lift the rear.
//
// # What a channel does
//
// One three-position valve a wheel, and a state for each:
//
//	            the wheel passes its peak
//	follow ──────────────────────────────▶ release ◀──────────────┐
//	  │                                       │ let go as much    │ it passes its peak again,
//	  │ the front reaches                     ▼ as was too much   │ and a cycle is allowed
//	  │ the lift limit                      wait                  │
//	  │                                       │ the slip comes    │
//	  ▼                                       ▼ back              │
//	rebuild ◀─────────────────────────────────┴──────────▶ rebuild
//
// A unit knows the pressure and how fast the wheel slows, and from them the force
// at the ground. It seeks the peak of the grip by that: while slip grows and the
// grip falls, the wheel is past it. Then a cycle begins: the outlet opens for what
// the brake took more than the tyre gave, for what brings the wheel back in time,
// and for a quantum. The quantum is what the unit rebuilds until it may act again:
// it may begin only so many cycles a second, so a slow one takes a big bite and
// gives it back slowly, a fast one nibbles, and the lever tells. If the wheel does
// not come back, the same release goes on. Where nothing answers to a rebuild, the
// ground has got better, and it goes on ever faster.
//
// Lift control (lift.go) bounds the front's pressure by what the pitch shows to
// be left of the rear's load.
package antilock

import (
	"math"

	"example.org/gripleaf/calculators/physics/extremum"
	"example.org/gripleaf/calculators/physics/hydraulics"
)

// Tick is the unit's clock, s.
const Tick = 0.002

// seldom is the time between teeth beyond which a ring says too little, s: 48
// teeth on a wheel of 0.3 m at 4 km/h. Invented, demo.
const seldom = 0.035

// Wheel is a wheel as the unit was told of it.
type Wheel struct {
	Radius   float64 // m
	Teeth    float64
	Watch    bool    // it has a channel of its own
	Gain     float64 // force at the ground over pressure, N/Pa
	Inertia  float64 // in spin, as a mass at the rim, kg
	Reach    float64 // that the tyre rolls while its force builds, m
	Share    float64 // of the weight at rest
	Transfer float64 // of the weight for each m/s² of deceleration
	// Outlet and Inlet are the valve's orifices over the caliper's fluid
	// uptake: the rate of pressure over √drop, √Pa/s.
	Outlet, Inlet float64
}

// Settings is what a unit is told at the factory.
type Settings struct {
	Rate   float64 // cycles it can start a second, Hz
	Guard  bool    // keep the rear wheel down
	Weight float64 // laden, N
	Lift   Lift
	Wheels [2]Wheel
}

// Senses is what a unit reads at a tick.
type Senses struct {
	Rim       [2]float64 // speed of each rim, at the radius it was told, m/s
	Speed     float64    // of the ground, in the same measure as the faster rim, m/s
	Decel     float64    // of the bike, m/s²
	Upright   float64    // cosine of the lean
	Pitch     float64    // nose down, rad
	PitchRate float64    // rad/s
	Load      [2]float64 // on each tyre, N
	Master    [2]float64 // pressure asked by the hand, Pa
	Caliper   [2]float64 // pressure behind the valve, Pa
}

// Order is what a valve does during the next tick.
type Order struct {
	Valve hydraulics.Valve
	Share float64 // of the tick
}

// Unit is a controller at work. The zero Unit is not usable; see New.
type Unit struct {
	settings Settings
	period   float64    // least time from the start of a cycle to the next, s
	slowest  float64    // speed below which it leaves the brakes alone, m/s
	read     Senses     // at this tick
	rim      [2]float64 // a tick before, m/s
	caliper  [2]float64 // a tick before, Pa
	tread    [2]float64 // slip of each tyre's tread, which follows the wheel's
	channels [2]channel
}

// New returns a unit on a bike that rolls at a speed, in the measure of its
// faster rim, m/s.
func New(s Settings, rim [2]float64) Unit {
	u := Unit{settings: s, period: 1 / s.Rate, rim: rim}
	for i := range u.channels {
		u.channels[i].peak = guess
	}
	for i := range s.Wheels {
		if w := &s.Wheels[i]; w.Watch {
			u.slowest = extremum.Max(u.slowest, 2*math.Pi*w.Radius/(w.Teeth*seldom))
		}
		u.read.Speed = extremum.Max(u.read.Speed, rim[i])
	}
	return u
}

// Cycles returns how many cycles channel i has started.
func (u *Unit) Cycles(i int) int { return u.channels[i].cycles }

// Active reports whether the unit governs the brakes.
func (u *Unit) Active() bool { return u.read.Speed > u.slowest }

// Act takes in what is read at time t and returns the order to each valve.
func (u *Unit) Act(t float64, read *Senses) [2]Order {
	u.read = *read
	for i := range u.tread {
		u.follow(i)
	}
	var orders [2]Order
	for i := range orders {
		switch {
		case u.settings.Wheels[i].Watch && u.Active():
			orders[i] = u.channels[i].act(u, i, t)
		case i == 0 && read.Caliper[0] > u.ceiling():
			orders[i] = Order{hydraulics.Hold, 1}
		default:
			orders[i] = Order{hydraulics.Build, 1}
		}
	}
	u.rim, u.caliper = read.Rim, read.Caliper
	return orders
}

// follow moves the slip of a tyre's tread on by a tick: it comes as the tyre
// rolls on.
func (u *Unit) follow(i int) {
	w, in := &u.settings.Wheels[i], &u.read
	rolled := extremum.Max(in.Speed, in.Rim[i]) * Tick / w.Reach
	u.tread[i] += (1 - in.Rim[i]/in.Speed - u.tread[i]) * rolled / (1 + rolled)
}

// state is what a unit makes of a wheel at a tick.
type state struct {
	slip   float64 // of the wheel
	tread  float64 // slip of the tread on the ground
	rate   float64 // of the slip, 1/s
	excess float64 // deceleration beyond what keeps the slip, m/s²
	load   float64 // on the tyre, N
	force  float64 // at the ground, N
	grip   float64 // their ratio
}

// judge looks at wheel i. What a brake does not spend on slowing its wheel, the
// tyre takes to the ground.
func (u *Unit) judge(i int) state {
	const least = 0.02 // share of the weight that a tyre is taken to carry at the least
	w, in := &u.settings.Wheels[i], &u.read
	slowing := (u.rim[i] - in.Rim[i]) / Tick
	s := state{slip: 1 - in.Rim[i]/in.Speed, tread: u.tread[i]}
	s.excess = slowing - in.Decel*(1-s.slip)
	s.rate = s.excess / in.Speed
	s.load = extremum.Max(least*u.settings.Weight, in.Load[i])
	s.force = 0.5*(in.Caliper[i]+u.caliper[i])*w.Gain - w.Inertia*slowing
	s.grip = s.force / s.load
	return s
}
