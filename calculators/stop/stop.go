// Package stop answers: how far until I stand? A stop is made of the way covered while the rider reacts, at constant
// speed, and the way covered while the brakes hold one constant deceleration.
package stop

import (
	"math"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/physics/bike"
	"example.org/gripleaf/calculators/preset"
	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/calculators/replay"
)

var (
	distance = quantity.Shown{Kind: quantity.Length, Metric: "m", Imperial: "ft", MetricDecimals: 1}
	speed    = quantity.Shown{Kind: quantity.Speed, Metric: "km/h", Imperial: "mph"}
	duration = quantity.Shown{Kind: quantity.Time, Metric: "s", MetricDecimals: 2}
)

// Calculator is the stop calculator.
var Calculator = kit.Calculator{
	ID:       "stop",
	Title:    "Stopping distance",
	Question: "How far until I have stopped?",
	Inputs: []kit.Input{
		{Name: "speed", Symbol: "v", Label: "Speed", Shown: speed, Default: "50km/h", Min: 1 / 3.6, Max: 400 / 3.6, Step: 1, Usual: kit.Usual{From: 10 / 3.6, To: 200 / 3.6},
			Help: "How fast you ride when you see the reason to brake.", Why: "no road bike is faster"},
		preset.Surface("surface", "Surface", "Sets the grip to the best that this surface gives.", ""),
		{Name: "grip", Symbol: "µ", Label: "Grip", Shown: quantity.Shown{Kind: quantity.Number, MetricDecimals: 2}, Default: "0.8", Min: 0.02, Max: 2, Step: 0.01,
			Help: "The friction between tyre and road: braking force over load.", Why: "bare ice has about 0.05, the best race tyres under 2"},
		{Name: "use", Symbol: "u", Label: "Share of that grip used", Shown: quantity.Shown{Kind: quantity.Share, Metric: "%"}, Default: "100%", Min: 0.01, Max: 1, Step: 1,
			Help: "How much of the grip the rider really calls up.", Why: "nobody brakes with more than the grip there is"},
		{Name: "reaction", Symbol: "t_r", Label: "Reaction time", Shown: quantity.Shown{Kind: quantity.Time, Metric: "s", MetricDecimals: 1}, Default: "1s", Min: 0, Max: 5, Step: 0.1,
			Help: "From seeing the reason to the first touch of the brake.", Why: "a rider who needs more than 5 s was not looking"},
		{Name: "grade", Symbol: "G", Label: "Slope, up positive", Shown: quantity.Shown{Kind: quantity.Share, Metric: "%"}, Default: "0%", Min: -0.3, Max: 0.3, Step: 1,
			Why: "steeper roads are hardly built"},
		{Name: "obstacle", Label: "Obstacle ahead", Shown: distance, Min: 0, Max: 2000, Step: 1, Usual: kit.Usual{To: 150},
			Help: "Its distance when you see it.", Why: "nobody sees farther"},
	},
	Presets: preset.GripOf("surface", "grip"),
	Outputs: []kit.Output{
		{Name: "stopping-distance", Symbol: "s", Label: "Stopping distance, from seeing", Sentence: "You come to a stop after {}.", Shown: distance, Main: true},
		{Name: "reaction-distance", Symbol: "s_r", Label: "Reaction distance", Sentence: "You roll {} before the brakes bite.", Shown: distance, Main: true},
		{Name: "braking-distance", Symbol: "s_b", Label: "Braking distance", Sentence: "The brakes need {}.", Shown: distance, Main: true},
		{Name: "stopping-time", Symbol: "t", Label: "Stopping time", Sentence: "The whole stop takes {}.", Shown: duration},
		{Name: "braking-time", Symbol: "t_b", Label: "Braking time", Sentence: "You brake for {}.", Shown: duration},
		{Name: "deceleration", Symbol: "a", Label: "Deceleration", Sentence: "The bike slows by {}.",
			Shown: quantity.Shown{Kind: quantity.Acceleration, Metric: "m/s2", Imperial: "ft/s2", MetricDecimals: 2, ImperialDecimals: 1}},
		{Name: "impact-speed", Symbol: "v_i", Label: "Speed at the obstacle", Sentence: "You reach the obstacle at {}.", Shown: speed},
	},
	Figures: []kit.Figure{
		{Name: "road", Title: "Speed along the road", Draw: drawRoad},
		{Name: "speeds", Title: "Stopping distance by speed", Draw: drawSpeeds},
	},
	Assumptions: []string{
		"The speed stays the same until the brakes bite; then one constant deceleration holds until the stop.",
		"Both wheels use their grip fully and together; nothing is lost while the brake force builds up.",
		"Air and rolling resistance are left out, so a real stop from high speed is a little shorter.",
		"Distances are measured along the road.",
	},
	Sources: []kit.Source{
		{Title: "Standard acceleration of gravity", Detail: "9.80665 m/s², 3rd General Conference on Weights and Measures, 1901"},
		{Title: "Stopping sight distance", Detail: "AASHTO, A Policy on Geometric Design of Highways and Streets: reaction at constant speed, then v²/(2a), with the grade added to a/g"},
		{Title: "Grip of a surface", Detail: "the peak of the tyre curve after Burckhardt, Fahrwerktechnik: Radschlupf-Regelsysteme, 1993"},
	},
	Work: work,
	Film: func(w *kit.Work) kit.Film {
		r := replay.Steady(bike.Presets()[0], w.Number("speed"), w.Number("reaction"), w.Output("deceleration"))
		if w.Has("obstacle") {
			r.Obstacle = w.Number("obstacle")
		}
		return r
	},
}

