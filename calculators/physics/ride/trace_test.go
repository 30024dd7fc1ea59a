package ride

import (
	"math"
	"testing"
)

// The columns of a trace say the same of a stop: slips follow from spins and the speed, changes from rates, the force
// from mass and deceleration.
func TestTraceAgreesWithItself(t *testing.T) {
	for _, channels := range []Channels{None, Both} {
		s := with(on("wet-asphalt"), channels, 50)
		s.Demand = 1.3
		trace := NewTrace(0.002, 8)
		if _, err := Run(&s, trace); err != nil {
			t.Fatal(err)
		}
		b, slipped := &s.Bike, false
		for i := 1; i < len(trace.Time)-1; i++ {
			v, dt := trace.Speed[i], trace.Time[i+1]-trace.Time[i-1]
			if v < 1 {
				break
			}
			between := func(c []float64) float64 { return (c[i+1] - c[i-1]) / dt } // the rate, by central differences
			slipped = slipped || trace.FrontSlip[i] > 0.1
			for what, pair := range map[string][3]float64{
				"front slip":    {trace.FrontSlip[i], 1 - b.Front.Radius*trace.FrontSpin[i]/v, 1e-9},
				"rear slip":     {trace.RearSlip[i], 1 - b.Rear.Radius*trace.RearSpin[i]/v, 1e-9},
				"speed":         {v, between(trace.Position), 0.02},
				"front angle":   {trace.FrontSpin[i], between(trace.FrontAngle), 1},
				"rear angle":    {trace.RearSpin[i], between(trace.RearAngle), 1},
				"all the force": {b.Mass * trace.Deceleration[i], trace.Force[i] + 0.5*airDensity*b.DragArea*v*v + s.Surface.Rolling*(trace.FrontLoad[i]+trace.RearLoad[i]), 1},
			} {
				if math.Abs(pair[0]-pair[1]) > pair[2] {
					t.Fatalf("%v, at %v s: %s is %v and follows to be %v", channels, trace.Time[i], what, pair[0], pair[1])
				}
			}
			if trace.Lean[i] != 0 || trace.FrontForce[i] > trace.Force[i]+2*b.Mass {
				t.Fatalf("%v, at %v s: lean %v, force %v of the front and %v of both", channels, trace.Time[i], trace.Lean[i], trace.FrontForce[i], trace.Force[i])
			}
		}
		if !slipped {
			t.Errorf("%v: no slip to look at", channels)
		}
	}
}

// In a corner of one radius the tangent of the lean is as the square of the speed: tan φ = v²/(g r), the equilibrium of
// a bike in a steady turn (any textbook of vehicle dynamics, from memory).
func TestLeanFallsWithTheSquareOfTheSpeed(t *testing.T) {
	s := on("dry-asphalt")
	s.Lean, s.Demand = 0.35, 0.5
	trace := NewTrace(0.01, 8)
	if _, err := Run(&s, trace); err != nil {
		t.Fatal(err)
	}
	for i, v := range trace.Speed {
		if want := math.Atan(math.Tan(s.Lean) * v * v / (s.Speed * s.Speed)); math.Abs(trace.Lean[i]-want) > 1e-9 {
			t.Fatalf("at %v m/s the lean is %v, want %v", v, trace.Lean[i], want)
		}
	}
	if n := len(trace.Speed); n < 100 || trace.Speed[n-1] > s.Speed/10 {
		t.Errorf("%d samples, the last at %v m/s", n, trace.Speed[n-1])
	}
}
