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
		set := settings(&s, r.tally.limit, &r.plant)
		b := &s.Bike
		if set.Rate != 40 || set.Mass != b.Mass || set.Guard != s.LiftControl || set.Lift != r.tally.limit.Lift {
			t.Errorf("%v: %+v", channels, set)
		}
		// ½·ρ·(drag area), by which the air slows a kilogram at 1 m/s; ISO 2533 has 1.225 kg/m³ at sea level.
		if want := 0.5 * 1.225 * b.DragArea / b.Mass; math.Abs(set.Drag-want) > 1e-12 {
			t.Errorf("%v: drag %v, want %v", channels, set.Drag, want)
		}
		w := set.Wheels
		if w[0].Share != b.FrontShare || math.Abs(w[0].Share+w[1].Share-1) > 1e-12 {
			t.Errorf("%v: shares of the weight %v and %v", channels, w[0].Share, w[1].Share)
		}
		// h/(L·g), of the weight, goes from the rear to the front for each m/s².
		if want := b.CGHeight / (b.Wheelbase * 9.80665); math.Abs(w[0].Transfer-want) > 1e-12 || w[1].Transfer != -w[0].Transfer {
			t.Errorf("%v: transfer %v and %v, want ±%v", channels, w[0].Transfer, w[1].Transfer, want)
		}
		for i, e := range []struct{ radius, teeth, inertia, gain, uptake float64 }{
			{b.Front.Radius, b.Front.Teeth, b.Front.Inertia, b.Front.Brake.Gain(), b.Front.Brake.Uptake},
			{b.Rear.Radius, b.Rear.Teeth, b.Rear.Inertia, b.Rear.Brake.Gain(), b.Rear.Brake.Uptake},
		} {
			m := r.plant.end[i].modulator
			for what, pair := range map[string][2]float64{
				"radius": {w[i].Radius, e.radius}, "teeth": {w[i].Teeth, e.teeth}, "inertia": {w[i].Inertia * e.radius * e.radius, e.inertia},
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
