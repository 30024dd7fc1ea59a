package bike

import (
	"math"
	"testing"
)

// The default is the roadster that the calculators promise.
func TestDefault(t *testing.T) {
	b := Presets()[0]
	if b.ID != "roadster" || b.Mass != 260 || b.Wheelbase != 1.4 || b.CGHeight != 0.65 || b.FrontShare != 0.48 {
		t.Errorf("default is %+v", b)
	}
}

// The invented bikes are of the size of published ones.
func TestPlausible(t *testing.T) {
	for _, b := range Presets() {
		for _, c := range []struct {
			what           string
			got, low, high float64
			source         string
		}{
			{"drag area", b.DragArea, 0.18, 0.7, "Cossalter, Motorcycle Dynamics (second hand)"},
			{"height over wheelbase", b.CGHeight / b.Wheelbase, 0.35, 0.56, "J. R. Davis: 0.50 tourer, 0.55 sport; lower is invented"},
			{"front wheel inertia", b.Front.Inertia, 0.2, 0.7, "Sharp 1994: 0.58"},
			{"rear wheel inertia", b.Rear.Inertia, 0.3, 1.0, "Sharp 1994: 0.74"},
			{"teeth", b.Front.Teeth, 40, 100, "common practice, no source"},
			{"front sag over travel", sag(&b.Front, b.Mass*b.FrontShare) / b.Front.Suspension.Travel, 0.2, 0.45, "common practice, no source"},
			{"rear sag over travel", sag(&b.Rear, b.Mass*(1-b.FrontShare)) / b.Rear.Suspension.Travel, 0.15, 0.45, "common practice, no source"},
		} {
			if c.got < c.low || c.got > c.high {
				t.Errorf("%s: %s is %.3f, want %v to %v (%s)", b.ID, c.what, c.got, c.low, c.high, c.source)
			}
		}
	}
}

func sag(e *End, mass float64) float64 {
	return e.Suspension.At((mass - e.Unsprung) * 9.80665)
}

// A hand of 120 N brings a front brake near the grip of dry asphalt
// (200 N is the most that regulations allow: UN R78, from memory).
func TestHandForce(t *testing.T) {
	for _, b := range Presets() {
		force := b.Front.Brake.Gain() * b.Front.Brake.Pressure(200) / b.Front.Radius
		if force < b.Mass*9.80665*0.6 {
			t.Errorf("%s: 200 N at the lever brake with %.0f N, weight %.0f N", b.ID, force, b.Mass*9.80665)
		}
	}
}

func TestFind(t *testing.T) {
	for _, b := range Presets() {
		if got, ok := Find(b.ID); !ok || got.Name != b.Name || math.IsNaN(got.Mass) {
			t.Errorf("Find(%q) = %v, %v", b.ID, got.Name, ok)
		}
	}
	if _, ok := Find("bicycle"); ok {
		t.Error("found a bicycle")
	}
}
