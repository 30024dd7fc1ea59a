package replay

import (
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/physics/hydraulics"
)

// Places is where the ride is at a time along what figures run along; slip is the front wheel's.
func (r *Replay) Places(t float64) []kit.Point {
	p := r.At(t)
	list := []kit.Point{{Runs: "time", At: p.Time}, {Runs: "distance", At: p.Position}}
	if p.Speed > crawl {
		list = append(list, kit.Point{Runs: "slip", At: p.Slip})
	}
	return list
}

// Time is the first moment at which the ride is somewhere, found in the record; what it never comes to, it comes to
// last.
func (r *Replay) Time(at kit.Point) float64 {
	column := map[string][]float64{"time": r.Trace.Time, "distance": r.Trace.Position, "slip": r.Trace.FrontSlip}[at.Runs]
	for i, v := range column {
		if v < at.At {
			continue
		}
		if before := i - 1; i > 0 && v > column[before] {
			return r.Trace.Time[before] + (r.Trace.Time[i]-r.Trace.Time[before])*(at.At-column[before])/(v-column[before])
		}
		return r.Trace.Time[i]
	}
	return r.Duration()
}

// Sound is how far the lever is pushed back, as a share of the hardest push of the ride, and how loud a tyre slides.
func (r *Replay) Sound(t float64) (pulse, skid float64) {
	if lever := r.Trace.Lever; len(lever) > 0 {
		most := 0.0
		for _, v := range lever {
			most = max(most, v)
		}
		if i, _ := r.place(t); most > 0 {
			pulse = max(0, lever[i]) / most
		}
	}
	if p := r.At(t); p.Locked[0] || p.Locked[1] {
		skid = min(1, p.Speed/20)
	}
	return pulse, skid
}

// Cycle is the controller's cycle at a time, or the next one, or the last: from one release of the front brake, or of
// the rear one where that alone is released, to the next.
func (r *Replay) Cycle(t float64) (from, to float64, ok bool) {
	for _, valves := range [][]hydraulics.Valve{r.Trace.FrontValve, r.Trace.RearValve} {
		last := -1.0
		for i := range valves {
			if valves[i] != hydraulics.Dump || i > 0 && valves[i-1] == hydraulics.Dump {
				continue
			}
			now := r.Trace.Time[i]
			if last >= 0 {
				from, to, ok = last, now, true
				if to > t {
					return from, to, ok
				}
			}
			last = now
		}
		if ok {
			return from, to, ok
		}
	}
	return 0, 0, false
}
