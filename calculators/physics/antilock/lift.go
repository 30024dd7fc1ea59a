package antilock

import (
	"math"

	"example.org/gripleaf/calculators/physics/extremum"
)

// Lift says when the rear wheel of a bike leaves the ground, upright. In a lean
// the centre of mass is lower and the limit higher.
type Lift struct {
	Force  float64 // of the front tyre at the ground that takes the last load off the rear, N
	Height float64 // of the centre of mass with what stops the wheels' own spin, m
	Spin   float64 // of that, the wheels' part, m
	Pitch  float64 // nose down, at which the rear tyre just touches, rad
}

// How the rear is kept down; invented, demo. The pitch that is foreseen bounds
// the force: at the limit's pitch to a little less than lifts, beyond it to less
// with every degree.
const (
	lead   = 0.09 // time by which the pitch is foreseen, s
	most   = 0.98 // share of the lifting force, and of the pitch, that is held in the end
	slow   = 0.30 // less of it for each second between cycles: who can seldom let go keeps away
	within = 6.0  // share of the lifting force by which the bound moves, for each radian
)

// ceiling returns the greatest pressure of the front for the rear's sake, Pa.
func (u *Unit) ceiling() float64 {
	if !u.settings.Guard {
		return math.Inf(1)
	}
	l := &u.settings.Lift
	force := l.Force * l.Height / ((l.Height-l.Spin)*u.read.Upright + l.Spin)
	keep := most - slow*u.period
	room := keep*l.Pitch - u.read.Pitch - lead*u.read.PitchRate
	return extremum.Max(0, force*(keep+within*room)) / u.settings.Wheels[0].Gain
}
