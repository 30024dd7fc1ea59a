package ride

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"example.org/gripleaf/calculators/physics/bike"
	"example.org/gripleaf/calculators/physics/hydraulics"
	"example.org/gripleaf/calculators/physics/tyre"
)

// scenario is one stop of testdata/reference/reference.json.
type scenario struct {
	Name     string
	Surface  string
	Speed    float64
	Rise     float64
	Pressure [2]float64
	Patch    *struct {
		Surface       string
		Start, Length float64
	}
	Valves []struct {
		Time     float64
		End      int
		Position string
	}
	Result struct {
		Distance, Time float64
		FrontLocked    float64 `json:"front_locked"`
		RearLocked     float64 `json:"rear_locked"`
		FrontPressure  float64 `json:"front_pressure"`
		FrontLoad      float64 `json:"front_load"`
		RearLoad       float64 `json:"rear_load"`
		Pitch, Fork    float64
		Lift           float64
	}
}

// ride solves a scenario with the package's own integrator: plain line
// pressures and a valve that moves by the clock.
func (sc *scenario) ride(t *testing.T, step float64) (run, map[string]float64) {
	b, _ := bike.Find("roadster")
	ground, ok := tyre.Find(sc.Surface)
	if !ok {
		t.Fatalf("no surface %q", sc.Surface)
	}
	s := Setup{Bike: b, Surface: ground, Speed: sc.Speed, Rise: sc.Rise, Demand: 1, Step: step}
	if sc.Patch != nil {
		p, _ := tyre.Find(sc.Patch.Surface)
		s.Patch, s.PatchStart, s.PatchLength = &p, sc.Patch.Start, sc.Patch.Length
	}
	var r run
	r.start(&s, nil)
	r.demand = sc.Pressure
	peak := map[string]float64{"rear load": math.Inf(1)}
	for r.y[speed] > standing {
		for _, v := range sc.Valves {
			if math.Abs(v.Time-r.time) < 1e-9 {
				r.plant.in[v.End].valve = map[string]hydraulics.Valve{"build": hydraulics.Build, "hold": hydraulics.Hold, "dump": hydraulics.Dump}[v.Position]
			}
		}
		r.tick()
		if err := r.lost(); err != nil {
			t.Fatal(err)
		}
		out := &r.plant.out
		peak["front load"] = max(peak["front load"], out[front].load)
		peak["rear load"] = min(peak["rear load"], out[rear].load)
		peak["pitch"] = max(peak["pitch"], r.y[pitch])
		peak["fork"] = max(peak["fork"], out[front].compression)
		peak["lift"] = max(peak["lift"], out[rear].lift)
	}
	return r, peak
}

// TestAgreesWithSciPy compares whole stops with an independent solution of the
// same equations (testdata/reference): within 0.01 % in distance, a tick in time and 1 %
// in peaks.
func TestAgreesWithSciPy(t *testing.T) {
	data, err := os.ReadFile("testdata/reference/reference.json")
	if err != nil {
		t.Fatal(err)
	}
	var all []scenario
	if err := json.Unmarshal(data, &all); err != nil {
		t.Fatal(err)
	}
	if len(all) < 6 {
		t.Fatalf("%d scenarios, want at least 6", len(all))
	}
	for _, sc := range all {
		t.Run(sc.Name, func(t *testing.T) {
			r, peak := sc.ride(t, 0)
			want := &sc.Result
			t.Logf("distance is %.5f m, %+.1e of SciPy's away", r.y[travel], r.y[travel]/want.Distance-1)
			for _, c := range []struct {
				what           string
				got, want      float64
				relative, less float64
			}{
				{"distance", r.y[travel], want.Distance, 1e-4, 0},
				{"time", r.time, want.Time, 1e-4, 0.001},
				{"front locked", r.plant.locked[front], want.FrontLocked, 1e-3, 0.002},
				{"rear locked", r.plant.locked[rear], want.RearLocked, 1e-3, 0.002},
				{"front pressure at the end", r.y[pressureF], want.FrontPressure, 1e-3, 100},
				{"peak front load", peak["front load"], want.FrontLoad, 1e-2, 0},
				{"least rear load", peak["rear load"], want.RearLoad, 1e-2, 1},
				{"peak pitch", peak["pitch"], want.Pitch, 1e-2, 0},
				{"peak fork travel", peak["fork"], want.Fork, 1e-2, 0},
				{"peak lift", peak["lift"], want.Lift, 1e-2, 1e-4},
			} {
				if off := math.Abs(c.got - c.want); off > c.relative*math.Abs(c.want)+c.less {
					t.Errorf("%s is %.6g, SciPy has %.6g", c.what, c.got, c.want)
				}
			}
		})
	}
}
