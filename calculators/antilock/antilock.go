// Package antilock answers: what happens in a whole stop, with the wheels, the brakes and a controller? It rides the
// simulated stop of physics/ride and shows what the rider, the wheels and the valves did.
//
// What the figures show, with a controller on a firm surface: the wheels' lines run a little below the bike's, dip as
// the grip's peak is passed and come back after each release, which stands as a mark below. Over the grip curve the
// front wheel climbs from nought, rounds the peak and circles about it, a little off the curve because the tread takes
// time to follow the wheel. The caliper's pressure is a saw below the hand's, its mean what the road holds, and each
// drop of it is a push at the lever: few and hard at 5 to 10 Hz, many and soft at 100 Hz. The front tyre's load
// overshoots while the fork dives and settles where the textbook has it; a short, tall bike's rear load touches nought.
// Without a controller and asked for too much, the front wheel's line falls to nought within a tenth of a second and
// stays there, and its path runs down the curve to the locked end. On loose ground that end is the highest.
package antilock

import (
	"math"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/physics/ride"
	"example.org/gripleaf/calculators/physics/tyre"
	"example.org/gripleaf/calculators/preset"
	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/calculators/replay"
)

// Calculator is the antilock calculator.
var Calculator = kit.Calculator{
	ID:       "antilock",
	Title:    "Stop with and without antilock",
	Question: "What happens in a whole stop, with the wheels, the brakes and a controller?",
	Inputs:   preset.Ride(nil, nil),
	Presets:  preset.Rides(),
	Outputs: []kit.Output{
		{Name: "stopping-distance", Symbol: "s", Label: "Stopping distance, from first touch", Sentence: "From the first touch of the lever you need {}.", Shown: preset.Distance, Main: true},
		{Name: "braking-time", Symbol: "t", Label: "Braking time", Sentence: "That takes {}.", Shown: preset.Time},
		{Name: "mean-deceleration", Symbol: "a", Label: "Mean deceleration", Sentence: "You slow by {} on average.", Shown: preset.Deceleration},
		{Name: "peak-deceleration", Symbol: "a_p", Label: "Greatest deceleration", Sentence: "At most you slow by {}.", Shown: preset.Deceleration},
		{Name: "grip-used", Symbol: "q", Label: "Share of what grip and balance allow", Sentence: "You used {} of what grip and balance allow.", Shown: preset.Share, Main: true},
		{Name: "front-locked-time", Symbol: "t_f", Label: "Front wheel locked", Sentence: "The front wheel was locked for {}.", Shown: preset.Time, Main: true},
		{Name: "rear-locked-time", Symbol: "t_b", Label: "Rear wheel locked", Sentence: "The rear wheel was locked for {}.", Shown: preset.Time},
		{Name: "lift-height", Symbol: "z", Label: "Greatest height of the rear wheel", Sentence: "The rear wheel rose by {}.", Shown: preset.Part},
		{Name: "lift-time", Symbol: "t_l", Label: "Rear wheel in the air", Sentence: "It was in the air for {}.", Shown: preset.Time},
		{Name: "cycles", Symbol: "n", Label: "Times the controller released", Sentence: "The controller released {} times.", Shown: preset.Whole},
		{Name: "cycle-frequency", Symbol: "f_n", Label: "Releases a second", Sentence: "That is {}.", Shown: preset.FineRate},
		{Name: "lever-pulse", Symbol: "p_l", Label: "Pulse at the lever", Sentence: "The lever pulses by {} of what the hand asks.", Shown: preset.FineShare},
		{Name: "fall-likely", Label: "A fall is likely", Sentence: "Is a fall likely? {}.", Shown: preset.YesNo, Main: true},
		preset.FallReason(),
		{Name: "impact-speed", Symbol: "v_o", Label: "Speed at the obstacle", Sentence: "You reach the obstacle at {}.", Shown: preset.Speed},
		{Name: "ideal-distance", Symbol: "s_i", Label: "Shortest stop that grip and balance allow", Sentence: "A perfect stop would need {}.", Shown: preset.Distance},
	},
	Figures: []kit.Figure{
		{Name: "speeds", Title: "Bike and wheels", Draw: drawSpeeds},
		{Name: "path", Title: "Grip over slip of the front wheel", Draw: drawPath},
		{Name: "pressure", Title: "Pressure in front and pulse at the lever", Draw: drawPressure},
		{Name: "loads", Title: "Loads and pitch", Draw: drawLoads},
		{Name: "road", Title: "Speed along the road", Draw: drawRoad},
	},
	Assumptions: append([]string{
		"Both levers are pulled together and evenly; each brake asks for the demand's share of what its tyre holds in the hardest stop of the first surface.",
		"A wheel counts as locked only above 10 km/h. A fall counts as likely when the front wheel is locked for more than 0.3 s above 15 km/h, sooner in a lean (common practice, no source).",
	}, preset.Assumptions...),
	Sources: append([]kit.Source{
		{Title: "Use of the grip", Detail: "a controller has to use at least 70 % of the grip there is: UN R78 (from memory)"},
	}, preset.Sources...),
	Caution:   preset.Caution,
	Simulates: true,
	Work:      work,
	Film: func(w *kit.Work) kit.Film {
		s := ridden(w)
		return &replay.Replay{Setup: &s.Setup, Trace: s.Trace, Result: s.Result, Obstacle: s.Setup.Obstacle,
			Rests: w.Band("stopping-distance"), Lifts: w.Band("lift-height")}
	},
}

