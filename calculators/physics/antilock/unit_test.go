package antilock

import (
	"math"
	"testing"

	"example.org/gripleaf/calculators/physics/hydraulics"
)

func settings() Settings {
	wheel := Wheel{Radius: 0.3, Teeth: 48, Watch: true, Gain: 1e-3, Inertia: 5, Reach: 0.15, Share: 0.5, Transfer: 0.047, Inlet: 8.5e4, Outlet: 7.7e4}
	other := wheel
	other.Transfer = -0.047
	return Settings{Rate: 50, Weight: 2550, Lift: Lift{Force: 2600, Height: 0.66, Spin: 0.01, Pitch: 0.09}, Wheels: [2]Wheel{wheel, other}}
}

// drive lets a unit watch two wheels whose rim speeds are given, on a bike that slows steadily from 20 m/s, at steady
// pressures, and returns the orders of every tick.
func drive(u *Unit, ticks int, a float64, rim func(i int, t float64) float64, pressure [2]float64) [][2]Order {
	var orders [][2]Order
	for n := range ticks {
		t := float64(n) * Tick
		orders = append(orders, u.Act(t, &Senses{
			Rim: [2]float64{rim(0, t), rim(1, t)}, Speed: 20 - a*t, Decel: a, Upright: 1, Load: [2]float64{1275, 1275},
			Master: [2]float64{40e5, 40e5}, Caliper: pressure,
		}))
	}
	return orders
}

// pressed is the pressure at which each of two wheels brings about half of a deceleration, Pa.
func pressed(a float64) float64 { return a * 260 / 2 / 1e-3 }

// A bike whose wheels slip a little and steadily is left alone.
func TestLeavesAnEasyStopAlone(t *testing.T) {
	u := New(settings(), [2]float64{20, 20})
	const a = 3.0
	for n, o := range drive(&u, 1000, a, func(i int, t float64) float64 { return 0.97 * (20 - a*t) }, [2]float64{pressed(a), pressed(a)}) {
		for i := range o {
			if o[i] != (Order{hydraulics.Build, 1}) {
				t.Fatalf("tick %d: wheel %d gets %v", n, i, o[i])
			}
		}
	}
}

// A wheel that dives towards locking is released, the other one is not.
func TestReleasesTheWheelThatLocks(t *testing.T) {
	u := New(settings(), [2]float64{20, 20})
	const a = 3.0
	orders := drive(&u, 300, a, func(i int, t float64) float64 {
		v := 0.97 * (20 - a*t)
		if i == 0 && t > 0.2 {
			v -= 60 * (t - 0.2)
		}
		return max(0, v)
	}, [2]float64{pressed(a), pressed(a)})
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

// A wheel that stands is released however little it slows: it has nothing left to slow by.
func TestReleasesAWheelThatStands(t *testing.T) {
	u := New(settings(), [2]float64{20, 20})
	orders := drive(&u, 100, 5, func(i int, t float64) float64 { return float64(i) * (20 - 5*t) }, [2]float64{40e5, 0})
	if orders[10][0].Valve != hydraulics.Dump {
		t.Errorf("after 20 ms the front gets %v", orders[10][0])
	}
}

// No unit starts more cycles than its rate allows.
func TestKeepsToItsRate(t *testing.T) {
	for _, rate := range []float64{5, 10, 50, 100} {
		s := settings()
		s.Rate = rate
		u := New(s, [2]float64{20, 20})
		starts, last := []float64{}, 0
		drive(&u, 1500, 4, func(i int, t float64) float64 {
			if c := u.Cycles(0); c != last {
				starts, last = append(starts, t), c
			}
			// A wheel that jerks towards locking and back ten times a second.
			return 20 - 4*t - 6*max(0, 0.05-math.Mod(t, 0.1))/0.05
		}, [2]float64{20e5, 5e5})
		if len(starts) == 0 {
			t.Errorf("at %v Hz no cycle starts", rate)
		}
		for i := 1; i < len(starts); i++ {
			if gap := starts[i] - starts[i-1]; gap < 1/rate-1.01*Tick {
				t.Errorf("at %v Hz cycles start %v s apart", rate, gap)
			}
		}
	}
}

// Below the speed at which a tooth passes every 35 ms, 2π·0.3 m / 48 / 0.035 s = 1.12 m/s, the brakes are left alone;
// with half as many teeth below twice that speed.
func TestLeavesCreepAlone(t *testing.T) {
	for _, test := range []struct {
		teeth, speed float64
		active       bool
	}{{48, 1.1, false}, {48, 1.15, true}, {24, 2.2, false}, {24, 2.3, true}} {
		s := settings()
		s.Wheels[0].Teeth, s.Wheels[1].Teeth = test.teeth, test.teeth
		u := New(s, [2]float64{test.speed, test.speed})
		orders := u.Act(0, &Senses{Speed: test.speed, Upright: 1, Load: [2]float64{1275, 1275}, Caliper: [2]float64{20e5, 5e5}, Master: [2]float64{20e5, 5e5}})
		if u.Active() != test.active || !test.active && orders[0] != (Order{hydraulics.Build, 1}) {
			t.Errorf("%v teeth at %v m/s: active %v, the front gets %v", test.teeth, test.speed, u.Active(), orders[0])
		}
	}
}

// The ceiling is the lifting force at the pitch at which the rear hangs, less the unit's margin; lower beyond it and
// while the nose still dives, higher in a lean, where the machine is lower; and there is none without lift control.
func TestCeiling(t *testing.T) {
	s := settings()
	s.Guard = true
	at := func(in Senses) float64 {
		u := New(s, [2]float64{20, 20})
		u.read = in
		return u.ceiling() * s.Wheels[0].Gain
	}
	level := at(Senses{Upright: 1, Pitch: 0.09})
	if level > s.Lift.Force || level < 0.9*s.Lift.Force {
		t.Errorf("with the rear just hanging the front may brake with %v N, %v N lift it", level, s.Lift.Force)
	}
	if beyond := at(Senses{Upright: 1, Pitch: 0.1}); beyond >= level {
		t.Errorf("beyond: %v", beyond)
	}
	if diving := at(Senses{Upright: 1, Pitch: 0.09, PitchRate: 0.2}); diving >= level {
		t.Errorf("diving: %v", diving)
	}
	// Upright 0.65 m + 0.01 m, at 60 degrees half of the first.
	if leaned, want := at(Senses{Upright: 0.5, Pitch: 0.09}), level*0.66/0.335; math.Abs(leaned-want) > 1e-6*want {
		t.Errorf("leaned: %v, want %v", leaned, want)
	}
	s.Guard = false
	if free := at(Senses{Upright: 1, Pitch: 0.2}); !math.IsInf(free, 1) {
		t.Errorf("without lift control: %v", free)
	}
}

// A front tyre 5 % smaller in circumference than the unit was told turns 1/0.95 times as fast and reads 5.26 % fast; the
// ground's speed is taken from it, so the rear seems to slip by 5 % while both roll.
func TestSmallerFrontTyreMakesTheRearSlip(t *testing.T) {
	const v = 15.0
	u := New(settings(), [2]float64{v / 0.95, v})
	u.read = Senses{Rim: [2]float64{v / 0.95, v}, Speed: v / 0.95, Load: [2]float64{1275, 1275}}
	if front, rear := u.judge(0), u.judge(1); math.Abs(front.slip) > 1e-12 || math.Abs(rear.slip-0.05) > 1e-12 {
		t.Errorf("slips of %.4f in front and %.4f behind, want 0 and 0.05", front.slip, rear.slip)
	}
}
