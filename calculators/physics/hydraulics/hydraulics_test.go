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

// Build fills towards the master, hold keeps, dump empties to the accumulator:
// as many small steps through Orifice do, to 1e-8.
func TestFilling(t *testing.T) {
	m := Standard()
	const uptake, steps = 0.8e-13, 2000
	for _, c := range []struct {
		valve         Valve
		share         float64
		master, slope float64
		caliper       float64
	}{
		{Build, 1, 30e5, 0, 10e5}, {Build, 0.3, 30e5, 0, 29.9e5}, {Build, 1, 10e5, 0, 30e5}, {Build, 1, 5e5, 60e5, 5e5},
		{Build, 1, 5e5, -60e5, 5e5}, {Build, 1, 5e5, 2000e5, 5e5}, {Hold, 1, 30e5, 60e5, 10e5}, {Dump, 1, 30e5, 0, 10e5}, {Dump, 0.1, 30e5, 60e5, 0.5e5}, {Dump, 1, 0, 0, m.Accumulator},
	} {
		var f Filling
		f.Begin(&m, c.valve, 0.002, c.share, uptake, c.master, c.slope, c.caliper)
		duration := min(0.002, f.Lasts())
		rate := func(at, p float64) float64 {
			switch c.valve {
			case Build:
				return c.share * m.Inlet / uptake * Orifice(c.master+c.slope*at-p)
			case Dump:
				return -c.share * m.Outlet / uptake * Orifice(p-m.Accumulator)
			}
			return 0
		}
		p, h := c.caliper, duration/steps
		for n := range steps {
			at := float64(n) * h
			a := rate(at, p)
			b := rate(at+h/2, p+h/2*a)
			e := rate(at+h/2, p+h/2*b)
			p += h / 6 * (a + 2*b + 2*e + rate(at+h, p+h*e))
		}
		if got := f.At(duration); math.Abs(got-p) > 1e-8*math.Abs(c.caliper-c.master)+0.01 {
			t.Errorf("%+v: %.6f Pa, small steps come to %.6f", c, got, p)
		}
	}
}
