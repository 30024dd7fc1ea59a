package heat_test

import (
	"fmt"
	"math"
	"testing"

	"example.org/gripleaf/calculators/heat"
	"example.org/gripleaf/calculators/kit"
)

var set = kit.Set{&heat.Calculator}

func worked(t *testing.T, format string, arguments ...any) *kit.Work {
	t.Helper()
	query := fmt.Sprintf(format, arguments...)
	w, err := set.Work(query)
	if err != nil {
		t.Fatalf("%s: %v", query, err)
	}
	return w
}

func TestOneStop(t *testing.T) {
	w := worked(t, "heat?stops=1&mass=250kg&speed=30m/s&share=75%%&disc-mass=1.5kg&discs=2&specific-heat=500J/kgK&ambient=20degC&deceleration=6m/s2")
	energy := 250.0 * 30 * 30 / 2
	for name, want := range map[string]float64{
		"energy": energy, "rise": 0.75 * energy / (3 * 500), "temperature": 293.15 + 0.75*energy/1500, "power": 0.75 * 250 * 6 * 30,
	} {
		if got := w.Output(name); math.Abs(got-want) > 1e-9*want {
			t.Errorf("%s: got %v, want %v", name, got, want)
		}
	}
}

// Braking from a speed to a lower one and then on to nought gives the same heat as all at once.
func TestEnergyAddsUp(t *testing.T) {
	whole := worked(t, "heat?speed=100km/h").Output("energy")
	parts := worked(t, "heat?speed=100km/h&to=60km/h").Output("energy") + worked(t, "heat?speed=60km/h").Output("energy")
	if math.Abs(whole-parts) > 1e-6 {
		t.Errorf("%v in one, %v in two", whole, parts)
	}
	if none := worked(t, "heat?speed=80km/h&to=80km/h").Output("rise"); none != 0 {
		t.Errorf("no slowing heats by %v", none)
	}
	if twice := worked(t, "heat?speed=200km/h").Output("rise") / worked(t, "heat?speed=100km/h").Output("rise"); math.Abs(twice-4) > 1e-9 {
		t.Errorf("twice the speed heats %v times as much", twice)
	}
}

// The series is a geometric one: T_n - T_a = rise·(1 - q^n)/(1 - q), q what of the excess is left after a pause.
func TestSeries(t *testing.T) {
	for _, n := range []int{1, 2, 5, 50} {
		w := worked(t, "heat?stops=%d&speed=28m/s&deceleration=7m/s2&interval=60s&cooling-time=150s&ambient=10degC", n)
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

func TestRefusals(t *testing.T) {
	for query, input := range map[string]string{
		"heat?speed=50km/h&to=60km/h":                       "to",
		"heat?speed=200km/h&deceleration=2m/s2&interval=5s": "interval",
	} {
		_, err := set.Work(query)
		if faults, ok := err.(kit.Faults); !ok || faults[0].Input != input {
			t.Errorf("%s: %v", query, err)
		}
	}
}
