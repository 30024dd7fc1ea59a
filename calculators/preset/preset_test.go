package preset_test

import (
	"math"
	"testing"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/physics/bike"
	"example.org/gripleaf/calculators/physics/ride"
	"example.org/gripleaf/calculators/physics/tyre"
	"example.org/gripleaf/calculators/preset"
	"example.org/gripleaf/calculators/quantity"
)

// whole asks for everything that a simulated stop can be told, and keeps the setup that comes of it.
var whole = kit.Set{{
	ID: "whole", Inputs: preset.Ride(nil, map[string]string{"demand": "95%"}), Presets: preset.Rides(),
	Outputs: []kit.Output{{Name: "mass", Shown: preset.Mass}},
	Work: func(w *kit.Work) error {
		w.Data = preset.Setup(w)
		return nil
	},
}}

func setup(t *testing.T, query string) ride.Setup {
	t.Helper()
	w, err := whole.Work(query)
	if err != nil {
		t.Fatalf("%s: %v", query, err)
	}
	return w.Data.(ride.Setup)
}

// A bike that is chosen is the bike that is ridden, every figure of it.
func TestBikesArriveWhole(t *testing.T) {
	for _, want := range bike.Presets() {
		got := setup(t, "whole?bike="+want.ID).Bike
		if math.Abs(got.Mass-want.Mass) > 1e-9 || math.Abs(got.Front.Radius-want.Front.Radius) > 1e-9 || math.Abs(got.Rear.Suspension.Rate-want.Rear.Suspension.Rate) > 1e-6 ||
			got.Front.Brake != want.Front.Brake || math.Abs(got.FrontShare-want.FrontShare) > 1e-12 || math.Abs(got.Gyration-want.Gyration) > 1e-9 {
			t.Errorf("%s: got %+v, want %+v", want.ID, got, want)
		}
	}
	if got := setup(t, "whole?bike=sport&cg-height=600mm&front-teeth=60").Bike; got.CGHeight != 0.6 || got.Front.Teeth != 60 || got.Wheelbase != 1.39 {
		t.Errorf("overridden: %+v", got)
	}
}

func TestSurfaces(t *testing.T) {
	for _, want := range tyre.Surfaces() {
		if got := setup(t, "whole?surface="+want.ID); got.Surface != want || got.Patch != nil {
			t.Errorf("%s: got %+v", want.ID, got.Surface)
		}
		if preset.SurfaceLabel(want.ID) == "" {
			t.Errorf("%s has no plain name", want.ID)
		}
	}
	s := setup(t, "whole?surface=wet-asphalt&grip=0.6&patch=gravel&patch-start=20m&patch-length=3m")
	if slip, peak := s.Surface.Peak(); math.Abs(peak-0.6) > 1e-12 || slip > 0.2 || s.Patch.ID != "gravel" || s.PatchStart != 20 || s.PatchLength != 3 {
		t.Errorf("got %+v, peak %v", s, peak)
	}
}

func TestSetup(t *testing.T) {
	s := setup(t, "whole?channels=front&cycle-rate=20Hz&rise=0.1s&lift-control=off&lean=20deg&grade=5%&speed=20m/s")
	if s.Channels != ride.Front || s.CycleRate != 20 || s.Rise != 0.1 || s.LiftControl || math.Abs(s.Lean-math.Pi/9) > 1e-12 || math.Abs(math.Tan(s.Grade)-0.05) > 1e-12 || s.Demand != 0.95 {
		t.Errorf("got %+v", s)
	}
}

// What cannot be ridden is told in the reader's words, about an input there is.
func TestRefusal(t *testing.T) {
	w, err := whole.Work("whole")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		err   error
		input string
	}{
		{&ride.RangeError{Input: "speed", Value: 0, Low: 1, High: 2}, "speed"},
		{&ride.RangeError{Input: "rear unsprung mass", Value: 0, Low: 1, High: 2}, "bike"},
		{ride.ErrLean, "lean"}, {ride.ErrNoStop, "demand"}, {ride.ErrUnfit, "bike"},
	} {
		faults := preset.Refusal(w, c.err).(kit.Faults)
		if faults[0].Input != c.input || faults[0].Text == "" || faults[0].Hint == "" {
			t.Errorf("%v: %+v", c.err, faults)
		}
	}
}

func TestTablesHaveAllRows(t *testing.T) {
	b := bike.Presets()[0]
	for _, table := range preset.BikeTables(&b) {
		for _, c := range table.Columns {
			if c.Len() != 2 || c.Heading(&quantity.Reader{}) == "" {
				t.Errorf("%q has %d rows", c.Label, c.Len())
			}
		}
	}
}
