package ride

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"example.org/gripleaf/calculators/physics/bike"
	"example.org/gripleaf/calculators/physics/tyre"
)

// scenarios are stops of every kind.
func scenarios() map[string]Setup {
	m := map[string]Setup{}
	for _, s := range tyre.Surfaces() {
		base := on(s.ID)
		m[s.ID+", plain"] = base
		m[s.ID+", front"] = with(base, Front, 25)
		m[s.ID+", both"] = with(base, Both, 50)
		base.Demand = 0.8
		m[s.ID+", gentle"] = base
	}
	for _, b := range bike.Presets() {
		s := with(on("dry-asphalt"), Both, 100)
		s.Bike = b
		m[b.ID+", lift control"] = s
		s.LiftControl = false
		m[b.ID+", free"] = s
		s.Channels = None
		m[b.ID+", plain"] = s
	}
	s := with(on("dry-asphalt"), Both, 10)
	s.Lean = 0.5
	m["leaning, both"] = s
	s.Channels, s.Demand = None, 0.7
	m["leaning, gentle"] = s
	s = on("wet-asphalt")
	s.Grade = -0.08
	m["downhill, plain"] = s
	m["downhill, both"] = with(s, Both, 50)
	s.Grade = 0.08
	m["uphill, both"] = with(s, Both, 50)
	sand, _ := tyre.Find("deep-sand")
	s = on("dry-asphalt")
	s.Patch, s.PatchStart, s.PatchLength = &sand, 8, 4
	m["patch, plain"] = s
	m["patch, both"] = with(s, Both, 50)
	s = on("wet-asphalt")
	s.Hand = Unsteady(0.15, 0.25, 7)
	s.Demand = 0.95
	m["unsteady hand"] = s
	return m
}

// What the motion lost is found again: within 0.1 % in every scenario.
func TestEnergyAccountCloses(t *testing.T) {
	for name, s := range scenarios() {
		r := mustRun(t, s)
		e := r.Energy
		if math.Abs(e.Residual) > 1e-3*e.Kinetic {
			t.Errorf("%s: lost %.1f J, found %+.2f J too few", name, e.Kinetic, e.Residual)
		}
		start := 0.5*s.Bike.Mass*s.Speed*s.Speed +
			0.5*s.Bike.Front.Inertia*math.Pow(s.Speed/s.Bike.Front.Radius, 2) + 0.5*s.Bike.Rear.Inertia*math.Pow(s.Speed/s.Bike.Rear.Radius, 2)
		if math.Abs(e.Kinetic/start-1) > 1e-3 {
			t.Errorf("%s: the account is of %.1f J, the bike had %.1f J", name, e.Kinetic, start)
		}
		for what, x := range map[string]float64{"brake": e.Brake, "slip": e.Slip, "drag": e.Drag, "rolling": e.Rolling} {
			if x < 0 {
				t.Errorf("%s: %s took %.3f J", name, what, x)
			}
		}
	}
}

// outputs lists what a run came to, and for each how little does not matter.
func outputs(r *Result) map[string][2]float64 {
	return map[string][2]float64{
		"distance":          {r.StoppingDistance, 0},
		"time":              {r.BrakingTime, 0},
		"mean deceleration": {r.MeanDeceleration, 0},
		"peak deceleration": {r.PeakDeceleration, 0},
		"front locked":      {r.FrontLockedTime, 1e-3},
		"rear locked":       {r.RearLockedTime, 1e-3},
		"lift":              {r.LiftHeight, 1e-4},
		"lift time":         {r.LiftTime, 4e-3},
		"cycles":            {float64(r.Cycles), 0},
		"pulse":             {r.LeverPulse, 1e-4},
		"peak front load":   {r.PeakFrontLoad, 0},
		"time to lock":      {r.TimeToLock, 2e-3},
	}
}

// halved rides a stop at its own step and at half of it, and tells which outputs
// moved by more than 0.2 %.
func halved(t *testing.T, s Setup) (whole, half Result, moved []string) {
	whole = mustRun(t, s)
	var r run
	r.start(&s, nil)
	s.Step = r.step / 2
	half = mustRun(t, s)
	b := outputs(&half)
	for what, a := range outputs(&whole) {
		if math.Abs(a[0]-b[what][0]) > 2e-3*math.Abs(a[0])+a[1] {
			moved = append(moved, fmt.Sprintf("%s from %.6g to %.6g", what, a[0], b[what][0]))
		}
	}
	return whole, half, moved
}

