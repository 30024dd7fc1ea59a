package antilock_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"example.org/gripleaf/calculators/antilock"
	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/kit/kittest"
	"example.org/gripleaf/calculators/quantity"
)

var set = kit.Set{&antilock.Calculator}

var stops = []string{
	"antilock", "antilock?channels=none&demand=80%", "antilock?surface=gravel", "antilock?surface=wet-asphalt&channels=front",
	"antilock?surface=wet-asphalt&patch=gravel&patch-start=10m", "antilock?bike=tourer&lean=20deg",
}

// The numbers of one stop hang together: v² = 2·a·s, no stop beats the perfect one, and nothing is negative.
func TestNumbersHangTogether(t *testing.T) {
	for _, query := range stops {
		w := kittest.Work(t, set, query)
		v, s := w.Number("speed"), w.Output("stopping-distance")
		if a := v * v / (2 * s); math.Abs(w.Output("mean-deceleration")-a) > 1e-3*a {
			t.Errorf("%s: mean %v, v²/2s is %v", query, w.Output("mean-deceleration"), a)
		}
		if s < w.Output("ideal-distance") && !strings.Contains(query, "patch") {
			t.Errorf("%s: %v m beat the perfect stop's %v", query, s, w.Output("ideal-distance"))
		}
		if w.Output("peak-deceleration") < w.Output("mean-deceleration") {
			t.Errorf("%s: the peak is below the mean", query)
		}
		for i, v := range w.Outputs {
			if v < 0 {
				t.Errorf("%s: %s is %v", query, antilock.Calculator.Outputs[i].Name, v)
			}
		}
	}
}

// What the motion lost is what the rest of the account holds, within 0.1 %.
func TestEnergyTableCloses(t *testing.T) {
	for _, query := range stops {
		energies := kittest.Work(t, set, query).Series[0].Columns[1].Values
		sum := 0.0
		for _, e := range energies[1:] {
			sum += e
		}
		if math.Abs(sum-energies[0]) > 1e-3*energies[0] {
			t.Errorf("%s: lost %v J, accounted for %v", query, energies[0], sum)
		}
	}
}

func TestWithoutControllerNothingIsToldOfIt(t *testing.T) {
	w := kittest.Work(t, set, "antilock?channels=none")
	for i, out := range antilock.Calculator.Outputs {
		if moot := slices.Contains([]string{"cycles", "cycle-frequency", "lever-pulse", "impact-speed"}, out.Name); w.Moot[i] != moot {
			t.Errorf("%s: moot is %v", out.Name, w.Moot[i])
		}
	}
}

// The record starts at the first touch and ends standing, at the distance that is told.
func TestRecord(t *testing.T) {
	for _, query := range stops {
		w := kittest.Work(t, set, query)
		trace := w.Data.(*antilock.Ridden).Trace
		n := len(trace.Time)
		if n < 100 || n > 4000 || trace.Time[0] != 0 || math.Abs(trace.Speed[0]-w.Number("speed")) > 1e-9 || trace.Speed[n-1] > 0.06 {
			t.Fatalf("%s: %d rows, speed from %v to %v", query, n, trace.Speed[0], trace.Speed[n-1])
		}
		if math.Abs(trace.Position[n-1]-w.Output("stopping-distance")) > 0.02 {
			t.Errorf("%s: the record ends at %v, told are %v", query, trace.Position[n-1], w.Output("stopping-distance"))
		}
	}
}

// The patch is drawn where the front tyre crossed it.
func TestPatchIsDrawn(t *testing.T) {
	w := kittest.Work(t, set, "antilock?surface=wet-asphalt&patch=gravel&patch-start=10m&patch-length=4m")
	i, _ := antilock.Calculator.Figure("road")
	s := w.Scene(i, figure.Style{})
	scale := s.Plot.Width / (s.Plot.To - s.Plot.From)
	for _, m := range s.Marks {
		if m.Role == "patch" && m.Shape == figure.Area {
			if from, to := (m.Points[0].X-s.Plot.Left)/scale, (m.Points[1].X-s.Plot.Left)/scale; math.Abs(from-10) > 0.3 || math.Abs(to-14) > 0.3 {
				t.Errorf("drawn from %v to %v", from, to)
			}
			return
		}
	}
	t.Error("no patch is drawn")
}

func TestRefusals(t *testing.T) {
	kittest.Refused(t, set, map[string]string{
		"antilock?lean=45deg&surface=wet-asphalt": "lean",
		"antilock?surface=ice&grade=-20%":         "demand",
		"antilock?mass=80kg&bike=tourer":          "bike",
	})
}

func BenchmarkWork(b *testing.B) {
	for _, query := range []string{"antilock?speed=100km/h", "antilock?speed=100km/h&channels=none"} {
		b.Run(query, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := set.Work(query); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkPage is a whole answer with its five figures.
func BenchmarkPage(b *testing.B) {
	w, err := set.Work("antilock?speed=100km/h")
	if err != nil {
		b.Fatal(err)
	}
	var page []byte
	for b.Loop() {
		page = kit.AppendAnswer(page[:0], w.Answer(&quantity.Reader{}, nil))
	}
	b.ReportMetric(float64(len(page)), "bytes")
}
