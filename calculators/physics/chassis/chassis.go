// Package chassis says how braking moves load from the rear tyre to the front:
// at rest and in a steady stop by statics, on the way there by springs and
// dampers. Lengths are in metres, forces in newtons, all in the plane of
// symmetry.
package chassis

import "math"

// Balance is the statics of a bike on its two tyres.
type Balance struct {
	Weight     float64 // of bike and rider, across the road, N
	Wheelbase  float64
	CGHeight   float64
	FrontShare float64 // of the weight on the front tyre at rest
}

// Front returns the horizontal distance from the front contact back to the
// centre of mass, wheelbase times the rear's share.
func (b Balance) Front() float64 { return b.Wheelbase * (1 - b.FrontShare) }

// Loads returns the tyre loads under a braking force at the ground,
//
//	front = share·weight + force·height/wheelbase
//
// and never less than nothing on the rear: beyond the lift limit the front
// carries all. (Cossalter, Motorcycle Dynamics, ch. 8: statics.)
func (b Balance) Loads(force float64) (front, rear float64) {
	front = b.FrontShare*b.Weight + force*b.CGHeight/b.Wheelbase
	front = math.Max(0, math.Min(front, b.Weight))
	return front, b.Weight - front
}

// Lift returns the braking force that takes the last load off the rear tyre:
// weight times the distance of the centre of mass behind the front contact
// over its height.
func (b Balance) Lift() float64 { return b.Weight * b.Front() / b.CGHeight }

// Suspension is the spring and damper of one end, as the wheel feels them.
type Suspension struct {
	Rate        float64 // of the spring, N/m
	Preload     float64 // force at full extension, N
	Travel      float64 // from full extension to the end of the stroke, m
	Compression float64 // damping while the wheel rises, N·s/m
	Rebound     float64 // damping while it falls, N·s/m
}

// The ends of the stroke, invented, demo: a top-out spring that is stiffer than
// the main one, and a bump rubber over the last part of the travel.
const (
	topOut    = 8    // rate 10 % of the travel beyond full extension over the spring's
	bumpShare = 0.15 // of the travel has the rubber
	bumpRate  = 6    // of the rubber at the end of the travel over the spring's
)

// Rubber returns the compression at which the bump rubber begins.
func (s *Suspension) Rubber() float64 { return (1 - bumpShare) * s.Travel }

// Spring returns the static force at a compression from full extension,
// negative where the top-out spring pulls.
func (s *Suspension) Spring(x float64) float64 {
	force := s.Preload + s.Rate*x
	if x < 0 {
		return force - topOut*s.Rate/(0.2*s.Travel)*x*x
	}
	if d := x - (1-bumpShare)*s.Travel; d > 0 {
		// Force grows with the square of the squeeze: rate grows from nothing.
		force += 0.5 * bumpRate * s.Rate / (bumpShare * s.Travel) * d * d
	}
	return force
}

// Energy returns what the spring holds at a compression, relative to full
// extension, J.
func (s *Suspension) Energy(x float64) float64 {
	energy := (s.Preload + 0.5*s.Rate*x) * x
	if x < 0 {
		return energy - topOut*s.Rate/(0.2*s.Travel)*x*x*x/3
	}
	if d := x - (1-bumpShare)*s.Travel; d > 0 {
		energy += 0.5 * bumpRate * s.Rate / (bumpShare * s.Travel) * d * d * d / 3
	}
	return energy
}

// Damper returns the force at a speed of compression, m/s. It passes from one
// rate to the other over a few centimetres a second, as shims do, and has no
// corner to trip an integration.
func (s *Suspension) Damper(speed float64) float64 {
	const blend = 0.03 // m/s
	mean, half := 0.5*(s.Compression+s.Rebound), 0.5*(s.Compression-s.Rebound)
	return mean*speed + half*(math.Sqrt(speed*speed+blend*blend)-blend)
}

// At returns the compression at which the spring gives a force. The spring
// stiffens without end, so there is always one.
func (s *Suspension) At(force float64) float64 {
	lo, hi := -1.0, 1.0
	for s.Spring(lo) > force {
		lo *= 2
	}
	for s.Spring(hi) < force {
		hi *= 2
	}
	for range 60 {
		mid := 0.5 * (lo + hi)
		if s.Spring(mid) < force {
			lo = mid
		} else {
			hi = mid
		}
	}
	return 0.5 * (lo + hi)
}