// Ridden is a stop with all that its figures need. It is the Data of a calculation.
type Ridden struct {
	Setup  ride.Setup
	Result ride.Result
	Trace  *ride.Trace
	Spread *ride.Spread // of all rides, of which this is the middle one; nil for a single ride
}

// Ride rides a stop and records about 1,500 rows of it.
func Ride(setup ride.Setup) (*Ridden, error) {
	s := &Ridden{Setup: setup}
	limit := ride.LimitOf(&setup)
	lasts := min(300, 2*setup.Speed/max(limit.Deceleration, 0.1)+2*setup.Rise)
	s.Trace = ride.NewTrace(max(0.002, lasts/1500), lasts)
	var err error
	s.Result, err = ride.Run(&s.Setup, s.Trace)
	return s, err
}

func work(w *kit.Work) error {
	setup := preset.Setup(w)
	if err := fit(w, &setup); err != nil {
		return err
	}
	var spread *ride.Spread
	if setup.Channels != ride.None {
		// Which of the rides is the middle one shows once all are there; the first stands for it until then.
		shown := uint64(0)
		if !w.Quick() {
			var err error
			if spread, err = preset.Many(w, &setup); err != nil {
				return err
			}
			shown = spread.Middle()
		}
		setup = setup.Varied(shown)
	}
	s, err := Ride(setup)
	if err != nil {
		return preset.Refusal(w, err)
	}
	s.Spread = spread
	w.Data = s
	put(w, s)
	tell(w, s)
	w.Series = append([]figure.Table{account(&s.Result.Energy)}, preset.BikeTables(&s.Setup.Bike)...)
	return nil
}

// fit puts a front tyre of another size on the bike, of which the controller was not told.
func fit(w *kit.Work, setup *ride.Setup) error {
	if !w.Has("fitted") {
		return nil
	}
	read := func(input string) (float64, error) {
		size, err := tyre.ParseSize(w.Word(input))
		if err != nil {
			return 0, w.Refuse(input, input+": "+err.Error(), tyre.SizeHint)
		}
		return size.Circumference(), nil
	}
	original, err := read("original")
	if err != nil {
		return err
	}
	fitted, err := read("fitted")
	if err != nil {
		return err
	}
	setup.FrontTold = setup.Bike.Front.Radius
	setup.Bike.Front.Radius *= fitted / original
	return nil
}

