// Package cycle answers: what does a faster controller buy? It rides the same stop once for each cycle rate.
package cycle

import (
	"strconv"
	"strings"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/physics/ride"
	"example.org/gripleaf/calculators/preset"
)

// Calculator is the cycle calculator.
var Calculator = kit.Calculator{
	ID:       "cycle",
	Title:    "Cycle rate",
	Question: "What does a faster controller buy?",
	Inputs: append(preset.Ride([]string{"cycle-rate"}, nil),
		kit.Input{Name: "rates", Label: "Cycle rates, Hz", Default: "5,7,10,15,20,30,50,70,100", Free: true,
			Help: "Up to twelve rates from 2 to 200 Hz with commas between."}),
	Presets: preset.Rides(),
	Outputs: []kit.Output{
		{Name: "best-gain", Symbol: "Δs", Label: "Gain of the best over the worst", Sentence: "The best rate stops {} shorter than the worst.", Shown: preset.Distance, Main: true},
		{Name: "best-rate", Symbol: "f_b", Label: "Best rate", Sentence: "That is at {}.", Shown: preset.Rate, Main: true},
		{Name: "shortest-distance", Symbol: "s_1", Label: "Shortest stop", Sentence: "It needs {}.", Shown: preset.Distance, Main: true},
		{Name: "longest-distance", Symbol: "s_2", Label: "Longest stop", Sentence: "The worst needs {}.", Shown: preset.Distance},
		{Name: "softest-pulse", Symbol: "p_1", Label: "Softest pulse at the lever", Sentence: "The softest pulse is {} of what the hand asks.", Shown: preset.FineShare},
		{Name: "hardest-pulse", Symbol: "p_2", Label: "Hardest pulse at the lever", Sentence: "The hardest is {}.", Shown: preset.FineShare},
		{Name: "ideal-distance", Symbol: "s_i", Label: "Shortest stop that grip and balance allow", Sentence: "A perfect stop would need {}.", Shown: preset.Distance},
	},
	Figures: []kit.Figure{{Name: "rates", Title: "Distance and lever pulse over the cycle rate", Draw: draw}},
	Assumptions: append([]string{
		"Everything but the rate stays the same: the same hand, wheels and road.",
		"A controller that may act often may also act less often: each rate is given the best of its own ride and those of all slower ones. Every ride by itself stands beside that in the table.",
	}, preset.Assumptions...),
	Sources: preset.Sources,
	Caution: preset.Caution,
	Long:    true,
	Work:    work,
}

// sweep is what is known so far. It is the Data of a calculation.
type sweep struct {
	rates, ridden, felt, used []float64 // of each rate's own ride
	distances, pulses         []float64 // the best up to each rate
}

// add takes the ride at one rate in, faster than all before it.
func (s *sweep) add(rate float64, r ride.Result) {
	distance, pulse := r.StoppingDistance, r.LeverPulse
	s.rates, s.ridden = append(s.rates, rate), append(s.ridden, distance)
	s.felt, s.used = append(s.felt, pulse), append(s.used, r.GripUsed)
	if n := len(s.distances); n > 0 {
		distance, pulse = min(distance, s.distances[n-1]), min(pulse, s.pulses[n-1])
	}
	s.distances, s.pulses = append(s.distances, distance), append(s.pulses, pulse)
}

const mostRates = 12

// read takes the list of rates apart; they are put in order.
func read(w *kit.Work) ([]float64, error) {
	var rates []float64
	for field := range strings.SplitSeq(w.Word("rates"), ",") {
		f, err := strconv.ParseFloat(strings.TrimSuffix(strings.TrimSpace(field), "Hz"), 64)
		if err != nil || !(f >= 2 && f <= 200) {
			return nil, w.Refuse("rates", "rates: "+strconv.Quote(field)+" is not a rate from 2 to 200 Hz", "write rates with commas between, such as 5,10,50,100")
		}
		at := 0
		for at < len(rates) && rates[at] < f {
			at++
		}
		if at == len(rates) || rates[at] != f {
			rates = append(rates[:at], append([]float64{f}, rates[at:]...)...)
		}
	}
	if len(rates) > mostRates {
		return nil, w.Refuse("rates", "rates: there are more than twelve", "leave some out")
	}
	return rates, nil
}

