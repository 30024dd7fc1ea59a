// Package gap answers: I brake later than the one ahead, do we meet? Two vehicles ride one behind the other; the one
// ahead brakes, the one behind reacts and brakes too, each with one constant deceleration to its stop.
package gap

import (
	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/preset"
	"example.org/gripleaf/calculators/quantity"
)

// Calculator is the gap calculator.
var Calculator = kit.Calculator{
	ID:       "gap",
	Title:    "The gap to the one ahead",
	Question: "I brake later than the one ahead: do we meet?",
	Inputs: []kit.Input{
		{Name: "speed", Symbol: "v", Label: "Speed", Shown: preset.Speed, Default: "80km/h", Min: 1 / 3.6, Max: 400 / 3.6, Step: 1, Usual: kit.Usual{From: 10 / 3.6, To: 200 / 3.6},
			Help: "Your speed when the one ahead begins to brake.", Why: "no road bike is faster"},
		{Name: "gap", Symbol: "d", Label: "Gap", Shown: quantity.Shown{Kind: quantity.Time, Metric: "s", MetricDecimals: 1}, Default: "1.5s", Min: 0.1, Max: 10, Step: 0.1,
			Also: []kit.Other{{Shown: preset.Distance, Min: 0.1, Max: 1000, Step: 1}},
			Help: "From your front tyre to the rear of the one ahead, as the time you take to ride it or as a distance.", Why: "nearer is touching, farther is not following"},
		{Name: "reaction", Symbol: "t_r", Label: "Reaction time", Shown: quantity.Shown{Kind: quantity.Time, Metric: "s", MetricDecimals: 1}, Default: "1s", Min: 0, Max: 5, Step: 0.1,
			Help: "From the brake light ahead to the first touch of your brake.", Why: "a rider who needs more than 5 s was not looking"},
		{Name: "lead-deceleration", Symbol: "a_l", Label: "Deceleration of the one ahead", Shown: preset.Deceleration, Default: "7m/s2", Min: 0.5, Max: 20, Step: 0.1,
			Why: "less is coasting, and no road tyre holds more"},
		{Name: "own-deceleration", Symbol: "a_o", Label: "Your deceleration", Shown: preset.Deceleration, Default: "7m/s2", Min: 0.5, Max: 20, Step: 0.1,
			Why: "less is coasting, and no road tyre holds more"},
		{Name: "lead-speed", Symbol: "v_l", Label: "Speed of the one ahead", Shown: preset.Speed, Min: 0, Max: 400 / 3.6, Step: 1, Usual: kit.Usual{To: 200 / 3.6},
			Help: "The same as yours unless given.", Why: "no road bike is faster"},
	},
	Outputs: []kit.Output{
		{Name: "closest", Symbol: "s_c", Label: "Closest approach", Sentence: "At the closest, {} is left between you.", Shown: preset.Distance, Main: true},
		{Name: "meets", Label: "You meet", Sentence: "Do you run into the one ahead? {}.", Shown: preset.YesNo, Main: true},
		{Name: "closing-speed", Symbol: "v_c", Label: "Closing speed when you meet", Sentence: "You would hit at a difference of {}.", Shown: preset.Speed, Main: true},
		{Name: "needed-gap", Symbol: "d_n", Label: "Gap that is just enough", Sentence: "A gap of {} is just enough.", Shown: preset.Distance},
		{Name: "moment", Symbol: "t_c", Label: "When you meet or are closest", Sentence: "That is {} after the brake light.", Shown: preset.Time},
	},
	Figures: []kit.Figure{
		{Name: "positions", Title: "Where both are", Draw: drawPositions},
		{Name: "speeds", Title: "How fast both are", Draw: drawSpeeds},
	},
	Assumptions: []string{
		"Both ride in one line; nobody swerves.",
		"The one ahead brakes with one constant deceleration at once; you ride on at your speed for the reaction time and then do the same.",
		"The gap is counted from your front tyre to the rear of the one ahead.",
	},
	Sources: []kit.Source{
		{Title: "Motion with constant deceleration", Detail: "s = v·t - a·t²/2, OpenStax College Physics 2e, chapter 2"},
	},
	Work: work,
}

