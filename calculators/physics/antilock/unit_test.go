package antilock

import (
	"testing"

	"example.org/gripleaf/calculators/physics/hydraulics"
)

func settings() Settings {
	wheel := Wheel{Radius: 0.3, Teeth: 48, Watch: true, Gain: 1e-3, Inertia: 5, Share: 0.5, Transfer: 0.047, Inlet: 8.5e4, Outlet: 7.7e4}
	other := wheel
	other.Transfer = -0.047
	return Settings{Rate: 50, Lift: 10.8, Dive: 18, Mass: 260, Drag: 0.001, Wheels: [2]Wheel{wheel, other}}
}

// ride drives a unit with two wheels whose rim speeds are given, at steady
// pressures, and returns the orders of every tick.
func ride(u *Unit, ticks int, speed func(i int, t float64) float64, pressure [2]float64) [][2]Order {
	var orders [][2]Order
	var angle [2]float64
	for n := range ticks {
		t := float64(n) * Tick
		orders = append(orders, u.Act(t, pressure))
		for i := range angle {
			w0, w1 := speed(i, t)/0.3, speed(i, t+Tick)/0.3
			next := angle[i] + 0.5*(w0+w1)*Tick
			u.Turn(i, t, Tick, angle[i], w0, next, w1)
			angle[i] = next
		}
	}
	return orders
}

// A bike that slows as its brakes explain is left alone.
func TestLeavesAnEasyStopAlone(t *testing.T) {
	u := New(settings(), 20)
	const a = 3.0
	p := a * 260 / 2 / 1e-3
	for n, o := range ride(&u, 1000, func(i int, t float64) float64 { return 20 - a*t }, [2]float64{p, p}) {
		for i := range o {
			if o[i] != (Order{hydraulics.Build, 1}) {
				t.Fatalf("tick %d: wheel %d gets %v", n, i, o[i])
			}
		}
	}
}

// A wheel that dives towards locking is released, the other one is not.
func TestReleasesTheWheelThatLocks(t *testing.T) {
	u := New(settings(), 20)
	const a = 3.0
	p := a * 260 / 2 / 1e-3
	orders := ride(&u, 300, func(i int, t float64) float64 {
		v := 20 - a*t
		if i == 0 && t > 0.2 {
			v -= 60 * (t - 0.2)
		}
		return max(0, v)
	}, [2]float64{p, p})
	var dumped [2]bool
	for _, o := range orders {
		for i := range o {
			dumped[i] = dumped[i] || o[i].Valve == hydraulics.Dump
		}
	}
	if !dumped[0] || dumped[1] {
		t.Errorf("released: front %v, rear %v", dumped[0], dumped[1])
	}
	if u.Cycles(0) == 0 || u.Cycles(1) != 0 {
		t.Errorf("cycles: front %d, rear %d", u.Cycles(0), u.Cycles(1))
	}
}

// No unit starts more cycles than its rate allows.
func TestKeepsToItsRate(t *testing.T) {
	for _, rate := range []float64{5, 10, 50, 100} {
		s := settings()
		s.Rate = rate
		u := New(s, 25)
		starts := []float64{}
		last := 0
		var angle [2]float64
		for n := range 1500 {
			at := float64(n) * Tick
			u.Act(at, [2]float64{20e5, 5e5})
			if c := u.Cycles(0); c != last {
				starts, last = append(starts, at), c
			}
			for i := range angle {
				// A wheel that jerks towards locking and back ten times a second.
				v := 25 - 6*at - 3*max(0, 0.05-mod(at, 0.1))/0.05
				next := angle[i] + v/0.3*Tick
				u.Turn(i, at, Tick, angle[i], v/0.3, next, v/0.3)
				angle[i] = next
			}
		}
		for i := 1; i < len(starts); i++ {
			if gap := starts[i] - starts[i-1]; gap < 1/rate-1.01*Tick {
				t.Errorf("at %v Hz cycles start %v s apart", rate, gap)
			}
		}
	}
}

func mod(x, m float64) float64 { return x - m*float64(int(x/m)) }

// Below 4 km/h the brakes are left alone.
func TestLeavesCreepAlone(t *testing.T) {
	u := New(settings(), 1)
	for _, o := range ride(&u, 200, func(i int, t float64) float64 { return 0.2 }, [2]float64{20e5, 5e5}) {
		if o[0] != (Order{hydraulics.Build, 1}) {
			t.Fatalf("below walking pace the front gets %v", o[0])
		}
	}
	if u.Active() {
		t.Error("a unit at a walk is active")
	}
}