func work(w *kit.Work) error {
	rates, err := read(w)
	if err != nil {
		return err
	}
	setup := preset.Setup(w)
	if setup.Channels == ride.None {
		return w.Refuse("channels", "channels: without a controller there is no cycle", "choose front or both")
	}
	s := &sweep{}
	w.Data = s
	for i, rate := range rates {
		setup.CycleRate = rate
		r, err := ride.Run(&setup, nil)
		if err != nil {
			return preset.Refusal(w, err)
		}
		s.add(rate, r)
		s.tell(w, r.IdealDistance)
		if err := w.Step(i+1, len(rates)); err != nil {
			return err
		}
	}
	return nil
}

// tell sets outputs and table from what is known. The slowest controller is the worst, since each faster one can do
// as it does.
func (s *sweep) tell(w *kit.Work, ideal float64) {
	last := len(s.rates) - 1
	best := 0
	for s.distances[best] > s.distances[last] {
		best++
	}
	w.Put("best-gain", s.distances[0]-s.distances[best])
	w.Put("best-rate", s.rates[best])
	w.Put("shortest-distance", s.distances[best])
	w.Put("longest-distance", s.distances[0])
	w.Put("softest-pulse", s.pulses[last])
	w.Put("hardest-pulse", s.pulses[0])
	w.Put("ideal-distance", ideal)
	w.Series = []figure.Table{{Columns: []figure.Column{
		{Label: "Cycle rate", Shown: preset.Rate, Values: s.rates},
		{Label: "Stopping distance, from first touch", Shown: preset.Distance, Values: s.distances},
		{Label: "Pulse at the lever", Shown: preset.FineShare, Values: s.pulses},
		{Label: "Distance of this rate's own ride", Shown: preset.Distance, Values: s.ridden},
		{Label: "Pulse of this rate's own ride", Shown: preset.FineShare, Values: s.felt},
		{Label: "Share of what grip and balance allow", Shown: preset.Share, Values: s.used},
	}}}
}

func draw(w *kit.Work, style figure.Style) figure.Scene {
	s, r := w.Data.(*sweep), style.Reader
	rate := figure.Axis{Label: "Cycle rate", Shown: preset.Rate}
	ideal := w.Output("ideal-distance")
	top := figure.Chart{
		Runs: "rate", X: rate,
		Alt: r.Say("The stopping distance is {} at the worst rate and {} at the best, {}; a perfect stop would need {}.",
			w.Tell("longest-distance", r), w.Tell("shortest-distance", r),
			w.Tell("best-rate", r), r.Quantity(ideal, preset.Distance)),
		Y:      figure.Axis{Label: "Stopping distance, from first touch", Shown: preset.Distance, From: 0.95 * ideal, To: ideal},
		Series: []figure.Series{{Role: "braking", X: s.rates, Y: s.distances}},
		Guides: []figure.Guide{{Role: "limit", Label: "perfect stop", At: ideal, Level: true}},
	}
	below := figure.Chart{X: rate, Y: figure.Axis{Label: "Pulse at the lever", Shown: preset.FineShare},
		Series: []figure.Series{{Role: "lever", X: s.rates, Y: s.pulses}}}
	for i := range s.rates {
		top.Spots = append(top.Spots, figure.Spot{Role: "now", X: s.rates[i], Y: s.ridden[i]})
		below.Spots = append(below.Spots, figure.Spot{Role: "lever", X: s.rates[i], Y: s.felt[i]})
	}
	return figure.Stack(style, &top, &below)
}
