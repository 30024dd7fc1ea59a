// Package lever answers: what becomes of my hand's force on its way to the tyre? Lever, master cylinder, caliper, disc
// and wheel each multiply it; the tyre decides what of it the road takes.
package lever

import (
	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/physics/bike"
	"example.org/gripleaf/calculators/physics/hydraulics"
	"example.org/gripleaf/calculators/preset"
	"example.org/gripleaf/calculators/quantity"
)

var kilonewton = quantity.Shown{Kind: quantity.Force, Metric: "kN", Imperial: "lbf", MetricDecimals: 1}

// Calculator is the lever calculator.
var Calculator = kit.Calculator{
	ID:       "lever",
	Title:    "From hand to tyre",
	Question: "What becomes of my hand's force on its way to the tyre?",
	Inputs: append([]kit.Input{
		{Name: "hand-force", Symbol: "F_h", Label: "Force of the hand", Shown: preset.Force, Default: "120N", Min: 0, Max: 600, Step: 5,
			Help: "Where the fingers pull, of the front brake.", Why: "few hands pull harder; brake tests allow 200 N"},
		{Name: "lever-ratio", Symbol: "i", Label: "Lever ratio", Shown: preset.Ratio, Min: 1, Max: 15, Step: 0.1,
			Help: "How many times farther the fingers move than the piston.", Why: "a longer lever would not fit the hand"},
		{Name: "master-diameter", Symbol: "d_m", Label: "Master cylinder", Shown: preset.Bore, Min: 0.005, Max: 0.04, Step: 0.1,
			Help: "Diameter of its piston.", Why: "bikes have no smaller or larger ones"},
		{Name: "pistons", Symbol: "n_p", Label: "Pistons on one side of a caliper", Shown: preset.Whole, Min: 1, Max: 4, Step: 1,
			Help: "Of a caliper with facing pistons count one side; of a floating one count all.", Why: "calipers have no more"},
		{Name: "piston-diameter", Symbol: "d_p", Label: "Diameter of those pistons", Shown: preset.Bore, Min: 0.01, Max: 0.08, Step: 0.1,
			Why: "bikes have no smaller or larger ones"},
		{Name: "pad-friction", Symbol: "µ_p", Label: "Friction of pad on disc", Shown: preset.Grip, Default: "0.45", Min: 0.1, Max: 0.8, Step: 0.01,
			Why: "pads marked E to H have 0.25 to over 0.55"},
		{Name: "disc-radius", Symbol: "r_d", Label: "Effective disc radius", Shown: preset.Part, Min: 0.05, Max: 0.2, Step: 1,
			Help: "To the middle of the pads.", Why: "larger discs do not fit the rim"},
		{Name: "discs", Symbol: "n_d", Label: "Discs", Shown: preset.Whole, Min: 1, Max: 2, Step: 1, Why: "a wheel has two sides"},
		{Name: "rolling-radius", Symbol: "R", Label: "Rolling radius of the tyre", Shown: preset.Part, Min: 0.15, Max: 0.45, Step: 1,
			Why: "from scooter wheels to 21 inches"},
		{Name: "bubbles", Symbol: "b", Label: "Bubbles in the line", Shown: preset.FineShare, Default: "0%", Min: 0, Max: 0.6, Step: 0.5,
			Help: "Air or vapour as a share of the brake's fluid, before the lever squeezes it.", Why: "more leaves no brake"},
		{Name: "grip", Symbol: "µ", Label: "Grip", Shown: preset.Grip, Default: "0.9", Min: 0.02, Max: 2, Step: 0.01,
			Help: "The friction between tyre and road: braking force over load.", Why: "bare ice has about 0.05, the best race tyres under 2"},
	}, preset.Bike(false)...),
	Presets: preset.Bikes(false, settings),
	Outputs: []kit.Output{
		{Name: "pressure", Symbol: "p", Label: "Pressure in the line", Sentence: "The pressure in the line is {}.", Shown: preset.Pressure, Main: true},
		{Name: "clamp-force", Symbol: "F_c", Label: "Force on each pad", Sentence: "Each pad is pressed with {}.", Shown: kilonewton},
		{Name: "brake-torque", Symbol: "T", Label: "Brake torque", Sentence: "The discs brake with {}.", Shown: preset.Torque},
		{Name: "brake-force", Symbol: "F", Label: "Brake force asked of the tyre", Sentence: "The brake asks {} of the tyre.", Shown: preset.Force, Main: true},
		{Name: "deceleration", Symbol: "a", Label: "Deceleration", Sentence: "With the front brake alone that slows you by {}.", Shown: preset.Deceleration, Main: true},
		{Name: "hand-force-to-lock", Symbol: "F_l", Label: "Hand force that locks the front wheel", Sentence: "From {} of hand force the front wheel locks.", Shown: preset.Force, Main: true},
		{Name: "hand-force-to-lift", Symbol: "F_r", Label: "Hand force that lifts the rear wheel", Sentence: "From {} the rear wheel lifts, if the tyre holds.", Shown: preset.Force},
		{Name: "lever-travel", Symbol: "d_l", Label: "Travel of the lever", Shown: preset.Part},
		{Name: "reaches-grip", Label: "The lever comes to the grip", Shown: preset.YesNo},
	},
	Figures: []kit.Figure{
		{Name: "chain", Title: "Deceleration over hand force", Draw: drawChain},
		{Name: "forces", Title: "How the force grows on its way", Draw: drawForces},
	},
	Assumptions: []string{
		"Front brake alone, squeezed slowly enough that the load has moved forward; a grabbed lever locks earlier.",
		"Hoses do not stretch, seals do not rub, both faces of every disc take the same force.",
		"Pads stand 0.1 mm off the disc, the brake holds 20 cm³ of fluid and the lever meets the grip after 70 mm (all invented); bubbles shrink as a gas does: half at twice the pressure.",
		"Past the locking force the tyre slides and gives what it has left; the deceleration told here then is the most that grip and balance allow.",
		"The bikes to choose from are invented.",
	},
	Sources: []kit.Source{
		{Title: "Pressure", Detail: "Pascal's principle, p = F·i/A; OpenStax College Physics 2e, section 11.5"},
		{Title: "Torque", Detail: "T = discs · 2 · pad friction · clamp force · effective radius; common practice, no source"},
		{Title: "Bubbles", Detail: "Boyle's law, p·V constant, from 1.013 bar"},
		{Title: "Pad friction codes", Detail: "SAE J866: E 0.25 to 0.35, F to 0.45, G to 0.55, H above"},
	},
	Work: work,
}

