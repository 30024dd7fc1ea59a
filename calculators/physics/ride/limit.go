package ride

// The textbook bounds of a stop, in closed form: what grip and balance allow,
// and the brake torque that a demand of 100 % stands for.

import (
	"math"

	"example.org/gripleaf/calculators/physics/chassis"
	"example.org/gripleaf/calculators/physics/tyre"
)

// airDensity is that of the ISO standard atmosphere at sea level, kg/m³
// (ISO 2533:1975).
const airDensity = 1.225

// Limit is the hardest stop that grip and balance allow on the first surface,
// in the lean of the start and without the air's help.
type Limit struct {
	Grip         float64 // deceleration with both tyres at their peak, m/s²
	Lift         float64 // deceleration that takes the last load off the rear tyre, m/s²
	Deceleration float64 // the lower of the two, m/s²
	FrontForce   float64 // that the front tyre could hold at it, N
	RearForce    float64 // that the rear tyre could hold at it, N
	FrontTorque  float64 // of the brake that brings the front tyre there, N·m
	RearTorque   float64 // of the brake that brings the rear tyre there, N·m
	Demand       float64 // that brings the limit's deceleration about: 1 where grip is the limit, less where balance is
}

// LimitOf returns the limit of a stop. The wheels' own spin must be stopped
// too: it adds ΣI·a/R to the pitching moment, which takes about 2 % off the
// textbook's lift limit g·b/h, and I·a/R to each brake's torque.
func LimitOf(s *Setup) Limit {
	return limitOn(s, newSurface(&s.Surface), math.Tan(math.Abs(s.Lean)))
}

// limitOn returns the limit on a surface, in a lean of a tangent.
func limitOn(s *Setup, ground surface, lean float64) Limit {
	b := &s.Bike
	weight := b.Mass * Gravity * math.Cos(s.Grade)
	along := b.Mass * Gravity * math.Sin(s.Grade)
	drag := ground.Rolling * weight
	left := ground.peak * tyre.Left(lean, ground.peak)
	spin := b.Front.Inertia/b.Front.Radius + b.Rear.Inertia/b.Rear.Radius

	// In a lean the machine is lower by the lean's cosine.
	stat := chassis.Balance{Weight: weight, Wheelbase: b.Wheelbase, CGHeight: b.CGHeight / math.Sqrt(1+lean*lean), FrontShare: b.FrontShare}
	h := stat.CGHeight + spin/b.Mass
	lift := (weight*stat.Front() - (stat.CGHeight-b.Front.Radius)*drag - spin*(drag+along)/b.Mass) / h
	force := math.Min(left*weight, lift)
	decel := func(force float64) float64 { return (force + drag + along) / b.Mass }
	a := decel(force)
	front, rear := stat.Loads(force + (drag*(stat.CGHeight-b.Front.Radius)+spin*a)/stat.CGHeight)
	l := Limit{
		Grip: decel(left * weight), Lift: decel(lift), Deceleration: a,
		FrontForce: left * front, RearForce: left * rear,
		FrontTorque: left*front*b.Front.Radius + b.Front.Inertia*a/b.Front.Radius,
		RearTorque:  rearTorque(left*rear, a, b.Rear.Radius, b.Rear.Inertia),
	}
	alone := (force-l.RearForce)*b.Front.Radius + b.Front.Inertia*a/b.Front.Radius
	l.Demand = math.Min(1, alone/l.FrontTorque)
	return l
}

// rearTorque asks nothing of a rear brake whose tyre carries nothing.
func rearTorque(force, a, radius, inertia float64) float64 {
	if force <= 0 {
		return 0
	}
	return force*radius + inertia*a/radius
}

// Ideal returns the distance of a stop at the limit from the first instant to the
// last, with the air helping, m: no stop of this bike on this road can be shorter.
// Where the lean falls or the ground changes on the way, so does the limit.
func Ideal(s *Setup) float64 {
	k := 0.5 * airDensity * s.Bike.DragArea / s.Bike.Mass
	u := s.Speed * s.Speed
	if s.Lean == 0 && s.Patch == nil {
		a := LimitOf(s).Deceleration
		if k < 1e-9 {
			return u / (2 * a)
		}
		return math.Log1p(k*u/a) / (2 * k)
	}
	r := newRoad(s)
	ground, patch := newSurface(&s.Surface), newSurface(&s.Surface)
	if s.Patch != nil {
		patch = newSurface(s.Patch)
	}
	lean := math.Tan(math.Abs(s.Lean)) / u // over the speed squared, for the radius is kept
	slows := func(x, u float64) float64 {
		return limitOn(s, r.best(x, ground, patch), lean*u).Deceleration + k*u
	}
	return glide(u, slows)
}

// glide returns how far a body goes whose speed squared is u, m²/s², and which at
// a place and a speed squared slows by so much, m/s²: by Heun's method, in a
// thousand steps of equal loss of speed squared, short of the last one.
func glide(u float64, slows func(x, u float64) float64) float64 {
	const steps = 1000
	x, lost := 0.0, u/steps
	for range steps {
		first := lost / (2 * math.Max(1e-3, slows(x, u)))
		u = math.Max(0, u-lost)
		x += 0.5 * (first + lost/(2*math.Max(1e-3, slows(x+first, u))))
	}
	return x
}
