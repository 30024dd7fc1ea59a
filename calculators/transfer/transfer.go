// Package transfer answers: what does braking do to my tyres' load? It is the statics of a bike in the plane: the
// deceleration times the height of the centre of gravity tips load from the rear tyre to the front one.
package transfer

import (
	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/preset"
	"example.org/gripleaf/calculators/quantity"
)

const gravity = quantity.StandardGravity

// Calculator is the transfer calculator.
var Calculator = kit.Calculator{
	ID:       "transfer",
	Title:    "Load transfer",
	Question: "What does braking do to my tyres' load?",
	Inputs: append(preset.Bike(false),
		kit.Input{Name: "deceleration", Symbol: "a", Label: "Deceleration", Shown: preset.Deceleration, Default: "6m/s2", Min: 0, Max: 20, Step: 0.1,
			Why: "no road tyre holds more"},
		kit.Input{Name: "grip", Symbol: "µ", Label: "Grip", Shown: preset.Grip, Default: "1.0", Min: 0.02, Max: 2, Step: 0.01,
			Help: "The friction between tyre and road: braking force over load.", Why: "bare ice has about 0.05, the best race tyres under 2"}),
	Presets: preset.Bikes(false, nil),
	Outputs: []kit.Output{
		{Name: "front-load", Symbol: "N_f", Label: "Load on the front tyre", Sentence: "The front tyre carries {}.", Shown: preset.Force, Main: true},
		{Name: "rear-load", Symbol: "N_r", Label: "Load on the rear tyre", Sentence: "The rear tyre carries {}.", Shown: preset.Force, Main: true},
		{Name: "front-share", Symbol: "f_b", Label: "Share of the weight in front while braking", Sentence: "That is {} of the weight in front.", Shown: preset.Share},
		{Name: "lift-deceleration", Symbol: "a_l", Label: "Deceleration that lifts the rear wheel", Sentence: "The rear wheel lifts at {}.", Shown: preset.Deceleration, Main: true},
		{Name: "grip-deceleration", Symbol: "a_g", Label: "Deceleration that uses up the grip", Sentence: "The tyres hold {}.", Shown: preset.Deceleration},
		{Name: "limit-deceleration", Symbol: "a_m", Label: "Hardest possible deceleration", Sentence: "So the hardest stop is {}.", Shown: preset.Deceleration, Main: true},
		{Name: "ideal-front-share", Symbol: "f_i", Label: "Best share of the brake force in front", Sentence: "At this deceleration the front brake should do {} of the work.", Shown: preset.Share},
	},
	Figures: []kit.Figure{
		{Name: "loads", Title: "Loads over deceleration", Draw: drawLoads},
		{Name: "forces", Title: "Front and rear brake force", Draw: drawForces},
	},
	Assumptions: []string{
		"The bike has settled: the dive is over, the suspension and the tyres have taken their new loads.",
		"The road is level and straight, air drag is left out, the rider stays put.",
		"A rear wheel off the ground carries nothing, and the front tyre then carries the whole weight.",
		"The bikes to choose from are invented.",
	},
	Sources: []kit.Source{
		{Title: "Load transfer and rear lift", Detail: "statics: m·a·h/L moves to the front; the rear lifts at g·b/h, b from the front contact to the centre of gravity; V. Cossalter, Motorcycle Dynamics, chapter 8 (from memory)"},
		{Title: "Ratio of height to wheelbase", Detail: "0.50 for a large tourer to 0.55 for a sport bike, J. R. Davis, Stoppies part 1"},
	},
	Work: work,
}

// Loads are the settled loads on the tyres in N for a mass in kg, the share of the weight in front at rest, the height
// of the centre of gravity over the wheelbase, and a deceleration in m/s². The rear one is never negative.
func Loads(mass, frontShare, ratio, deceleration float64) (front, rear float64) {
	weight := mass * gravity
	rear = max(0, weight*(1-frontShare)-mass*deceleration*ratio)
	return weight - rear, rear
}

// Lift is the deceleration in m/s² at which the rear wheel leaves the ground.
func Lift(frontShare, ratio float64) float64 { return gravity * (1 - frontShare) / ratio }

func ratio(w *kit.Work) float64 { return w.Number("cg-height") / w.Number("wheelbase") }