// results are the outputs that every ride has.
var results = map[string]func(*ride.Result) float64{
	"stopping-distance": func(r *ride.Result) float64 { return r.StoppingDistance },
	"braking-time":      func(r *ride.Result) float64 { return r.BrakingTime },
	"mean-deceleration": func(r *ride.Result) float64 { return r.MeanDeceleration },
	"peak-deceleration": func(r *ride.Result) float64 { return r.PeakDeceleration },
	"grip-used":         func(r *ride.Result) float64 { return r.GripUsed },
	"front-locked-time": func(r *ride.Result) float64 { return r.FrontLockedTime },
	"rear-locked-time":  func(r *ride.Result) float64 { return r.RearLockedTime },
	"lift-height":       func(r *ride.Result) float64 { return r.LiftHeight },
	"lift-time":         func(r *ride.Result) float64 { return r.LiftTime },
	"cycles":            func(r *ride.Result) float64 { return float64(r.Cycles) },
	"cycle-frequency":   func(r *ride.Result) float64 { return float64(r.Cycles) / r.BrakingTime },
	"lever-pulse":       func(r *ride.Result) float64 { return r.LeverPulse },
	"impact-speed":      func(r *ride.Result) float64 { return r.ImpactSpeed },
}

// put sets the outputs: of many rides the middle of each with its band, of a single one what it came to.
func put(w *kit.Work, s *Ridden) {
	fall := s.Result.Fall
	for name, of := range results {
		if s.Spread != nil {
			preset.PutRange(w, name, s.Spread, of)
		} else {
			w.Put(name, of(&s.Result))
		}
	}
	if s.Spread != nil {
		fall = preset.FallOf(s.Spread)
	}
	preset.PutFall(w, fall)
	w.Put("ideal-distance", s.Result.IdealDistance)
	if s.Setup.Channels == ride.None {
		w.Void("cycles")
		w.Void("cycle-frequency")
		w.Void("lever-pulse")
	}
	if s.Setup.Obstacle == 0 {
		w.Void("impact-speed")
	}
}

// tell says what happened in the ride that is shown, cause and effect.
func tell(w *kit.Work, s *Ridden) {
	r := &s.Result
	time := func(v float64) kit.Amount { return kit.Amount{Value: v, Shown: preset.Time} }
	if r.FrontLocks {
		w.Happened("The front wheel stopped turning after {}: from then on it steered nothing.", time(r.TimeToLock))
	}
	switch {
	case r.LiftHeight > 0.02 && r.Fall == ride.OverTheFront:
		w.Happened("The rear wheel left the ground and the bike went over its front wheel.")
	case r.LiftHeight > 0.02:
		w.Happened("The rear wheel was in the air for {}.", time(r.LiftTime))
	}
	switch released := w.Output("cycles"); {
	case s.Setup.Channels == ride.None:
	case released < 1:
		w.Happened("The controller had nothing to do.")
	case released < 2:
		w.Happened("The controller released the brake once.")
	default:
		w.Happened("The controller released the brake {} times.", kit.Amount{Value: released, Shown: preset.Whole})
	}
	if r.ImpactSpeed > 0 {
		w.Happened("The bike reached the obstacle at {}.", kit.Amount{Value: r.ImpactSpeed, Shown: preset.Speed})
	}
}

// account is where the energy of the stop went.
func account(e *ride.Energy) figure.Table {
	return figure.Table{Columns: []figure.Column{
		{Label: "Where the energy went", Words: []string{"motion lost", "heat of the brakes", "tyres slipping", "air", "rolling", "height", "suspension"}},
		{Label: "Energy", Shown: preset.Joules, Values: []float64{e.Kinetic, e.Brake, e.Slip, e.Drag, e.Rolling, e.Grade, e.Suspension}},
		{Label: "Share", Shown: preset.FineShare, Values: shares(e.Kinetic, e.Kinetic, e.Brake, e.Slip, e.Drag, e.Rolling, e.Grade, e.Suspension)},
	}}
}

func shares(whole float64, parts ...float64) []float64 {
	for i := range parts {
		parts[i] /= math.Max(whole, 1)
	}
	return parts
}

func ridden(w *kit.Work) *Ridden { return w.Data.(*Ridden) }

var seconds = quantity.Shown{Kind: quantity.Time, Metric: "s", MetricDecimals: 2}
