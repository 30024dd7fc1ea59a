// Package squeeze answers: grab or squeeze? It rides the stop without a controller for hands of every haste, and shows
// for the chosen one how the tyre's grip grows only as fast as the load moves.
package squeeze

import (
	"math"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/physics/ride"
	"example.org/gripleaf/calculators/preset"
	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/calculators/replay"
)

// Calculator is the squeeze calculator.
var Calculator = kit.Calculator{
	ID:       "squeeze",
	Title:    "Grab or squeeze",
	Question: "Grab or squeeze?",
	Inputs:   preset.Ride([]string{"channels", "cycle-rate", "lift-control", "obstacle", "original", "fitted"}, map[string]string{"demand": "90%"}),
	Presets:  preset.Rides(),
	Outputs: []kit.Output{
		{Name: "stopping-distance", Symbol: "s", Label: "Stopping distance, from first touch", Sentence: "With this squeeze you need {}.", Shown: preset.Distance, Main: true},
		{Name: "locks", Label: "The front wheel locks", Sentence: "Does the front wheel lock? {}.", Shown: preset.YesNo, Main: true},
		{Name: "time-to-lock", Symbol: "t_l", Label: "Time until the front wheel locks", Sentence: "It locks {} after the first touch.", Shown: preset.Time, Main: true},
		{Name: "fall-likely", Label: "A fall is likely", Sentence: "Is a fall likely? {}.", Shown: preset.YesNo},
		preset.FallReason(),
		{Name: "peak-front-load", Symbol: "N_f", Label: "Greatest load on the front tyre", Sentence: "The front tyre carries up to {}.", Shown: preset.Force},
		{Name: "edge-rise", Symbol: "t_e", Label: "Quickest squeeze that stays upright", Sentence: "A squeeze quicker than {} throws the bike down.", Shown: preset.Time},
		{Name: "best-rise", Symbol: "t_b", Label: "Best time of the squeeze", Sentence: "The best squeeze takes {}.", Shown: preset.Time, Main: true},
		{Name: "best-distance", Symbol: "s_b", Label: "Stopping distance with it", Sentence: "It stops you in {}.", Shown: preset.Distance, Main: true},
	},
	Figures: []kit.Figure{
		{Name: "grip", Title: "What is asked of the front tyre and what it holds", Draw: drawGrip},
		{Name: "rises", Title: "Stopping distance over the time of the squeeze", Draw: drawRises},
	},
	Assumptions: append([]string{
		"There is no controller. The hand pulls evenly to its force and holds on, even when the wheel locks.",
		"Times from 0.05 to 1 s are tried; the best is the shortest stop in which the front wheel does not lock and the bike stays upright, if there is one. A hundredth of a second quicker than the edge is a fall, a tenth slower costs a metre or two: leave room.",
	}, preset.Assumptions...),
	Sources: append([]kit.Source{
		{Title: "Time of an expert's squeeze", Detail: "about 250 ms: M. Corno, S. M. Savaresi, M. Tanelli and L. Fabbri, On optimal motorcycle braking, Control Engineering Practice 16 (2008), abstract"},
	}, preset.Sources...),
	Caution: preset.Caution,
	Long:    true,
	Work:    work,
	Film: func(w *kit.Work) kit.Film {
		s := w.Data.(*swept)
		return &replay.Replay{Setup: &s.setup, Trace: s.trace, Result: s.result, Obstacle: s.setup.Obstacle}
	},
}

// swept is what is known so far. It is the Data of a calculation.
type swept struct {
	setup  ride.Setup
	trace  *ride.Trace // of the chosen squeeze
	result ride.Result // and what it came to
	peak   float64     // grip of the first surface

	rises, distances, locks, falls []float64
}

// rises are the times that are tried.
var rises = [...]float64{0.05, 0.07, 0.1, 0.13, 0.16, 0.2, 0.25, 0.3, 0.35, 0.4, 0.5, 0.6, 0.7, 0.85, 1}

func work(w *kit.Work) error {
	s := &swept{setup: preset.Setup(w)}
	w.Data = s
	_, s.peak = s.setup.Surface.Peak()
	if err := s.chosen(w); err != nil {
		return err
	}
	setup := s.setup
	for i, rise := range rises {
		setup.Rise = rise
		r, err := ride.Run(&setup, nil)
		if err != nil {
			return preset.Refusal(w, err)
		}
		s.rises, s.distances = append(s.rises, rise), append(s.distances, r.StoppingDistance)
		s.locks, s.falls = append(s.locks, truth(r.FrontLocks)), append(s.falls, truth(r.Fall != ride.Upright))
		s.tell(w)
		if err := w.Step(i+1, len(rises)); err != nil {
			return err
		}
	}
	return s.edge(w)
}

func truth(yes bool) float64 {
	if yes {
		return 1
	}
	return 0
}

// chosen rides the squeeze that the reader asks for, with a record of its first two seconds.
func (s *swept) chosen(w *kit.Work) error {
	s.trace = ride.NewTrace(0.004, 6)
	r, err := ride.Run(&s.setup, s.trace)
	if err != nil {
		return preset.Refusal(w, err)
	}
	s.result = r
	w.Put("stopping-distance", r.StoppingDistance)
	w.Put("locks", truth(r.FrontLocks))
	w.Put("time-to-lock", r.TimeToLock)
	preset.PutFall(w, r.Fall)
	w.Put("peak-front-load", r.PeakFrontLoad)
	if !r.FrontLocks {
		w.Void("time-to-lock")
	}
	return nil
}

