// Package cycle answers: what does a faster controller buy? It rides the same stop for each cycle rate, many times
// over.
package cycle

import (
	"slices"
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
	Inputs: append(preset.Ride([]string{"cycle-rate", "obstacle", "original", "fitted"}, nil),
		kit.Input{Name: "rates", Label: "Cycle rates, Hz", Default: "5,7,10,15,20,30,50,70,100", Free: true,
			Help: "Up to twelve rates from 2 to 200 Hz with commas between."}),
	Presets: preset.Rides(),
	Outputs: []kit.Output{
		{Name: "best-gain", Symbol: "Δs", Label: "Gain of the best over the slowest rate", Sentence: "The best rate stops {} shorter than the slowest.", Shown: preset.Distance, Main: true},
		{Name: "best-rate", Symbol: "f_b", Label: "Best rate", Sentence: "That is at {}.", Shown: preset.Rate, Main: true},
		{Name: "enough-rate", Symbol: "f_e", Label: "Rate from which more buys nothing", Sentence: "From {} on a faster controller buys nothing that the road does not hide.", Shown: preset.Rate, Main: true},
		{Name: "shortest-distance", Symbol: "s_1", Label: "Shortest stop", Sentence: "It needs {}.", Shown: preset.Distance, Main: true},
		{Name: "longest-distance", Symbol: "s_2", Label: "Longest stop", Sentence: "The longest needs {}.", Shown: preset.Distance},
		{Name: "softest-pulse", Symbol: "p_1", Label: "Softest pulse at the lever", Sentence: "The softest pulse is {} of what the hand asks.", Shown: preset.FineShare},
		{Name: "hardest-pulse", Symbol: "p_2", Label: "Hardest pulse at the lever", Sentence: "The hardest is {}.", Shown: preset.FineShare},
		{Name: "ideal-distance", Symbol: "s_i", Label: "Shortest stop that grip and balance allow", Sentence: "A perfect stop would need {}.", Shown: preset.Distance},
	},
	Figures: []kit.Figure{{Name: "rates", Title: "Distance and lever pulse over the cycle rate", Draw: draw}},
	Assumptions: append([]string{
		"Everything but the rate stays the same: the same hand, wheels and road.",
		"The rate is the most cycles a second that the controller may begin; how many it needs is told beside it.",
	}, preset.Assumptions...),
	Sources:  preset.Sources,
	Caution:  preset.Caution,
	Long:     true,
	Work:     work,
	Condense: condense,
	Restore:  restore,
}

// sweep is what is known so far, a value for each rate. It is the Data of a calculation.
type sweep struct {
	rates           []float64
	distance, pulse ranges
	used, released  []float64
}

// ranges are middles with the limits between which nine of ten lie.
type ranges struct{ middle, low, high []float64 }

func (r *ranges) add(p *ride.Spread, of func(*ride.Result) float64) {
	r.middle = append(r.middle, p.Quantile(0.5, of))
	r.low = append(r.low, p.Quantile(0.05, of))
	r.high = append(r.high, p.Quantile(0.95, of))
}

// add takes the rides at one rate in, faster than all before it.
func (s *sweep) add(rate float64, p *ride.Spread) {
	s.rates = append(s.rates, rate)
	s.distance.add(p, func(r *ride.Result) float64 { return r.StoppingDistance })
	s.pulse.add(p, func(r *ride.Result) float64 { return r.LeverPulse })
	s.used = append(s.used, p.Quantile(0.5, func(r *ride.Result) float64 { return r.GripUsed }))
	s.released = append(s.released, p.Quantile(0.5, func(r *ride.Result) float64 { return float64(r.Cycles) / r.BrakingTime }))
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
		p, err := preset.Many(w, &setup)
		if err != nil {
			return err
		}
		s.add(rate, p)
		s.tell(w, p.Results[0].IdealDistance)
		if err := w.Step(i+1, len(rates)); err != nil {
			return err
		}
	}
	return nil
}

// columns are the numbers that are known of each rate.
func (s *sweep) columns() [9]*[]float64 {
	d, p := &s.distance, &s.pulse
	return [9]*[]float64{&s.rates, &d.middle, &d.low, &d.high, &p.middle, &p.low, &p.high, &s.used, &s.released}
}

