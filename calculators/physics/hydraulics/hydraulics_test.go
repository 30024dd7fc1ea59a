package hydraulics

import (
	"math"
	"testing"
)

// A lever multiplies force and a wide piston multiplies it again: OpenStax,
// College Physics, module m42193: 100 N on a pedal of ratio 5 is 500 N on a
// master of 0.500 cm, and 1.25e4 N on a wheel cylinder of 2.50 cm (printed, seen).
func TestOpenStaxHydraulics(t *testing.T) {
	c := Circuit{LeverRatio: 5, MasterDiameter: 0.00500, Pistons: 1, PistonDiameter: 0.0250}
	if got := c.Clamp(c.Pressure(100)); math.Abs(got-1.25e4) > 1 {
		t.Errorf("clamp %v N, printed 1.25e4", got)
	}
}

// Torque counts both faces of every disc.
func TestGain(t *testing.T) {
	c := Circuit{Discs: 2, Pistons: 2, PistonDiameter: 0.03, PadFriction: 0.45, DiscRadius: 0.125}
	if got, want := c.Gain()*30e5, 2*c.Clamp(30e5)*2*0.45*0.125; math.Abs(got-want) > 1e-9 {
		t.Errorf("torque %v, want %v", got, want)
	}
}

func TestOrifice(t *testing.T) {
	for _, drop := range []float64{0.1e5, 1e5, 10e5} {
		if got := Drop(Orifice(drop)); math.Abs(got/drop-1) > 1e-12 {
			t.Errorf("the drop that passes what %v Pa passes is %v Pa", drop, got)
		}
	}
	for _, drop := range []float64{40e5, 100e5} {
		if got, want := Orifice(drop), math.Sqrt(drop); math.Abs(got/want-1) > 0.03 {
			t.Errorf("a drop of %v Pa passes %v, the square root is %v", drop, got, want)
		}
		if Orifice(-drop) != -Orifice(drop) {
			t.Error("flow is not odd in the drop")
		}
	}
	if small := Orifice(1) / Orifice(2); math.Abs(small-0.5) > 1e-4 {
		t.Errorf("a small drop is not linear: ratio %v", small)
	}
}

// Build fills towards the master, hold keeps, dump empties to the accumulator.
func TestFlow(t *testing.T) {
	m := Standard()
	for _, c := range []struct {
		valve  Valve
		master float64
		p      float64
		sign   float64
	}{{Build, 30e5, 10e5, 1}, {Build, 10e5, 30e5, -1}, {Hold, 30e5, 10e5, 0}, {Dump, 30e5, 10e5, -1}, {Dump, 30e5, m.Accumulator, 0}} {
		q := m.Flow(c.valve, 1, c.master, c.p)
		if q != 0 && math.Signbit(q) != math.Signbit(c.sign) || (q == 0) != (c.sign == 0) {
			t.Errorf("valve %d at %v and %v Pa passes %v", c.valve, c.master, c.p, q)
		}
		if half := m.Flow(c.valve, 0.5, c.master, c.p); half != q/2 {
			t.Errorf("half the time passes %v of %v", half, q)
		}
	}
}