func work(w *kit.Work) error {
	share := w.Number("front-share")
	front, rear := Loads(w.Number("mass"), share, ratio(w), w.Number("deceleration"))
	lift, grip := Lift(share, ratio(w)), gravity*w.Number("grip")
	w.Put("front-load", front)
	w.Put("rear-load", rear)
	w.Put("front-share", front/(front+rear))
	w.Put("ideal-front-share", front/(front+rear))
	w.Put("lift-deceleration", lift)
	w.Put("grip-deceleration", grip)
	w.Put("limit-deceleration", min(lift, grip))
	return nil
}

func drawLoads(w *kit.Work, s figure.Style) figure.Scene {
	mass, share, r := w.Number("mass"), w.Number("front-share"), s.Reader
	lift, grip, a := w.Output("lift-deceleration"), w.Output("grip-deceleration"), w.Number("deceleration")
	top := max(a, min(lift, max(grip, gravity))) * 1.15
	// The load lines bend only where the rear wheel lifts.
	x := []float64{0}
	if lift < top {
		x = append(x, lift)
	}
	x = append(x, top)
	var front, rear []float64
	for _, d := range x {
		f, b := Loads(mass, share, ratio(w), d)
		front, rear = append(front, f), append(rear, b)
	}
	c := figure.Chart{
		Runs: "deceleration",
		Alt: r.Say("At {} the front tyre carries {} and the rear one {}; the rear wheel lifts at {}.", r.Quantity(a, preset.Deceleration),
			w.Tell("front-load", r), w.Tell("rear-load", r), r.Quantity(lift, preset.Deceleration)),
		X: figure.Axis{Label: "Deceleration", Shown: preset.Deceleration, To: top * 1.25}, // room for the last guide's label
		Y: figure.Axis{Label: "Load", Shown: preset.Force},
		Series: []figure.Series{
			{Role: "front", Label: "front tyre", X: x, Y: front, LabelAt: 0.25},
			{Role: "rear", Label: "rear tyre", X: x, Y: rear, LabelAt: 0.25},
		},
		Spots: []figure.Spot{
			{Role: "front", Label: w.Tell("front-load", r), X: a, Y: w.Output("front-load"), Input: "deceleration"},
			{Role: "rear", Label: w.Tell("rear-load", r), X: a, Y: w.Output("rear-load"), Below: true},
		},
	}
	if lift < top {
		c.Guides = append(c.Guides, figure.Guide{Role: "lift", Label: "rear wheel lifts", At: lift})
	}
	if grip < top {
		c.Guides = append(c.Guides, figure.Guide{Role: "limit", Label: "grip is used up", At: grip})
	}
	return c.Scene(s)
}

// drawForces draws which rear brake force belongs to each front one when both tyres use the same share of their grip.
func drawForces(w *kit.Work, s figure.Style) figure.Scene {
	mass, share, r := w.Number("mass"), w.Number("front-share"), s.Reader
	split := func(a float64) (float64, float64) {
		front, rear := Loads(mass, share, ratio(w), a)
		return mass * a * front / (front + rear), mass * a * rear / (front + rear)
	}
	lift := w.Output("lift-deceleration")
	var x, y []float64
	for i := range 41 {
		f, b := split(lift * float64(i) / 40)
		x, y = append(x, f), append(y, b)
	}
	a := min(w.Number("deceleration"), lift)
	f, b := split(a)
	gf, gb := split(w.Output("limit-deceleration"))
	c := figure.Chart{
		Runs: "front force",
		Alt: r.Say("For {} the front brake should give {} and the rear one {}.", r.Quantity(a, preset.Deceleration),
			r.Quantity(f, preset.Force), r.Quantity(b, preset.Force)),
		X:      figure.Axis{Label: "Front brake force", Shown: preset.Force},
		Y:      figure.Axis{Label: "Rear brake force", Shown: preset.Force},
		Series: []figure.Series{{Role: "braking", Label: "both tyres used alike", X: x, Y: y, LabelAt: 0.4}},
		Spots: []figure.Spot{
			{Role: "now", Label: r.Quantity(a, preset.Deceleration), X: f, Y: b},
			{Role: "limit", Label: r.Say("limit") + " " + w.Tell("limit-deceleration", r), X: gf, Y: gb, Below: true},
		},
	}
	return c.Scene(s)
}