// Half the step moves no output by more than 0.2 %.
func TestHalfTheStep(t *testing.T) {
	for name, s := range scenarios() {
		if _, _, moved := halved(t, s); moved != nil {
			t.Errorf("%s: half the step moves %v", name, moved)
		}
	}
}

// drawn returns a stop of any bike on any surface, with any controller or none.
func drawn(r *rand.Rand) Setup {
	bikes, surfaces := bike.Presets(), tyre.Surfaces()
	s := Setup{
		Bike: bikes[r.IntN(len(bikes))], Surface: surfaces[r.IntN(len(surfaces))],
		Speed: (30 + 100*r.Float64()) / 3.6, CycleRate: []float64{5, 10, 25, 50, 100}[r.IntN(5)],
		Rise: 0.05 + 0.5*r.Float64(), Demand: 0.5 + r.Float64(),
		Channels: Channels(r.IntN(3)), LiftControl: r.IntN(2) == 0,
	}
	if s.Surface.ID == "ice" {
		s.Speed = min(s.Speed, 60/3.6)
	}
	return s
}

// Of drawn plain stops half the step moves none. Of controlled ones it moves one in a thousand, whose state lay on the
// edge between two grains at some tick; more than one in a hundred would be a fault.
func TestHalfTheStepOfDrawnStops(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	all, other, longer := 0, 0, 0
	for range 250 {
		s := drawn(r)
		whole, half, moved := halved(t, s)
		far := math.Abs(half.StoppingDistance/whole.StoppingDistance - 1)
		switch {
		case s.Channels == None && moved != nil:
			t.Errorf("%s on %s at %.2f m/s: half the step moves %v", s.Bike.ID, s.Surface.ID, s.Speed, moved)
		case s.Channels == None:
			continue
		case far > 0.025:
			t.Errorf("%s on %s at %.2f m/s: %.2f m becomes %.2f m", s.Bike.ID, s.Surface.ID, s.Speed, whole.StoppingDistance, half.StoppingDistance)
		}
		if all++; moved != nil {
			other++
		}
		if far > 2e-3 {
			longer++
		}
	}
	t.Logf("of %d controlled stops half the step moves some output of %d, the distance of %d", all, other, longer)
	if other > all/100 {
		t.Errorf("half the step moves some output of %d of %d controlled stops, the distance of %d", other, all, longer)
	}
}

func TestDeterministic(t *testing.T) {
	for name, s := range scenarios() {
		if a, b := mustRun(t, s), mustRun(t, s); a != b {
			t.Errorf("%s: two runs differ", name)
		}
	}
}

func TestAllocatesNothing(t *testing.T) {
	s := with(on("wet-asphalt"), Both, 50)
	trace := NewTrace(0.005, 10)
	if n := testing.AllocsPerRun(5, func() { Run(&s, trace) }); n != 0 {
		t.Errorf("a run allocates %v times", n)
	}
}

// A plain stop stays within reach of the closed forms: a locked bike by its
// sliding grip, a rolling one by its drag.
func TestLockedStopIsTheTextbooks(t *testing.T) {
	s := on("wet-asphalt")
	s.Demand, s.Rise, s.Bike.DragArea = 4, 0, 0
	r := mustRun(t, s)
	a := Gravity * (s.Surface.Locked() + s.Surface.Rolling)
	want := s.Speed * s.Speed / (2 * a)
	// The wheels' peak on the way to locking shortens the stop by a little.
	if d := r.StoppingDistance / want; d < 0.96 || d > 1 {
		t.Errorf("locked: %.2f m, v²/2a is %.2f m", r.StoppingDistance, want)
	}
}

// The steady loads of a held stop are the statics of package chassis, and the
// little that stops the wheels' own spin. Stiff springs keep the dive from moving
// the centre of mass.
func TestSteadyLoadTransfer(t *testing.T) {
	s := on("dry-asphalt")
	s.Demand, s.Rise = 0.5, 0.2
	for _, e := range []*bike.End{&s.Bike.Front, &s.Bike.Rear} {
		e.Suspension.Rate *= 20
		e.Suspension.Preload = 0
	}
	trace := NewTrace(0.002, 10)
	if _, err := Run(&s, trace); err != nil {
		t.Fatal(err)
	}
	i := 0
	for trace.Time[i] < 1.5 {
		i++
	}
	b := s.Bike
	spin := b.Front.Inertia/b.Front.Radius + b.Rear.Inertia/b.Rear.Radius
	a := trace.Deceleration[i]
	rolling := s.Surface.Rolling * b.Mass * Gravity * (b.CGHeight - b.Front.Radius)
	want := 0.48*b.Mass*Gravity + (trace.Force[i]*b.CGHeight+spin*a+rolling)/b.Wheelbase
	if got := trace.FrontLoad[i]; math.Abs(got/want-1) > 0.002 {
		t.Errorf("front load %.0f N at %.2f m/s², statics say %.0f N", got, a, want)
	}
	if sum := trace.FrontLoad[i] + trace.RearLoad[i]; math.Abs(sum/(b.Mass*Gravity)-1) > 1e-3 {
		t.Errorf("the tyres carry %.1f N of %.1f N", sum, b.Mass*Gravity)
	}
}

