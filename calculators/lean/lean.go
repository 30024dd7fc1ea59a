// Package lean answers: what is left for braking in a corner? The corner takes its part of the grip; by the ellipse of
// combined grip the rest is there for the brakes.
package lean

import (
	"math"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/physics/tyre"
	"example.org/gripleaf/calculators/preset"
	"example.org/gripleaf/calculators/quantity"
)

const gravity = quantity.StandardGravity

// Calculator is the lean calculator.
var Calculator = kit.Calculator{
	ID:       "lean",
	Title:    "Braking in a corner",
	Question: "What is left for braking in a corner?",
	Inputs: []kit.Input{
		{Name: "speed", Symbol: "v", Label: "Speed", Shown: preset.Speed, Default: "50km/h", Min: 1 / 3.6, Max: 400 / 3.6, Step: 1,
			Why: "no road bike is faster"},
		{Name: "radius", Symbol: "r", Label: "Radius of the corner", Shown: preset.Distance, Default: "40m", Min: 3, Max: 5000, Step: 1,
			Help: "Of the line you ride, not of the road's edge.", Why: "a tighter one is turning on the spot, a wider one is straight on"},
		{Name: "lean", Symbol: "θ_0", Label: "Lean, instead of the radius", Shown: preset.Angle, Min: 0.1 * math.Pi / 180, Max: 65 * math.Pi / 180, Step: 1,
			Help: "Of the line from the tyres to the centre of gravity, from upright.", Why: "not even racers lean farther"},
		preset.Surface("surface", "Surface", "Sets the grip to the best that this surface gives.", ""),
		{Name: "grip", Symbol: "µ", Label: "Grip", Shown: preset.Grip, Default: "0.9", Min: 0.02, Max: 2, Step: 0.01,
			Help: "The friction between tyre and road: force along the road over load.", Why: "bare ice has about 0.05, the best race tyres under 2"},
		{Name: "stand-up", Symbol: "t_u", Label: "Time to stand the bike up", Shown: quantity.Shown{Kind: quantity.Time, Metric: "s", MetricDecimals: 1}, Default: "0.7s", Min: 0, Max: 3, Step: 0.1,
			Help: "From the decision until the bike is upright and you may brake fully.", Why: "slower is riding out of the corner"},
	},
	Presets: preset.GripOf("surface", "grip"),
	Outputs: []kit.Output{
		{Name: "lean", Symbol: "θ", Label: "Lean", Sentence: "You lean {}.", Shown: preset.Angle, Main: true},
		{Name: "lateral-share", Symbol: "q", Label: "Share of the grip that the corner takes", Sentence: "The corner takes {} of the grip.", Shown: preset.Share, Main: true},
		{Name: "left-for-braking", Symbol: "µ_b", Label: "Grip left for braking", Sentence: "A grip of {} is left for the brakes.", Shown: preset.Grip, Main: true},
		{Name: "deceleration", Symbol: "a", Label: "Deceleration at first", Sentence: "That slows you by {} at first.", Shown: preset.Deceleration},
		{Name: "distance-leaned", Symbol: "s_l", Label: "Braking distance along the corner", Sentence: "Braking as hard as the corner lets you, you come to a stop after {}.", Shown: preset.Distance, Main: true},
		{Name: "distance-upright", Symbol: "s_u", Label: "Braking distance upright", Sentence: "On the straight the brakes would need {}.", Shown: preset.Distance},
		{Name: "stand-up-cost", Symbol: "s_0", Label: "Road covered while standing up", Sentence: "Standing the bike up first costs {} of road.", Shown: preset.Distance},
		{Name: "runs-wide", Symbol: "w", Label: "How far standing up runs wide", Sentence: "Going straight on, you would end up {} outside your line.", Shown: preset.Distance},
	},
	Figures: []kit.Figure{
		{Name: "ellipse", Title: "Grip shared by corner and brakes", Draw: drawEllipse},
		{Name: "left", Title: "What is left over lean", Draw: drawLeft},
	},
	Assumptions: []string{
		"The corner is level and round, the speed steady until you brake; tyre width and the rider's hanging off are left out.",
		"Along and across, a tyre has the same greatest grip, so the ellipse is a circle.",
		"Braking along the corner uses all that is left at every moment: the slower you are, the more that is. It takes a sure hand.",
		"The deceleration is what the tyres hold; whether the rear wheel would lift is left out.",
	},
	Sources: []kit.Source{
		{Title: "Angle of lean", Detail: "tan θ = v²/(r·g), OpenStax College Physics 2e, section 6.3"},
		{Title: "Shared grip", Detail: "(braking/greatest)² + (cornering/greatest)² = 1, the friction ellipse, e.g. T. D. Gillespie, Fundamentals of Vehicle Dynamics (from memory)"},
	},
	Caution: "Hard braking while leaned is for the track and its instructors.",
	Work:    work,
}

// corner gives the lateral force over load and the radius of the line.
func corner(w *kit.Work) (lateral, radius float64) {
	v := w.Number("speed")
	if w.Has("lean") {
		lateral = math.Tan(w.Number("lean"))
		return lateral, v * v / (gravity * lateral)
	}
	radius = w.Number("radius")
	return v * v / (gravity * radius), radius
}

