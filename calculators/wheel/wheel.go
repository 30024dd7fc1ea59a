// Package wheel answers: I fitted another tyre size, what does the sensor think? A ring counts the wheel's turns; the
// controller and the speedometer multiply them by the circumference that the maker had in mind.
// Before that stands the signal: a magnet, a gap of air and a ring, which may be dirty or bent.
package wheel

import (
	"math"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/physics/tyre"
	"example.org/gripleaf/calculators/preset"
	"example.org/gripleaf/calculators/quantity"
)

var (
	error2 = quantity.Shown{Kind: quantity.Share, Metric: "%", MetricDecimals: 2}
	fine   = quantity.Shown{Kind: quantity.Speed, Metric: "km/h", Imperial: "mph", MetricDecimals: 1, ImperialDecimals: 1}
)

// Calculator is the wheel calculator.
var Calculator = kit.Calculator{
	ID:       "wheel",
	Title:    "Tyre size and wheel sensor",
	Question: "I fitted another tyre size: what does the sensor think?",
	Inputs: []kit.Input{
		{Name: "original", Label: "Size the maker had in mind", Help: "As on the tyre's side, such as 110/70R17.", Default: "110/70R17", Free: true},
		{Name: "fitted", Label: "Size that is fitted", Help: "As on the tyre's side, such as 110/80R17.", Default: "110/80R17", Free: true},
		{Name: "teeth", Symbol: "n", Label: "Teeth of the sensor ring", Shown: preset.Whole, Default: "48", Min: 4, Max: 200, Step: 1,
			Why: "rings with 40 to 100 teeth are in use"},
		{Name: "speed", Symbol: "v", Label: "Speed", Shown: preset.Speed, Default: "80km/h", Min: 1 / 3.6, Max: 400 / 3.6, Step: 1, Usual: kit.Usual{From: 10 / 3.6, To: 200 / 3.6},
			Why: "no road bike is faster"},
		{Name: "cycle-rate", Symbol: "f", Label: "Cycle rate of the controller", Shown: preset.Rate, Default: "50Hz", Min: 1, Max: 200, Step: 1,
			Help: "How often in a second it can release and rebuild.", Why: "a slower one is no antilock brake, and no valve is faster"},
		{Name: "sensor", Label: "Sensor", Default: "coil", Help: "A coil's voltage grows with speed, a chip measures the field itself.",
			Choices: []kit.Choice{{Value: "coil", Label: "magnet and coil"}, {Value: "chip", Label: "magnet and chip"}}},
		{Name: "air-gap", Symbol: "g_a", Label: "Air gap", Shown: tenths, Default: "1mm", Min: 0.0001, Max: 0.005, Step: 0.1,
			Help: "Between the sensor and the teeth.", Why: "closer they touch"},
		{Name: "runout", Symbol: "e_r", Label: "How far the ring sways", Shown: tenths, Default: "0mm", Min: 0, Max: 0.003, Step: 0.1,
			Help: "To each side, once a turn: a bent ring.", Why: "a worse one rubs"},
		{Name: "dirt", Symbol: "n_d", Label: "Teeth covered with dirt", Shown: preset.Whole, Default: "0", Min: 0, Max: 200, Step: 1,
			Help: "Iron dust and mud fill their gaps.", Why: "no ring has more"},
	},
	Outputs: []kit.Output{
		{Name: "speed-error", Symbol: "e", Label: "Error of the speed it believes", Sentence: "The speed it works out is off by {}.", Shown: error2, Main: true},
		{Name: "shown-speed", Symbol: "v_s", Label: "Speed it believes", Sentence: "It believes {}.", Shown: fine, Main: true},
		{Name: "slip-error", Symbol: "κ_e", Label: "Slip it sees that is not there", Sentence: "Against the other wheel it sees {} of slip that is not there.", Shown: error2, Main: true},
		{Name: "circumference-original", Symbol: "C_o", Label: "Circumference the maker had in mind", Shown: preset.Part},
		{Name: "circumference-fitted", Symbol: "C_f", Label: "Circumference that is fitted", Shown: preset.Part},
		{Name: "pulse-rate", Symbol: "f_p", Label: "Teeth that pass in a second", Sentence: "Teeth pass the sensor at a rate of {}.", Shown: preset.Rate},
		{Name: "lowest-speed", Symbol: "v_m", Label: "Lowest speed with a new tooth in every cycle", Sentence: "Below {} some cycles pass without a new tooth.", Shown: fine},
		{Name: "teeth-counted", Symbol: "n_c", Label: "Teeth counted in a turn", Sentence: "In each turn {} teeth are counted.", Shown: preset.Whole},
		{Name: "weakest-signal", Symbol: "S", Label: "Weakest signal", Shown: multiples},
		{Name: "worst-reading", Symbol: "e_w", Label: "Worst single reading of the speed", Shown: preset.Share},
		{Name: "silent-below", Symbol: "v_0", Label: "A true ring goes unseen below", Shown: fine},
	},
	Figures: []kit.Figure{
		{Name: "tyres", Title: "Both tyres from the side", Draw: drawTyres},
		{Name: "signal", Title: "Signal of the sensor", Draw: drawSignal},
	},
	Assumptions: []string{
		"Diameters are design sizes of new tyres without load: nominal rim and twice the rounded section height; wear, pressure and load change both tyres about alike.",
		"The controller was not told of the new size, and the other wheel still has the size it was made for.",
		"One new tooth in every cycle is the least that a controller needs to see the wheel at all; to see it slow down it needs more.",
		"The signal's strength, the ring's radius of 50 mm and the tenth that dirt leaves of it are invented.",
	},
	Sources: []kit.Source{
		{Title: "Size designation and design diameter", Detail: "construction as in ISO 5751 and the ETRTO manual: nominal rim diameter + 2 x rounded section height (rim table from memory)"},
		{Title: "Signal", Detail: "falls with exp(-2π·gap/pitch), Laplace's equation; a coil's grows with the rate, Faraday's law"},
		{Title: "Pulses", Detail: "f = n·v/C; rings of 42 to 50 teeth are common practice on motorcycles, no source"},
	},
	Work: work,
}

