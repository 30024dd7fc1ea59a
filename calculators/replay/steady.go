package replay

import (
	"math"

	"example.org/gripleaf/calculators/physics/bike"
	"example.org/gripleaf/calculators/physics/hydraulics"
	"example.org/gripleaf/calculators/physics/ride"
	"example.org/gripleaf/calculators/quantity"
)

// Steady is a stop without a simulation behind it: constant speed (m/s) while the rider reacts (s), then one constant
// deceleration (m/s², above 0), wheels rolling, the rear one on the road. Places count from where the reason was seen.
// The nose dives as the springs have it, as fast as it can without swinging.
func Steady(b bike.Bike, speed, reaction, deceleration float64) *Replay {
	const interval = 0.01 // s
	end := reaction + speed/deceleration
	t := &ride.Trace{Interval: interval}
	for i := 0; ; i++ {
		now := min(float64(i)*interval, end)
		braked := max(0, now-reaction)
		v := speed - float64(deceleration*braked)
		at := float64(speed*min(now, reaction)) + float64((speed+v)/2*braked)
		t.Time, t.Position, t.Speed = append(t.Time, now), append(t.Position, at), append(t.Speed, max(0, v))
		t.FrontAngle, t.RearAngle = append(t.FrontAngle, at/b.Front.Radius), append(t.RearAngle, at/b.Rear.Radius)
		down, up := dive(&b, deceleration, braked)
		t.Pitch, t.Heave = append(t.Pitch, down), append(t.Heave, up)
		if now == end {
			break
		}
	}
	none := make([]float64, len(t.Time))
	t.Lift, t.FrontSlip, t.RearSlip = none, none, none
	shut := make([]hydraulics.Valve, len(t.Time))
	t.FrontValve, t.RearValve = shut, shut
	return &Replay{Setup: &ride.Setup{Bike: b, Speed: speed}, Trace: t, Reaction: reaction}
}

// dive is how far the nose is down (rad) and the centre of mass up (m) some seconds after braking has begun. The load
// that moves forward, mass·a·height/wheelbase, is taken up by the springs (Cossalter, Motorcycle Dynamics, ch. 8:
// statics), by a motion at the natural frequency in pitch that is damped just enough not to swing.
func dive(b *bike.Bike, deceleration, after float64) (down, up float64) {
	moved := b.Mass * min(deceleration*b.CGHeight/b.Wheelbase, quantity.StandardGravity*(1-b.FrontShare))
	front, rear := b.Front.Suspension.Rate, b.Rear.Suspension.Rate
	ahead, behind := b.Wheelbase*(1-b.FrontShare), b.Wheelbase*b.FrontShare
	x := after * math.Sqrt((front*ahead*ahead+rear*behind*behind)/b.Mass) / b.Gyration
	share := -math.Expm1(-x) - float64(x*(1+math.Expm1(-x)))
	return share * (moved/front + moved/rear) / b.Wheelbase, share * (moved/rear*ahead - moved/front*behind) / b.Wheelbase
}
