package replay

import (
	"example.org/gripleaf/calculators/physics/bike"
	"example.org/gripleaf/calculators/physics/hydraulics"
	"example.org/gripleaf/calculators/physics/ride"
)

// Steady is a stop without a simulation behind it: constant speed (m/s) while the rider reacts (s), then one constant
// deceleration (m/s², above 0), wheels rolling and the chassis level. Places count from where the reason was seen.
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
		if now == end {
			break
		}
	}
	level := make([]float64, len(t.Time))
	t.Pitch, t.Heave, t.Lift, t.FrontSlip, t.RearSlip = level, level, level, level, level
	shut := make([]hydraulics.Valve, len(t.Time))
	t.FrontValve, t.RearValve = shut, shut
	return &Replay{Setup: &ride.Setup{Bike: b, Speed: speed}, Trace: t}
}
