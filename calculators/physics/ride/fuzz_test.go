package ride

import (
	"math"
	"testing"

	"example.org/gripleaf/calculators/physics/bike"
	"example.org/gripleaf/calculators/physics/tyre"
)

// FuzzRun rides whatever it is given: an error or a finite result, an account
// that closes, and an end.
func FuzzRun(f *testing.F) {
	f.Add(uint8(0), uint8(0), uint8(7), 22.0, 50.0, 0.3, 1.2, 0.0, 0.0, 8.0, 4.0, 260.0, 1.4, 0.65, 0.48, 0.5, uint8(2), true, uint64(0))
	f.Add(uint8(3), uint8(6), uint8(9), 120.0, 1.0, 0.0, 20.0, 0.01, -0.5, 0.0, 10000.0, 2000.0, 4.0, 2.0, 0.1, 10.0, uint8(1), false, uint64(3))
	f.Add(uint8(1), uint8(7), uint8(6), 1.0, 200.0, 10.0, 0.0, 1.1, 0.5, 0.0, 0.01, 50.0, 0.5, 0.2, 0.9, 0.02, uint8(0), true, uint64(9))
	f.Fuzz(func(t *testing.T, b, ground, patch uint8, speed, rate, rise, demand, lean, grade, start, length, mass, base, height, share, inertia float64, channels uint8, lift bool, seed uint64) {
		bikes, surfaces := bike.Presets(), tyre.Surfaces()
		s := Setup{
			Bike: bikes[int(b)%len(bikes)], Surface: surfaces[int(ground)%len(surfaces)],
			PatchStart: start, PatchLength: length,
			Speed: speed, CycleRate: rate, Rise: rise, Demand: demand, Lean: lean, Grade: grade,
			Channels: Channels(channels % 4), LiftControl: lift,
		}
		if p := surfaces[int(patch)%len(surfaces)]; patch%3 != 0 {
			s.Patch = &p
		}
		s.Bike.Mass, s.Bike.Wheelbase, s.Bike.CGHeight, s.Bike.FrontShare, s.Bike.Front.Inertia = mass, base, height, share, inertia
		if seed%2 == 1 {
			s.Hand = Unsteady(0.3, 0.2, seed)
		}
		r, err := Run(&s, nil)
		if err != nil {
			return
		}
		for what, x := range map[string]float64{
			"distance": r.StoppingDistance, "time": r.BrakingTime, "mean": r.MeanDeceleration, "peak": r.PeakDeceleration,
			"lift": r.LiftHeight, "pulse": r.LeverPulse, "used": r.GripUsed, "load": r.PeakFrontLoad, "ideal": r.IdealDistance,
			"locked": r.FrontLockedTime, "to lock": r.TimeToLock, "brake": r.Energy.Brake, "slip": r.Energy.Slip,
		} {
			// The force of a tyre lags: where a stop of an odd bike is over in a tenth of a second, it gives back more
			// than it took.
			if math.IsNaN(x) || math.IsInf(x, 0) || x < 0 && what != "slip" {
				t.Errorf("%s is %v: %+v", what, x, s)
			}
		}
		// Bikes that could be built are held to this at the usual step by other tests. These leap, and it may be long for that.
		if s.Step = 2e-4; !closes(&r) {
			if r, err = Run(&s, nil); err == nil && !closes(&r) {
				t.Errorf("residual %v of %v J: %+v", r.Energy.Residual, r.Energy.Kinetic, s)
			}
		}
	})
}

// closes reports whether all but a thousandth of the energy is found again that came from motion, and from the slope:
// downhill that is many times as much.
func closes(r *Result) bool {
	return math.Abs(r.Energy.Residual) <= 1e-3*(r.Energy.Kinetic-min(0, r.Energy.Grade))
}