// sizes reads both sizes, or says which one cannot be read and why.
func sizes(w *kit.Work) (original, fitted tyre.Size, err error) {
	var faults kit.Faults
	read := func(input string) tyre.Size {
		s, err := tyre.ParseSize(w.Word(input))
		if err != nil {
			faults = append(faults, kit.Fault{Input: input, Text: input + ": " + err.Error(), Hint: tyre.SizeHint})
		}
		return s
	}
	original, fitted = read("original"), read("fitted")
	if len(faults) > 0 {
		return original, fitted, faults
	}
	return original, fitted, nil
}

func work(w *kit.Work) error {
	original, fitted, err := sizes(w)
	if err != nil {
		return err
	}
	ratio := original.Circumference() / fitted.Circumference()
	teeth, v := w.Number("teeth"), w.Number("speed")
	w.Put("circumference-original", original.Circumference())
	w.Put("circumference-fitted", fitted.Circumference())
	w.Put("speed-error", ratio-1)
	w.Put("shown-speed", v*ratio)
	w.Put("slip-error", 1-ratio)
	w.Put("pulse-rate", teeth*v/fitted.Circumference())
	w.Put("lowest-speed", fitted.Circumference()*w.Number("cycle-rate")/teeth)
	g := passing(w)
	g.work(w)
	w.Data = g
	return nil
}

func drawTyres(w *kit.Work, s figure.Style) figure.Scene {
	original, fitted, _ := sizes(w) // Work has read them
	r := s.Reader
	high := func(size tyre.Size) string { return r.Quantity(size.Diameter(), preset.Part) }
	x0, y0 := outline(original.Diameter(), 0)
	x1, y1 := outline(fitted.Diameter(), 0)
	rx, ry := outline(fitted.RimDiameter(), (fitted.Diameter()-fitted.RimDiameter())/2)
	c := figure.Chart{
		Runs: "across", Square: true,
		Alt: r.Say("The original tyre is {} high, the fitted one {}.", high(original), high(fitted)),
		X:   figure.Axis{Label: "Along the road", Shown: preset.Part, From: -0.6, To: 0.6},
		Y:   figure.Axis{Label: "Above the road", Shown: preset.Part},
		Series: []figure.Series{
			{Role: "grid", X: rx, Y: ry},
			{Role: "other", Label: "original", X: x0, Y: y0, Dashed: true, LabelAt: 0.7},
			{Role: "front", Label: "fitted", X: x1, Y: y1, LabelAt: 0.3},
		},
	}
	c.Table = figure.Table{Columns: []figure.Column{
		{Label: "Tyre", Words: []string{"original", "fitted"}},
		{Label: "Diameter", Shown: preset.Part, Values: []float64{original.Diameter(), fitted.Diameter()}},
		{Label: "Circumference", Shown: preset.Part, Values: []float64{original.Circumference(), fitted.Circumference()}},
	}}
	return c.Scene(s)
}

// outline is a circle that stands at a height.
func outline(diameter, height float64) (x, y []float64) {
	for i := range 73 {
		angle := 2 * math.Pi * float64(i) / 72
		x = append(x, diameter/2*math.Sin(angle))
		y = append(y, height+diameter/2*(1-math.Cos(angle)))
	}
	return x, y
}
