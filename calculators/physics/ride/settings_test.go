package ride

import (
	"math"
	"testing"
)

// What the maker tells the control unit about the bike is what the bike is.
func TestSettings(t *testing.T) {
	watched := map[Channels][2]bool{Front: {true, false}, Both: {true, true}}
	for channels, watch := range watched {
		s := with(on("dry-asphalt"), channels, 40)
		var r run
		r.start(&s, nil)
		set := r.settings()
		b := &s.Bike
		if set.Rate != 40 || math.Abs(set.Weight-b.Mass*9.80665) > 1e-9 || set.Guard != s.LiftControl {
			t.Errorf("%v: %+v", channels, set)
		}
		w := set.Wheels
		if w[0].Share != b.FrontShare || math.Abs(w[0].Share+w[1].Share-1) > 1e-12 {
			t.Errorf("%v: shares of the weight %v and %v", channels, w[0].Share, w[1].Share)
		}
		// h/(L·g), of the weight, goes from the rear to the front for each m/s².
		if want := b.CGHeight / (b.Wheelbase * 9.80665); math.Abs(w[0].Transfer-want) > 1e-12 || w[1].Transfer != -w[0].Transfer {
			t.Errorf("%v: transfer %v and %v, want ±%v", channels, w[0].Transfer, w[1].Transfer, want)
		}
		for i, e := range []struct{ radius, teeth, inertia, reach, gain, uptake float64 }{
			{b.Front.Radius, b.Front.Teeth, b.Front.Inertia, b.Front.Relaxation, b.Front.Brake.Gain(), b.Front.Brake.Uptake},
			{b.Rear.Radius, b.Rear.Teeth, b.Rear.Inertia, b.Rear.Relaxation, b.Rear.Brake.Gain(), b.Rear.Brake.Uptake},
		} {
			m := r.plant.end[i].modulator
			for what, pair := range map[string][2]float64{
				"radius": {w[i].Radius, e.radius}, "teeth": {w[i].Teeth, e.teeth}, "inertia": {w[i].Inertia * e.radius * e.radius, e.inertia}, "reach": {w[i].Reach, e.reach},
				"gain": {w[i].Gain * e.radius, e.gain}, "outlet": {w[i].Outlet * e.uptake, m.Outlet}, "inlet": {w[i].Inlet * e.uptake, m.Inlet},
			} {
				if math.Abs(pair[0]-pair[1]) > 1e-12*math.Abs(pair[1]) {
					t.Errorf("%v, wheel %d: %s %v, want %v", channels, i, what, pair[0], pair[1])
				}
			}
			if w[i].Watch != watch[i] {
				t.Errorf("%v, wheel %d: watched %v", channels, i, w[i].Watch)
			}
		}
	}
}

// A steady pull at the front brake that brings about the pitch and the force at which the unit takes the rear wheel to
// lift leaves the rear tyre all but unloaded, and twice as far below it does not.
func TestLiftAsTold(t *testing.T) {
	for _, grade := range []float64{0, 0.1, -0.1} {
		s := on("dry-asphalt")
		s.Grade, s.Rise = math.Atan(grade), 1.5
		s.Bike.Front.Suspension.Compression *= 2 // the dive dies away in time
		var r run
		r.start(&s, nil)
		lift := liftOf(&s, &r.plant)
		r.demand = [2]float64{0.99 * (lift.Force*s.Bike.Front.Radius + s.Bike.Front.Inertia/s.Bike.Front.Radius*lift.Force/s.Bike.Mass) / r.plant.end[front].gain, 0}
		for r.time < 2 {
			r.tick()
		}
		load := r.plant.out[rear].load / (s.Bike.Mass * 9.80665)
		if load > 0.04 || load < 0 || math.Abs(r.y[pitch]/lift.Pitch-1) > 0.05 {
			t.Errorf("slope %v: with 99 %% of the lifting force the rear carries %.3f of the weight, the pitch is %.4f of %.4f", grade, load, r.y[pitch], lift.Pitch)
		}
	}
}