func pairOf(w *kit.Work) pair {
	own := vehicle{speed: w.Number("speed"), brakes: w.Number("reaction"), deceleration: w.Number("own-deceleration")}
	lead := vehicle{speed: own.speed, deceleration: w.Number("lead-deceleration")}
	if w.Has("lead-speed") {
		lead.speed = w.Number("lead-speed")
	}
	gap := w.Number("gap")
	if w.Kind("gap") == quantity.Time {
		gap *= own.speed
	}
	return pair{own, lead, gap}
}

func work(w *kit.Work) error {
	p := pairOf(w)
	t, needed := p.nearest()
	w.Put("needed-gap", needed)
	w.Put("closest", max(0, p.gap-needed))
	if met, ok := p.meeting(); ok {
		t = met
		w.Put("meets", 1)
		w.Put("closing-speed", max(0, p.own.speedAt(t)-p.lead.speedAt(t)))
	}
	if w.Output("meets") == 0 {
		w.Void("closing-speed")
	}
	w.Put("moment", t)
	return nil
}

// moments are the times at which both are drawn: to the end of both stops, or to their meeting.
func moments(w *kit.Work, p pair) []float64 {
	end := max(p.own.stops(), p.lead.stops())
	if w.Output("meets") != 0 {
		end = w.Output("moment")
	}
	times := make([]float64, 61)
	for i := range times {
		times[i] = end * float64(i) / 60
	}
	return times
}

func drawPositions(w *kit.Work, s figure.Style) figure.Scene {
	p, r := pairOf(w), s.Reader
	times := moments(w, p)
	own, lead := make([]float64, len(times)), make([]float64, len(times))
	for i, t := range times {
		own[i], lead[i] = p.own.at(t), p.gap+p.lead.at(t)
	}
	c := figure.Chart{
		Runs: "time",
		Alt: r.Say("You and the one ahead come no nearer than {}, {} after the brake light.",
			w.Tell("closest", r), w.Tell("moment", r)),
		X: figure.Axis{Label: "Time", Shown: figureTime},
		Y: figure.Axis{Label: "Place on the road", Shown: preset.Road},
		Series: []figure.Series{
			{Role: "other", Label: "rear of the one ahead", X: times, Y: lead, LabelAt: 0.6},
			{Role: "front", Label: "you", X: times, Y: own, LabelAt: 0.4},
		},
		Guides: []figure.Guide{{Role: "reaction", Label: "you brake", At: p.own.brakes, Input: "reaction"}},
	}
	t := w.Output("moment")
	spot := figure.Spot{Role: "now", Label: w.Tell("closest", r), X: t, Y: p.own.at(t), Below: true}
	if w.Output("meets") != 0 {
		spot.Role, spot.Label = "locked", w.Tell("closing-speed", r)
		c.Alt = r.Say("You meet {} after the brake light, at a difference of {}.", r.Quantity(t, preset.Time), w.Tell("closing-speed", r))
	}
	c.Spots = append(c.Spots, spot)
	return c.Scene(s)
}

var figureTime = quantity.Shown{Kind: quantity.Time, Metric: "s", MetricDecimals: 2}

func drawSpeeds(w *kit.Work, s figure.Style) figure.Scene {
	p, r := pairOf(w), s.Reader
	times := moments(w, p)
	own, lead := make([]float64, len(times)), make([]float64, len(times))
	for i, t := range times {
		own[i], lead[i] = p.own.speedAt(t), p.lead.speedAt(t)
	}
	c := figure.Chart{
		Runs: "time",
		Alt: r.Say("The one ahead has stopped after {}, you after {}.",
			r.Quantity(p.lead.stops(), preset.Time), r.Quantity(p.own.stops(), preset.Time)),
		X: figure.Axis{Label: "Time", Shown: figureTime},
		Y: figure.Axis{Label: "Speed", Shown: preset.Speed},
		Series: []figure.Series{
			{Role: "other", Label: "the one ahead", X: times, Y: lead, LabelAt: 0.4},
			{Role: "front", Label: "you", X: times, Y: own, LabelAt: 0.6},
		},
		Guides: []figure.Guide{{Role: "reaction", Label: "you brake", At: p.own.brakes}},
	}
	return c.Scene(s)
}