// condense gives the ideal distance and then, column by column, what is known of the rates.
func condense(w *kit.Work) []float64 {
	numbers := []float64{w.Output("ideal-distance")}
	for _, column := range w.Data.(*sweep).columns() {
		numbers = append(numbers, *column...)
	}
	return numbers
}

func restore(w *kit.Work, numbers []float64) bool {
	rates, err := read(w)
	s := &sweep{}
	columns := s.columns()
	if err != nil || len(numbers) != 1+len(columns)*len(rates) {
		return false
	}
	for i, column := range columns {
		*column = numbers[1+i*len(rates):][:len(rates)]
	}
	w.Data = s
	s.tell(w, numbers[0])
	return slices.Equal(s.rates, rates)
}

// tell sets outputs and table from what is known.
func (s *sweep) tell(w *kit.Work, ideal float64) {
	best, worst, soft, hard := 0, 0, 0, 0
	for i, d := range s.distance.middle {
		if d < s.distance.middle[best] {
			best = i
		}
		if d > s.distance.middle[worst] {
			worst = i
		}
		if s.pulse.middle[i] < s.pulse.middle[soft] {
			soft = i
		}
		if s.pulse.middle[i] > s.pulse.middle[hard] {
			hard = i
		}
	}
	put := func(output string, r *ranges, i int) { w.PutBand(output, r.middle[i], r.low[i], r.high[i]) }
	w.Put("best-gain", s.distance.middle[0]-s.distance.middle[best])
	w.Put("best-rate", s.rates[best])
	w.Put("enough-rate", s.rates[s.enough(best)])
	put("shortest-distance", &s.distance, best)
	put("longest-distance", &s.distance, worst)
	put("softest-pulse", &s.pulse, soft)
	put("hardest-pulse", &s.pulse, hard)
	w.Put("ideal-distance", ideal)
	w.Series = []figure.Table{{Columns: []figure.Column{
		{Label: "Cycle rate, the most", Shown: preset.Rate, Values: s.rates},
		{Label: "Stopping distance, from first touch", Shown: preset.Distance, Values: s.distance.middle, Low: s.distance.low, High: s.distance.high},
		{Label: "Pulse at the lever", Shown: preset.FineShare, Values: s.pulse.middle, Low: s.pulse.low, High: s.pulse.high},
		{Label: "Releases a second", Shown: preset.FineRate, Values: s.released},
		{Label: "Share of what grip and balance allow", Shown: preset.Share, Values: s.used},
	}}}
}

// enough finds the slowest rate whose middle lies within the best one's band: what a faster one gains is less than one
// stop differs from the next.
func (s *sweep) enough(best int) int {
	for i, d := range s.distance.middle {
		if d <= s.distance.high[best] {
			return i
		}
	}
	return best
}

func draw(w *kit.Work, style figure.Style) figure.Scene {
	s, r := w.Data.(*sweep), style.Reader
	rate := figure.Axis{Label: "Most cycles a second", Shown: preset.Rate}
	ideal := w.Output("ideal-distance")
	top := figure.Chart{
		Runs: "rate", X: rate,
		Alt: r.Say("The stopping distance is {} at the slowest rate and {} at the best, {}; a perfect stop would need {}.",
			r.Quantity(s.distance.middle[0], preset.Distance), w.Tell("shortest-distance", r),
			w.Tell("best-rate", r), r.Quantity(ideal, preset.Distance)),
		Y:      figure.Axis{Label: "Stopping distance, from first touch", Shown: preset.Distance, From: 0.95 * ideal, To: ideal},
		Series: []figure.Series{{Role: "braking", X: s.rates, Y: s.distance.middle, Low: s.distance.low, High: s.distance.high}},
		Guides: []figure.Guide{{Role: "limit", Label: "perfect stop", At: ideal, Level: true}},
	}
	below := figure.Chart{X: rate, Y: figure.Axis{Label: "Pulse at the lever", Shown: preset.FineShare},
		Series: []figure.Series{{Role: "lever", X: s.rates, Y: s.pulse.middle, Low: s.pulse.low, High: s.pulse.high}}}
	for i := range s.rates {
		top.Spots = append(top.Spots, figure.Spot{Role: "now", X: s.rates[i], Y: s.distance.middle[i]})
		below.Spots = append(below.Spots, figure.Spot{Role: "lever", X: s.rates[i], Y: s.pulse.middle[i]})
	}
	return figure.Stack(style, &top, &below)
}