// settings are the front brake of a bike as inputs.
func settings(b *bike.Bike) []kit.Setting {
	c := &b.Front.Brake
	return []kit.Setting{
		preset.Setting("lever-ratio", c.LeverRatio, preset.Ratio),
		preset.Setting("master-diameter", c.MasterDiameter, preset.Bore),
		preset.Setting("pistons", c.Pistons, preset.Whole),
		preset.Setting("piston-diameter", c.PistonDiameter, preset.Bore),
		preset.Setting("pad-friction", c.PadFriction, preset.Grip),
		preset.Setting("disc-radius", c.DiscRadius, preset.Part),
		preset.Setting("discs", c.Discs, preset.Whole),
		preset.Setting("rolling-radius", b.Front.Radius, preset.Part),
	}
}

func circuit(w *kit.Work) hydraulics.Circuit {
	return hydraulics.Circuit{
		LeverRatio: w.Number("lever-ratio"), MasterDiameter: w.Number("master-diameter"), Discs: w.Number("discs"), Pistons: w.Number("pistons"),
		PistonDiameter: w.Number("piston-diameter"), PadFriction: w.Number("pad-friction"), DiscRadius: w.Number("disc-radius"),
	}
}

// limits are the brake forces in N on the front tyre alone that lock it and that lift the rear wheel. The load follows
// the force: N = W·f + F·h/L, so the tyre holds F = µ·W·f/(1 - µ·h/L), and no more than µ·W, all the weight in front.
func limits(w *kit.Work) (lock, lift float64) {
	weight := w.Number("mass") * quantity.StandardGravity
	share, ratio, grip := w.Number("front-share"), w.Number("cg-height")/w.Number("wheelbase"), w.Number("grip")
	lift = weight * (1 - share) / ratio
	lock = grip * weight
	if lock < lift {
		lock = grip * weight * share / (1 - grip*ratio)
	}
	return lock, lift
}