// The lift limit is the textbook's g·b/h less what the wheels' spin takes.
func TestLimitOfTheRoadster(t *testing.T) {
	s := on("dry-asphalt")
	s.Bike.Front.Inertia, s.Bike.Rear.Inertia, s.Surface.Rolling = 1e-9, 1e-9, 0
	l := LimitOf(&s)
	if want := Gravity * 1.4 * 0.52 / 0.65; math.Abs(l.Lift-want) > 1e-6 {
		t.Errorf("lifts at %v m/s², want %v", l.Lift, want)
	}
	if want := 1.17002 * Gravity; math.Abs(l.Grip-want) > 1e-3 {
		t.Errorf("grips to %v m/s², want %v", l.Grip, want)
	}
	full := on("dry-asphalt")
	if f := LimitOf(&full); f.Lift >= l.Lift || f.Lift < 0.95*l.Lift {
		t.Errorf("with wheels that spin it lifts at %v m/s²", f.Lift)
	}
}

// Bounds of a quarter car (450 kg, one wheel of 1 kg·m² and 0.32 m, from 30 m/s
// on Burckhardt's dry asphalt): 39.206 m at the peak, 60.349 m locked
// (parameters seen, bounds derived with g = 9.81 and c3 = 0.52). The ideal of a
// bike that cannot lift is the first, scaled to this g.
func TestQuarterCarBounds(t *testing.T) {
	s := on("dry-asphalt")
	s.Speed, s.Bike.DragArea, s.Surface.Rolling = 30, 0, 0
	s.Bike.CGHeight, s.Bike.Wheelbase = 0.25, 4
	if d := Ideal(&s) * Gravity / 9.81; math.Abs(d-39.206) > 0.01 {
		t.Errorf("ideal stop %.3f m, published parameters give 39.206 m", d)
	}
	if d := s.Speed * s.Speed / (2 * 9.81 * s.Surface.Locked()); math.Abs(d-60.349) > 0.01 {
		t.Errorf("locked stop %.3f m, published parameters give 60.349 m", d)
	}
}

// Twice the speed needs four times the distance, less the air's help and the
// time of the squeeze.
func TestTwiceTheSpeed(t *testing.T) {
	s := on("wet-asphalt")
	s.Demand, s.Rise, s.Bike.DragArea, s.Speed = 0.7, 0, 0, 12
	slow := mustRun(t, s)
	s.Speed = 24
	if ratio := mustRun(t, s).StoppingDistance / slow.StoppingDistance; math.Abs(ratio-4) > 0.25 {
		t.Errorf("twice the speed takes %.2f times the distance", ratio)
	}
}

func TestLeanLeavesLess(t *testing.T) {
	s := with(on("wet-asphalt"), Both, 50)
	upright := mustRun(t, s)
	s.Lean = 0.4
	leaning := mustRun(t, s)
	if leaning.StoppingDistance <= upright.StoppingDistance || leaning.Limit.Grip >= upright.Limit.Grip {
		t.Errorf("leaning %.2f m, upright %.2f m", leaning.StoppingDistance, upright.StoppingDistance)
	}
	s.Lean = 0.68
	if _, err := Run(&s, nil); !errors.Is(err, ErrLean) {
		t.Errorf("a lean beyond the grip: %v", err)
	}
}

