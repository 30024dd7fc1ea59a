// Package wheel answers: I fitted another tyre size, what does the sensor think? A ring counts the wheel's turns; the
// controller and the speedometer multiply them by the circumference that the maker had in mind.
package wheel

import (
	"math"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/kit"
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
		{Name: "speed", Symbol: "v", Label: "Speed", Shown: preset.Speed, Default: "80km/h", Min: 1 / 3.6, Max: 400 / 3.6, Step: 1,
			Why: "faster than any road bike is not on a road"},
		{Name: "cycle-rate", Symbol: "f", Label: "Cycle rate of the controller", Shown: preset.Rate, Default: "50Hz", Min: 1, Max: 200, Step: 1,
			Help: "How often in a second it can release and rebuild.", Why: "slower is no antilock brake, faster no valve is"},
	},
	Outputs: []kit.Output{
		{Name: "speed-error", Symbol: "e", Label: "Error of the speed it believes", Sentence: "The sensor's speed is off by {}.", Shown: error2, Main: true},
		{Name: "shown-speed", Symbol: "v_s", Label: "Speed it believes", Sentence: "It believes {}.", Shown: fine, Main: true},
		{Name: "slip-error", Symbol: "κ_e", Label: "Slip it sees that is not there", Sentence: "Against the other wheel it sees {} of slip that is not there.", Shown: error2, Main: true},
		{Name: "circumference-original", Symbol: "C_o", Label: "Circumference the maker had in mind", Shown: preset.Part},
		{Name: "circumference-fitted", Symbol: "C_f", Label: "Circumference that is fitted", Shown: preset.Part},
		{Name: "pulse-rate", Symbol: "f_p", Label: "Teeth that pass in a second", Sentence: "{} teeth pass the sensor.", Shown: preset.Rate},
		{Name: "lowest-speed", Symbol: "v_m", Label: "Lowest speed with a new tooth in every cycle", Sentence: "Below {} not every cycle sees a new tooth.", Shown: fine},
	},
	Figures: []kit.Figure{
		{Name: "tyres", Title: "Both tyres from the side", Draw: drawTyres},
		{Name: "errors", Title: "Error of the speed", Draw: drawErrors},
	},
	Assumptions: []string{
		"Diameters are design sizes of new tyres without load: nominal rim and twice the rounded section height; wear, pressure and load change both tyres about alike.",
		"The controller was not told of the new size, and the other wheel still has the size it was made for.",
		"One new tooth in every cycle is the least that a controller needs to see the wheel at all; to see it slow down it needs more.",
	},
	Sources: []kit.Source{
		{Title: "Size designation and design diameter", Detail: "construction as in ISO 5751 and the ETRTO manual: nominal rim diameter + 2 x rounded section height (rim table from memory)"},
		{Title: "Pulses", Detail: "f = n·v/C; rings of 42 to 50 teeth are common practice on motorcycles, no source"},
	},
	Work: work,
}

// sizes reads both sizes, or says which one cannot be read and why.
func sizes(w *kit.Work) (original, fitted Size, err error) {
	var faults kit.Faults
	read := func(input string) Size {
		s, err := ParseSize(w.Word(input))
		if err != nil {
			faults = append(faults, kit.Fault{Input: input, Text: input + ": " + err.Error(), Hint: sizeHint})
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
	return nil
}

func drawTyres(w *kit.Work, s figure.Style) figure.Scene {
	original, fitted, _ := sizes(w) // Work has read them
	r := s.Reader
	high := func(size Size) string { return r.Quantity(size.Diameter(), preset.Part) }
	x0, y0 := outline(original.Diameter(), 0)
	x1, y1 := outline(fitted.Diameter(), 0)
	rx, ry := outline(nominalRim[fitted.Rim]/1000, (fitted.Diameter()-nominalRim[fitted.Rim]/1000)/2)
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

func drawErrors(w *kit.Work, s figure.Style) figure.Scene {
	v, e, r := w.Number("speed"), w.Output("speed-error"), s.Reader
	top := max(1.3*v, 60/3.6)
	c := figure.Chart{
		Runs:   "speed",
		Alt:    r.Say("At {} the sensor believes {}.", r.Quantity(v, preset.Speed), w.Tell("shown-speed", r)),
		X:      figure.Axis{Label: "Speed", Shown: preset.Speed},
		Y:      figure.Axis{Label: "Believed less true speed", Shown: fine},
		Series: []figure.Series{{Role: "speed", X: []float64{0, top}, Y: []float64{0, e * top}}},
		Guides: []figure.Guide{{Role: "limit", Label: "a new tooth in every cycle from here", At: w.Output("lowest-speed")}},
		Spots:  []figure.Spot{{Role: "now", Label: r.Quantity(e*v, fine), X: v, Y: e * v}},
	}
	return c.Scene(s)
}
