package antilock

import "example.org/gripleaf/calculators/physics/extremum"

// reference is the unit's guess of the ground speed. The faster wheel is taken
// to roll, unless brakes and air could not have slowed the bike so much: then
// both wheels are slipping, and the reference falls only as fast as they could.
// What slows the bike besides, a hill or deep sand, shows when a wheel that has
// been let go comes back to less than the reference.
type reference struct {
	speed float64
	decel float64 // explained and learned, m/s²
	extra float64 // learned, m/s²
	age   float64 // since a wheel met the reference, s
}

// How far the explanation is trusted; invented, demo, tuned to the demo bikes.
const (
	lag       = 0.007 // by which the pressure is held back to match the wheels' rates, s
	smoothing = 0.015 // of the explained deceleration, s
	slack     = 1.05  // of the explained deceleration that the reference may fall by
	margin    = 0.07  // that it may fall by besides, m/s²
	trust     = 0.26  // share of the lifting deceleration up to which a fast rear wheel is believed
)

// believable is the largest deceleration taken for true: 1.3 g, more than
// rubber holds on any road. Invented, demo.
const believable = 12.75

// follow moves the reference on by a tick, given the fastest trusted wheel and
// the deceleration that the brakes explain.
func (r *reference) follow(fastest, explained float64) {
	r.decel += (explained + r.extra - r.decel) * Tick / smoothing
	r.speed = extremum.Max(0, r.speed-extremum.Min(believable, slack*r.decel+margin)*Tick)
	if r.age += Tick; fastest >= r.speed {
		r.learn(r.speed - fastest)
		// A wheel let go swings past the ground's speed: do not jump after it.
		r.speed, r.age = extremum.Min(fastest, r.speed+2*believable*Tick), 0
	}
}

// rolls tells the reference that a wheel rolls: the ground moves at its speed or
// a little faster.
func (r *reference) rolls(speed float64) {
	if short := r.speed - 1.01*speed; short > 0 {
		r.learn(short)
		r.speed -= short
	}
	r.age = 0
}

// learn takes in by how much the reference had come to stand above the ground's
// speed since it was last sure.
func (r *reference) learn(above float64) {
	const long = 0.25 // s: before that an error says more of the wheel than of the ground
	if r.age > long {
		r.extra = extremum.Min(extremum.Max(r.extra+0.5*above/r.age, -0.3), 3)
	}
}