func TestBadInput(t *testing.T) {
	for what, spoil := range map[string]func(*Setup){
		"speed":                    func(s *Setup) { s.Speed = math.NaN() },
		"rise":                     func(s *Setup) { s.Rise = -1 },
		"demand":                   func(s *Setup) { s.Demand = math.Inf(1) },
		"cycle-rate":               func(s *Setup) { s.CycleRate = 0 },
		"mass":                     func(s *Setup) { s.Bike.Mass = 0 },
		"front wheel radius":       func(s *Setup) { s.Bike.Front.Radius = math.NaN() },
		"patch-start":              func(s *Setup) { s.PatchStart = -1 },
		"grip":                     func(s *Setup) { s.Surface = tyre.Surface{} },
		"patch grip":               func(s *Setup) { s.Patch = &tyre.Surface{} },
		"hand swing rate":          func(s *Setup) { s.Hand.Waves[2].Rate = math.NaN() },
		"step":                     func(s *Setup) { s.Step = 1 },
		"rear unsprung mass":       func(s *Setup) { s.Bike.Rear.Unsprung = 200 },
		"front spring rate":        func(s *Setup) { s.Bike.Front.Suspension.Rate = 0 },
		"cg-height":                func(s *Setup) { s.Bike.CGHeight = 9 },
		"front-share":              func(s *Setup) { s.Bike.FrontShare = 1 },
		"rear rebound damping":     func(s *Setup) { s.Bike.Rear.Suspension.Rebound = -1 },
		"radius of gyration":       func(s *Setup) { s.Bike.Gyration = 0 },
		"front fluid uptake":       func(s *Setup) { s.Bike.Front.Brake.Uptake = 0 },
		"patch rolling resistance": func(s *Setup) { s.Patch.Rolling = 7 },
	} {
		s := with(on("dry-asphalt"), Both, 50)
		sand, _ := tyre.Find("deep-sand")
		s.Patch, s.PatchStart, s.PatchLength = &sand, 5, 5
		spoil(&s)
		_, err := Run(&s, nil)
		var r *RangeError
		if !errors.As(err, &r) || r.Input != what {
			t.Errorf("%s: %v", what, err)
		}
	}
	s := on("ice")
	s.Grade = -0.2
	if _, err := Run(&s, nil); !errors.Is(err, ErrNoStop) {
		t.Errorf("down an icy hill: %v", err)
	}
	s = on("wet-asphalt")
	if _, err := Run(&s, &Trace{}); !errors.Is(err, ErrTrace) {
		t.Errorf("a trace without an interval: %v", err)
	}
}

func TestTrace(t *testing.T) {
	s := with(on("wet-asphalt"), Both, 50)
	trace := NewTrace(0.005, 1) // too short: it grows
	r, err := Run(&s, trace)
	if err != nil {
		t.Fatal(err)
	}
	n := len(trace.Time)
	for i, c := range trace.columns() {
		if len(*c) != n {
			t.Fatalf("column %d has %d rows of %d", i, len(*c), n)
		}
	}
	if len(trace.FrontValve) != n || len(trace.RearValve) != n {
		t.Fatal("valves have other lengths")
	}
	if last := trace.Position[n-1]; math.Abs(last-r.StoppingDistance) > 1e-6 {
		t.Errorf("the trace ends at %v m, the stop at %v m", last, r.StoppingDistance)
	}
	for i := 1; i < n-1; i++ {
		if dt := trace.Time[i] - trace.Time[i-1]; math.Abs(dt-0.005) > 0.0021 {
			t.Fatalf("row %d comes %v s after the last", i, dt)
		}
	}
	if peak := maxOf(trace.Lever); peak <= 0 {
		t.Error("no pulse at the lever")
	}
}

func maxOf(x []float64) float64 {
	m := math.Inf(-1)
	for _, v := range x {
		m = max(m, v)
	}
	return m
}

// A crowd's riders have a clock of twice the tick: it moves a stop by less than
// a thousandth, which is what a rider's own noticing comes to, and one without
// a lock by far less.
func TestCoarseClockOfACrowd(t *testing.T) {
	for seed := range uint64(30) {
		s := on("wet-asphalt")
		s.Demand, s.Hand = 0.85, Unsteady(0.15, 0.25, seed)
		fine := mustRun(t, s)
		s.Step = 0.004
		coarse := mustRun(t, s)
		most := 1e-3
		if !fine.FrontLocks {
			most = 2e-5
		}
		if off := math.Abs(coarse.StoppingDistance/fine.StoppingDistance - 1); off > most || coarse.FrontLocks != fine.FrontLocks {
			t.Errorf("seed %d: %g m and coarsely %g m, locked %v and %v", seed, fine.StoppingDistance, coarse.StoppingDistance, fine.FrontLocks, coarse.FrontLocks)
		}
	}
}