func work(w *kit.Work) error {
	if w.Given("lean") && w.Given("radius") {
		return w.Refuse("lean", "both the radius and the lean of the corner are given", "keep one: the other follows from it and the speed")
	}
	v, grip := w.Number("speed"), w.Number("grip")
	lateral, radius := corner(w)
	if lateral > grip {
		slides(w, lateral)
		return nil
	}
	share := lateral / grip
	left := grip * tyre.Left(lateral, grip)
	upright, rolled := v*v/(2*grip*gravity), v*w.Number("stand-up")
	w.Put("lean", math.Atan(lateral))
	w.Put("lateral-share", share)
	w.Put("left-for-braking", left)
	w.Put("deceleration", left*gravity)
	w.Put("distance-leaned", Leaned(share, radius))
	w.Put("distance-upright", upright)
	w.Put("stand-up-cost", rolled)
	straight := upright + rolled
	w.Put("runs-wide", straight*straight/(math.Sqrt(float64(radius*radius)+float64(straight*straight))+radius))
	return nil
}

// slides tells of a corner that asks for more than all the grip: nothing is left to brake with, and no stop along it.
func slides(w *kit.Work, lateral float64) {
	grip := w.Number("grip")
	w.Put("lean", math.Atan(lateral))
	w.Put("lateral-share", lateral/grip)
	for _, output := range []string{"deceleration", "distance-upright", "distance-leaned", "stand-up-cost", "runs-wide"} {
		w.Void(output)
	}
	w.Happened("The corner asks for a grip of {}, the tyres have {}: the bike slides out.",
		kit.Amount{Value: lateral, Shown: fineGrip}, kit.Amount{Value: grip, Shown: fineGrip})
}

// fineGrip tells apart what is asked from what is there where the two are close.
var fineGrip = quantity.Shown{Kind: quantity.Number, MetricDecimals: 3}

// Leaned is the way in m to a stop along a corner of a radius in m, whose lateral force takes a share of the grip at
// first, when all that is left brakes at every moment. With u = v², v·dv = a·ds and a = √(µ²g² - u²/r²),
//
//	s = ∫ du / (2·√(µ²g² - u²/r²)) = r/2 · arcsin(share)
func Leaned(share, radius float64) float64 { return radius / 2 * math.Asin(min(1, share)) }

func drawEllipse(w *kit.Work, s figure.Style) figure.Scene {
	grip, r := w.Number("grip"), s.Reader
	lateral, left := grip*w.Output("lateral-share"), w.Output("left-for-braking")
	// A corner that asks for far more than there is still leaves the circle in sight; the numbers say how far it is.
	reach := min(lateral, 2*grip)
	spot, brakes := figure.Spot{Role: "now", Label: r.Number(left, preset.Grip), X: reach, Y: left}, "brakes"
	if lateral > grip {
		spot.Role, spot.Label, brakes = "locked", r.Number(lateral, preset.Grip), ""
	}
	var x, y []float64
	for i := range 91 {
		angle := math.Pi * float64(i) / 90
		x, y = append(x, grip*math.Cos(angle)), append(y, grip*math.Sin(angle))
	}
	c := figure.Chart{
		Runs: "lateral", Square: true,
		Alt: r.Say("Half a circle of grip {}. The corner takes {} across; {} is left along the road.",
			r.Number(grip, preset.Grip), r.Number(lateral, preset.Grip), r.Number(left, preset.Grip)),
		X: figure.Axis{Label: "Cornering, left and right", Shown: preset.Grip},
		Y: figure.Axis{Label: "Braking", Shown: preset.Grip},
		Series: []figure.Series{
			{Role: "grip", Label: "all the grip", X: x, Y: y, LabelAt: 0.75},
			{Role: "front", Label: "corner", X: []float64{0, reach}, Y: []float64{0, 0}, LabelAt: 0.5},
			{Role: "braking", Label: brakes, X: []float64{reach, reach}, Y: []float64{0, left}, LabelAt: 0.5},
		},
		Spots: []figure.Spot{spot},
	}
	return c.Scene(s)
}

func drawLeft(w *kit.Work, s figure.Style) figure.Scene {
	grip, r := w.Number("grip"), s.Reader
	most := math.Atan(grip)
	var x, y []float64
	for i := range 61 {
		// Denser towards the end, where the line falls steeply.
		k := 1 - float64(60-i)*float64(60-i)/3600
		lean := most * k
		x, y = append(x, lean), append(y, grip*gravity*tyre.Left(math.Tan(lean), grip))
	}
	y[60] = 0
	c := figure.Chart{
		Runs: "lean",
		Alt: r.Say("Upright the tyres brake with {}; leaned {} with {}; at {} nothing is left.", r.Quantity(grip*gravity, preset.Deceleration),
			w.Tell("lean", r), w.Tell("deceleration", r), r.Quantity(most, preset.Angle)),
		X:      figure.Axis{Label: "Lean", Shown: quantity.Shown{Kind: quantity.Angle, Metric: "deg"}},
		Y:      figure.Axis{Label: "Deceleration that is left", Shown: preset.Deceleration},
		Series: []figure.Series{{Role: "braking", X: x, Y: y}},
		Spots: []figure.Spot{
			{Role: "now", Label: w.Tell("deceleration", r), X: w.Output("lean"), Y: w.Output("deceleration")},
			{Role: "locked", Label: r.Quantity(most, preset.Angle), X: most, Y: 0},
		},
	}
	if w.Has("lean") {
		c.Spots[0].Input = "lean"
	}
	return c.Scene(s)
}