func work(w *kit.Work) error {
	c, l := circuit(w), stroke(w)
	pressure := min(c.Pressure(w.Number("hand-force")), l.most())
	torque := c.Gain() * pressure
	force := torque / w.Number("rolling-radius")
	lock, lift := limits(w)
	perNewton := c.Gain() * c.Pressure(1) / w.Number("rolling-radius")
	w.Put("pressure", pressure)
	w.Put("clamp-force", c.Clamp(pressure))
	w.Put("brake-torque", torque)
	w.Put("brake-force", force)
	w.Put("deceleration", min(force, lock, lift)/w.Number("mass"))
	w.Put("hand-force-to-lock", lock/perNewton)
	w.Put("hand-force-to-lift", lift/perNewton)
	if l.bubbles > 0 && c.Pressure(min(lock, lift)/perNewton) > l.most() { // the lever meets the grip before
		w.Void("hand-force-to-lock")
		w.Void("hand-force-to-lift")
	}
	w.Put("lever-travel", l.travel(pressure))
	if c.Pressure(w.Number("hand-force")) > pressure {
		w.Put("reaches-grip", 1)
	}
	return nil
}

func drawChain(w *kit.Work, s figure.Style) figure.Scene {
	r := s.Reader
	hand, lock, lift := w.Number("hand-force"), w.Output("hand-force-to-lock"), w.Output("hand-force-to-lift")
	first := min(lock, lift)
	most := first * perHand(w)
	top := max(hand, first) * 1.25
	c := figure.Chart{
		Runs: "hand force",
		Alt: r.Say("The deceleration grows in step with the hand's force up to {} at {}.",
			r.Quantity(most, preset.Deceleration), r.Quantity(first, preset.Force)),
		X:      figure.Axis{Label: "Force of the hand", Shown: preset.Force, To: 1.15 * top}, // room for the last guide's label
		Y:      figure.Axis{Label: "Deceleration", Shown: preset.Deceleration},
		Series: []figure.Series{{Role: "braking", X: []float64{0, first, top}, Y: []float64{0, most, most}}},
		Spots:  []figure.Spot{{Role: "now", Label: w.Tell("deceleration", r), X: hand, Y: w.Output("deceleration"), Below: true, Input: "hand-force"}},
	}
	if lock <= top {
		c.Guides = append(c.Guides, figure.Guide{Role: "locked", Label: "front wheel locks", At: lock})
	}
	if lift <= top {
		c.Guides = append(c.Guides, figure.Guide{Role: "lift", Label: "rear wheel lifts", At: lift})
	}
	return c.Scene(s)
}

// perHand is the deceleration for each newton of hand force, as long as the tyre holds.
func perHand(w *kit.Work) float64 {
	c := circuit(w)
	return c.Gain() * c.Pressure(1) / w.Number("rolling-radius") / w.Number("mass")
}

// drawForces shows the force at each station as a bar.
func drawForces(w *kit.Work, s figure.Style) figure.Scene {
	r := s.Reader
	names := []string{"hand", "piston", "each pad", "tyre"}
	values := []float64{w.Number("hand-force"), w.Number("hand-force") * w.Number("lever-ratio"), w.Output("clamp-force"), w.Output("brake-force")}
	c := figure.Chart{
		Alt: r.Say("The hand pulls with {}, the lever presses the master piston with {}, each pad is pressed with {}, and the tyre is asked for {}.",
			r.Quantity(values[0], preset.Force), r.Quantity(values[1], preset.Force), r.Quantity(values[2], kilonewton), r.Quantity(values[3], preset.Force)),
		X: figure.Axis{Label: "On its way to the road", Names: names},
		Y: figure.Axis{Label: "Force", Shown: kilonewton},
	}
	for i, v := range values {
		c.Bars = append(c.Bars, figure.Bar{Role: "front", Label: r.Quantity(v, preset.Force), From: float64(i) + 0.15, To: float64(i) + 0.85, Height: v})
	}
	c.Table = figure.Table{Columns: []figure.Column{{Label: "Station", Words: names}, {Label: "Force", Shown: preset.Force, Values: values}}}
	return c.Scene(s)
}