// Braking is the constant deceleration in m/s² along a slope: g·(grip·cos + sin), after AASHTO's a/g ± G.
func Braking(grip, grade float64) float64 {
	return quantity.StandardGravity * (grip + grade) / math.Sqrt(1+grade*grade)
}

func work(w *kit.Work) error {
	v := w.Number("speed")
	a := Braking(float64(w.Number("grip")*w.Number("use")), w.Number("grade"))
	if a < 0.01 {
		return w.Refuse("grade", "on this slope the bike does not stop: it pulls as hard as the brakes hold", "make the slope gentler or the grip better")
	}
	reaction, braking := v*w.Number("reaction"), v*v/(2*a)
	w.Put("reaction-distance", reaction)
	w.Put("braking-distance", braking)
	w.Put("stopping-distance", reaction+braking)
	w.Put("braking-time", v/a)
	w.Put("stopping-time", w.Number("reaction")+v/a)
	w.Put("deceleration", a)
	w.Put("impact-speed", impact(v, a, reaction, w))
	return nil
}

func impact(v, a, reaction float64, w *kit.Work) float64 {
	if !w.Has("obstacle") {
		w.Void("impact-speed")
		return 0
	}
	braked := max(0, w.Number("obstacle")-reaction)
	return math.Sqrt(max(0, v*v-2*a*braked))
}

func drawRoad(w *kit.Work, s figure.Style) figure.Scene {
	v, a := w.Number("speed"), w.Output("deceleration")
	reaction, end := w.Output("reaction-distance"), w.Output("stopping-distance")
	x, y := make([]float64, 0, 50), make([]float64, 0, 50)
	x, y = append(x, 0, reaction), append(y, v, v)
	for i := 1; i <= 48; i++ {
		left := v * float64(48-i) / 48 // equal steps of speed follow the curve best
		x, y = append(x, reaction+(v*v-left*left)/(2*a)), append(y, left)
	}
	c := figure.Chart{
		Runs: "distance",
		Alt: s.Reader.Say("The speed stays at {} for {} of road, then falls to zero at {}.",
			s.Reader.Quantity(v, speed), s.Reader.Quantity(reaction, distance), s.Reader.Quantity(end, distance)),
		X: figure.Axis{Label: "Distance", Tells: "stopping-distance", Shown: quantity.Shown{Kind: quantity.Length, Metric: "m", Imperial: "ft"}},
		Y: figure.Axis{Label: "Speed", Shown: speed},
		Bands: []figure.Band{
			{Role: "reaction", Label: "reaction", From: 0, To: reaction},
			{Role: "braking", Label: "braking", From: reaction, To: end},
		},
		Series: []figure.Series{{Role: "speed", X: x, Y: y}},
		Spots: []figure.Spot{{Role: "now", Label: s.Reader.Quantity(end, distance), X: end},
			{Role: "now", Y: v, Input: "speed", Upright: true}},
	}
	if w.Has("obstacle") && w.Number("obstacle") <= 3*end {
		at := w.Number("obstacle")
		c.Guides = append(c.Guides, figure.Guide{Role: "obstacle", Label: "obstacle", At: at, Input: "obstacle"})
		if hit := w.Output("impact-speed"); hit > 0 {
			c.Spots = append(c.Spots, figure.Spot{Role: "locked", Label: s.Reader.Quantity(hit, speed), X: at, Y: hit})
		}
	}
	return c.Scene(s)
}

func drawSpeeds(w *kit.Work, s figure.Style) figure.Scene {
	v, a, t := w.Number("speed"), w.Output("deceleration"), w.Number("reaction")
	top := max(v*1.4, 60/3.6)
	var x, total, rolled []float64
	for i := range 41 {
		u := top * float64(i) / 40
		x, rolled, total = append(x, u), append(rolled, u*t), append(total, u*t+u*u/(2*a))
	}
	c := figure.Chart{
		Runs: "speed",
		Alt: s.Reader.Say("Reaction grows in step with speed, braking with its square. From {} the bike comes to a stop after {}.",
			s.Reader.Quantity(v, speed), w.Tell("stopping-distance", s.Reader)),
		X: figure.Axis{Label: "Speed", Shown: speed},
		Y: figure.Axis{Label: "Distance", Tells: "stopping-distance", Shown: quantity.Shown{Kind: quantity.Length, Metric: "m", Imperial: "ft"}},
		Series: []figure.Series{
			{Role: "braking", Label: "stopping", X: x, Y: total, Fill: true, LabelAt: 0.9},
			{Role: "reaction", Label: "reaction", X: x, Y: rolled, Fill: true, LabelAt: 0.9},
		},
		Spots: []figure.Spot{{Role: "now", Label: w.Tell("stopping-distance", s.Reader), X: v, Y: w.Output("stopping-distance"), Input: "speed"}},
	}
	return c.Scene(s)
}