// safe reports whether a squeeze neither locks the front wheel nor throws the bike down.
func (s *swept) safe(i int) bool { return s.locks[i] == 0 && s.falls[i] == 0 }

// edge finds, from the best squeeze on, the quickest that is still safe, to a thousandth of a second.
func (s *swept) edge(w *kit.Work) error {
	first := s.best()
	for first > 0 && s.safe(first-1) {
		first--
	}
	w.Put("edge-rise", s.rises[first])
	if first == 0 || !s.safe(first) { // all quicker ones are safe, or none is
		w.Void("edge-rise")
		return nil
	}
	setup, low, high := s.setup, s.rises[first-1], s.rises[first]
	for high-low > 0.001 {
		setup.Rise = 0.5 * (low + high)
		r, err := ride.Run(&setup, nil)
		if err != nil {
			return preset.Refusal(w, err)
		}
		if r.FrontLocks || r.Fall != ride.Upright {
			low = setup.Rise
		} else {
			high = setup.Rise
		}
	}
	w.Put("edge-rise", high)
	return nil
}

// best finds the shortest stop: one without a lock or a fall is better than any with one.
func (s *swept) best() int {
	best := 0
	for i := range s.rises {
		if s.safe(i) == s.safe(best) && s.distances[i] < s.distances[best] || s.safe(i) && !s.safe(best) {
			best = i
		}
	}
	return best
}

// tell sets the best and the table from what is known.
func (s *swept) tell(w *kit.Work) {
	best := s.best()
	w.Put("best-rise", s.rises[best])
	w.Put("best-distance", s.distances[best])
	w.Series = append([]figure.Table{{Columns: []figure.Column{
		{Label: "Time of the squeeze", Shown: preset.Time, Values: s.rises},
		{Label: "Stopping distance, from first touch", Shown: preset.Distance, Values: s.distances},
		{Label: "The front wheel locks", Shown: preset.YesNo, Values: s.locks},
		{Label: "A fall is likely", Shown: preset.YesNo, Values: s.falls},
	}}}, preset.BikeTables(&s.setup.Bike)...)
}

// drawGrip draws, for the chosen squeeze, the brake's force at the front tyre beside the most that the tyre holds with
// the load it has at each moment: where the first is above the second the wheel is on its way to lock.
func drawGrip(w *kit.Work, style figure.Style) figure.Scene {
	s, r := w.Data.(*swept), style.Reader
	t, end := s.trace, &s.setup.Bike.Front
	var x, asked, holds []float64
	until := max(1, 2*s.setup.Rise)
	if w.Output("locks") != 0 {
		until = max(until, 1.3*w.Output("time-to-lock"))
	}
	for i, at := range t.Time {
		if at > until {
			break
		}
		x = append(x, at)
		asked = append(asked, end.Brake.Gain()*t.FrontPressure[i]/end.Radius)
		holds = append(holds, s.peak*t.FrontLoad[i])
	}
	c := figure.Chart{
		Runs: "time",
		Alt: r.Say("The brake asks of the front tyre up to {}; the tyre holds {} at first and up to {} once the load has moved.",
			r.Quantity(top(asked), preset.Force), r.Quantity(holds[0], preset.Force), r.Quantity(top(holds), preset.Force)),
		X: figure.Axis{Label: "Time from the first touch", Shown: quantity.Shown{Kind: quantity.Time, Metric: "s", MetricDecimals: 2}},
		Y: figure.Axis{Label: "Force on the front tyre", Shown: preset.Force},
		Series: []figure.Series{
			{Role: "grip", Label: "the tyre holds", X: x, Y: holds, LabelAt: 0.8},
			{Role: "hand", Label: "the brake asks", X: x, Y: asked, LabelAt: 0.6},
		},
	}
	if w.Output("locks") != 0 {
		c.Guides = append(c.Guides, figure.Guide{Role: "locked", Label: "front wheel locks", At: w.Output("time-to-lock")})
	}
	return c.Scene(style)
}

func top(values []float64) float64 {
	most := 0.0
	for _, v := range values {
		most = math.Max(most, v)
	}
	return most
}

func drawRises(w *kit.Work, style figure.Style) figure.Scene {
	s, r := w.Data.(*swept), style.Reader
	c := figure.Chart{
		Runs: "rise",
		Alt: r.Say("The best squeeze takes {} and stops in {}; a grab within {} needs {}.", w.Tell("best-rise", r),
			w.Tell("best-distance", r), r.Quantity(s.rises[0], preset.Time), r.Quantity(s.distances[0], preset.Distance)),
		X:      figure.Axis{Label: "Time of the squeeze", Shown: preset.Time},
		Y:      figure.Axis{Label: "Stopping distance, from first touch", Tells: "stopping-distance", Shown: preset.Distance, From: s.distances[0], To: s.distances[0]},
		Series: []figure.Series{{Role: "braking", X: s.rises, Y: s.distances}},
		Guides: []figure.Guide{{Role: "now", Label: r.Quantity(s.setup.Rise, preset.Time), At: s.setup.Rise, Input: "rise"}},
	}
	for i, rise := range s.rises {
		spot := figure.Spot{Role: "now", X: rise, Y: s.distances[i]}
		if !s.safe(i) {
			spot.Role = "locked"
			if i == 0 && s.locks[i] != 0 {
				spot.Label = "locks"
			}
		} else if rise == w.Output("best-rise") {
			spot.Label = r.Quantity(s.distances[i], preset.Distance)
		}
		c.Spots = append(c.Spots, spot)
	}
	return c.Scene(style)
}
