package replay

import (
	"math"

	"example.org/gripleaf/calculators/physics/ride"
)

// How a bike goes down is drawn and not worked out: the model says that it is likely and when, and rides on upright.
const (
	layingDown = 0.6  // s, until it lies
	lies       = 1.15 // rad over to the side, on its engine and its bar
	tips       = 0.4  // s, in which one that goes over the front comes to stand on its wheel
	standing   = 1.3  // rad of pitch, there
)

// fall lays the bike down from the moment on at which a fall is likely. Over the front, where the record ends, it goes
// on along the road to where it comes to rest.
func (r *Replay) fall(p *Pose, t float64) {
	after := t - r.Result.FallTime
	if r.Result.Fall == ride.Upright || after < 0 {
		return
	}
	p.Down = true
	if r.Result.Fall == ride.OverTheFront {
		r.scrape(p, after)
		after -= tips
	}
	p.Lift *= 1 - eased(after/layingDown)
	p.Roll += (lies - p.Roll) * eased(after/layingDown)
}

// eased goes from 0 to 1 with its argument, gently at both ends.
func eased(x float64) float64 {
	x = max(0, min(1, x))
	return x * x * (3 - 2*x)
}

// scrape moves a bike that has gone over the front: evenly slower until it rests.
func (r *Replay) scrape(p *Pose, after float64) {
	end := r.recorded()
	lasts, way := r.Result.BrakingTime-end, r.Result.StoppingDistance-p.Position
	if share := max(0, 1-after/max(lasts, 1e-9)); lasts > 0 && way > 0 {
		p.Position += way * (1 - share*share)
		p.Speed = 2 * way / lasts * share
	}
	p.Time = end + min(after, max(lasts, 0))
	p.Pitch += (standing - p.Pitch) * eased(after/tips)
	p.Locked = [2]bool{}
	p.Slip, p.Lift = 0, 0
}

// upright is what is left of heights when the bike is over to the side.
func (p *Pose) upright() float64 { return math.Cos(p.Roll) }
