package antilock

// How the unit keeps the rear wheel on the ground without a sensor for load.
// It carries a picture of the dive: load moves to the front a tenth of a second
// after the brake, and swings past where it settles. From that it foresees the
// load and holds or eases the front in time; and a rear wheel that runs on
// while the bike slows tells it that it was late.

import (
	"math"

	"example.org/gripleaf/calculators/physics/extremum"
)

// When the rear is looked after; invented, demo, tuned to the demo bikes.
const (
	lead      = 0.065 // time by which the load is foreseen, s
	alertAt   = 0.93  // share of the lifting deceleration from which the front is held
	easeAt    = 1.17  // from which it is eased
	easeTo    = 1.04  // to which it is eased
	floatEase = 0.05  // share of the pressure let go when the rear floats already
	// answerLoad is the time that the load is given to answer one easing, s.
	answerLoad = 0.08
	easeSpan   = 0.29 // share over which the rebuild is slowed before the front is held
)

// diveDamping is the picture's damping, of critical.
const diveDamping = 0.45

// feelRear notes whether the rear wheel floats: it runs on as it was while the
// bike slows, for too little load rests on it to slow it.
func (u *Unit) feelRear() {
	w, c := &u.settings.Wheels, &u.channels[1]
	if !w[0].Watch || !w[1].Watch {
		return
	}
	faster, a := u.speed[1] > 1.01*u.speed[0], u.reference.decel
	if u.floats {
		u.floats = faster && u.rate[1] > -0.8*a
		return
	}
	u.floats = faster && c.phase != wait && c.phase != release && a > 5 && u.rate[1] > -0.35*a && u.rate[1] < 3
}

// foresee moves the picture of the dive on by a tick.
func (u *Unit) foresee() {
	lift, a := u.settings.Lift, u.reference.decel
	n := u.settings.Dive
	u.diving += (n*n*(a-u.dive) - 2*diveDamping*n*u.diving) * Tick
	u.dive += u.diving * Tick
	u.ahead = u.dive + lead*u.diving
	u.alert = u.settings.Guard && (u.floats || u.ahead > alertAt*lift)
}

// ease returns the pressure by which the front is to be eased for the rear's
// sake.
func (u *Unit) ease() float64 {
	switch lift := u.settings.Lift; {
	case !u.settings.Guard:
		return 0
	case u.floats:
		return u.holding(u.dive) * floatEase
	case u.ahead > easeAt*lift:
		return extremum.Max(0, u.holding(extremum.Min(u.ahead, 1.2*lift))-u.holding(easeTo*lift))
	}
	return 0
}

// patience returns how fast the front may be rebuilt, Pa/s: slower the less load
// is left on the rear.
func (u *Unit) patience() float64 {
	if !u.settings.Guard {
		return math.Inf(1)
	}
	room := alertAt - u.ahead/u.settings.Lift
	return bite * extremum.Max(0.05, room/easeSpan) * u.holding(u.settings.Lift)
}
