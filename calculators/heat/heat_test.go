package heat_test

import (
	"math"
	"testing"

	"example.org/gripleaf/calculators/heat"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/kit/kittest"
)

var set = kit.Set{&heat.Calculator}

func TestOneStop(t *testing.T) {
	w := kittest.Workf(t, set, "heat?stops=1&mass=250kg&speed=30m/s&share=75%%&disc-mass=1.5kg&discs=2&specific-heat=500J/kgK&ambient=20degC&deceleration=6m/s2")
	energy := 250.0 * 30 * 30 / 2
	for name, want := range map[string]float64{
		"energy": energy, "rise": 0.75 * energy / (3 * 500), "temperature": 293.15 + 0.75*energy/1500, "power": 0.75 * 250 * 6 * 30,
	} {
		if got := w.Output(name); math.Abs(got-want) > 1e-9*want {
			t.Errorf("%s: got %v, want %v", name, got, want)
		}
	}
}

// Braking from a speed to a lower one and then on to a stop gives the same heat as all at once.
func TestEnergyAddsUp(t *testing.T) {
	whole := kittest.Work(t, set, "heat?speed=100km/h").Output("energy")
	parts := kittest.Work(t, set, "heat?speed=100km/h&to=60km/h").Output("energy") + kittest.Work(t, set, "heat?speed=60km/h").Output("energy")
	if math.Abs(whole-parts) > 1e-6 {
		t.Errorf("%v in one, %v in two", whole, parts)
	}
	if none := kittest.Work(t, set, "heat?speed=80km/h&to=80km/h").Output("rise"); none != 0 {
		t.Errorf("no slowing heats by %v", none)
	}
	if twice := kittest.Work(t, set, "heat?speed=200km/h").Output("rise") / kittest.Work(t, set, "heat?speed=100km/h").Output("rise"); math.Abs(twice-4) > 1e-9 {
		t.Errorf("twice the speed heats %v times as much", twice)
	}
}

// The series is a geometric one: T_n - T_a = rise·(1 - q^n)/(1 - q), q what of the excess is left after a pause.
func TestSeries(t *testing.T) {
	for _, n := range []int{1, 2, 5, 50} {
		w := kittest.Workf(t, set, "heat?stops=%d&speed=28m/s&deceleration=7m/s2&interval=60s&cooling-time=150s&ambient=10degC", n)
		q := math.Exp(-(60 - 28.0/7) / 150)
		want := 283.15 + w.Output("rise")*(1-math.Pow(q, float64(n)))/(1-q)
		if got := w.Output("temperature"); math.Abs(got-want) > 1e-9*want {
			t.Errorf("%d stops: got %v, want %v", n, got, want)
		}
		if got := w.Series[0].Rows(); got != n {
			t.Errorf("%d rows for %d stops", got, n)
		}
		if settled := 283.15 + w.Output("rise")/(1-q); math.Abs(w.Output("settled-temperature")-settled) > 1e-9*settled {
			t.Errorf("settles at %v, want %v", w.Output("settled-temperature"), settled)
		}
	}
}

// A descent against its energy balance stepped in time: disc and fluid warm and cool as their equations say.
func TestDescentStepped(t *testing.T) {
	w := kittest.Workf(t, set, "heat?mass=260kg&speed=60km/h&grade=-8%%&length=10km&engine=0.3m/s2&share=80%%&ambient=20degC&cooling-time=200s")
	const g, slope = 9.80665, 0.08
	v, mc := 60/3.6, 2*1.4*460.0
	power := 260 * (g*slope/math.Sqrt(1+slope*slope) - 0.3) * v
	disc, fluid := 0.0, 0.0
	const step = 0.01
	for at := 0.0; at < 10000/v; at += step {
		fluid += step * (0.5*disc - fluid) / 240
		disc += step * (0.8*power/mc - disc/200)
	}
	for name, want := range map[string]float64{
		"descent-power": power, "descent-temperature": 293.15 + disc, "fluid-temperature": 293.15 + fluid,
		"pad-share": heat.PadShare(293.15 + disc + w.Output("rise")),
	} {
		if got := w.Output(name); math.Abs(got-want) > 2e-4*want {
			t.Errorf("%s: got %v, want %v", name, got, want)
		}
	}
}

// Two equal delays in a row have a form of their own, 1 - (1 + t/τ)·e^(-t/τ); and an engine that holds all leaves none.
func TestDescentLimits(t *testing.T) {
	w := kittest.Workf(t, set, "heat?speed=20m/s&grade=-6%%&length=4km&engine=0m/s2&cooling-time=240s&ambient=0degC")
	past := 200.0 / 240
	settles := (w.Output("descent-temperature") - 273.15) / (1 - math.Exp(-past))
	if want := 273.15 + 0.5*settles*(1-(1+past)*math.Exp(-past)); math.Abs(w.Output("fluid-temperature")-want) > 1e-3*settles {
		t.Errorf("fluid at %v, want %v", w.Output("fluid-temperature"), want)
	}
	cold := kittest.Workf(t, set, "heat?grade=-8%%&engine=0.79m/s2")
	if cold.Output("descent-power") != 0 || cold.Output("fluid-temperature") != cold.Output("descent-temperature") {
		t.Errorf("an engine that holds all: %v", cold.Outputs)
	}
	if level := kittest.Workf(t, set, "heat?grade=0%%"); level.Output("descent-power") != 0 {
		t.Errorf("on the level the brakes take %v", level.Output("descent-power"))
	}
}

// FMVSS 116 and ISO 4925, least boiling points (from memory), fresh and with water, in °C.
func TestBoilingPoints(t *testing.T) {
	for grade, want := range map[string][2]float64{"dot3": {205, 140}, "dot4": {230, 155}, "dot5-1": {260, 180}} {
		w := kittest.Workf(t, set, "heat?fluid=%s", grade)
		if fresh, old := w.Output("fresh-boiling")-273.15, w.Output("old-boiling")-273.15; math.Abs(fresh-want[0])+math.Abs(old-want[1]) > 1e-9 {
			t.Errorf("%s boils at %v and %v", grade, fresh, old)
		}
	}
}

func TestPadShare(t *testing.T) {
	for celsius, want := range map[float64]float64{20: 1, 300: 1, 400: 0.8, 500: 0.6, 600: 0.4, 900: 0.4} {
		if got := heat.PadShare(celsius + 273.15); math.Abs(got-want) > 1e-12 {
			t.Errorf("at %v °C %v, want %v", celsius, got, want)
		}
	}
}

func TestRefusals(t *testing.T) {
	kittest.Refused(t, set, map[string]string{
		"heat?speed=50km/h&to=60km/h":                       "to",
		"heat?speed=200km/h&deceleration=2m/s2&interval=5s": "interval",
	})
}

// Past 700 °C the answer says that its model has ended; the specific heat of steel peaks at 735 °C (EN 1993-1-2, from memory).
func TestEndOfTheModel(t *testing.T) {
	for query, ends := range map[string]bool{"heat": false, "heat?speed=250km/h&stops=30&interval=60s": true, "heat?speed=120km/h&grade=-20%&length=50km&engine=0m/s2": true} {
		w, err := set.Work(query)
		if err != nil {
			t.Fatal(err)
		}
		hottest := max(w.Output("temperature"), w.Output("descent-temperature")) - 273.15
		if (hottest > 700) != ends || (len(w.Events) == 1) != ends {
			t.Errorf("%s: %.0f °C, events %v", query, hottest, w.Events)
		}
	}
}
