// Package slip answers: how does slip make grip? It reads the tyre curve of one surface: the grip at a slip, the
// peak, and what a locked wheel has left.
package slip

import (
	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/physics/tyre"
	"example.org/gripleaf/calculators/preset"
	"example.org/gripleaf/calculators/quantity"
)

var (
	grip  = quantity.Shown{Kind: quantity.Number, MetricDecimals: 2}
	share = quantity.Shown{Kind: quantity.Share, Metric: "%"}
)

// Calculator is the slip calculator.
var Calculator = kit.Calculator{
	ID:       "slip",
	Title:    "Grip and slip",
	Question: "How does slip make grip?",
	Inputs: []kit.Input{
		preset.Surface("surface", "Surface", "What the tyre stands on.", "dry-asphalt"),
		{Name: "slip", Symbol: "κ", Label: "Slip", Shown: quantity.Shown{Kind: quantity.Share, Metric: "%", MetricDecimals: 1}, Default: "10%", Min: 0, Max: 1, Step: 0.5,
			Help: "How much slower the tyre turns than the road passes: 0 % rolls freely, 100 % is locked.", Why: "a braked wheel cannot turn backwards"},
	},
	Outputs: []kit.Output{
		{Name: "grip", Symbol: "µ", Label: "Grip at this slip", Sentence: "The tyre grips with {}.", Shown: grip, Main: true},
		{Name: "peak-grip", Symbol: "µ_p", Label: "Peak grip", Sentence: "The best a turning wheel gets here is {}.", Shown: grip, Main: true},
		{Name: "peak-slip", Symbol: "κ_p", Label: "Slip at the peak", Sentence: "That is at {} of slip.", Shown: quantity.Shown{Kind: quantity.Share, Metric: "%", MetricDecimals: 1}},
		{Name: "locked-grip", Symbol: "µ_l", Label: "Grip of a locked wheel", Sentence: "A locked wheel keeps {}.", Shown: grip, Main: true},
		{Name: "locked-loss", Label: "Lost by locking", Sentence: "Locking loses {} of it; a negative loss is a gain, as on loose ground.", Shown: share},
	},
	Figures: []kit.Figure{{Name: "curve", Title: "Grip over slip", Draw: drawCurve}},
	Assumptions: []string{
		"The tyre runs straight ahead; in a lean part of the grip is already spent on the turn.",
		"Firm surfaces follow a published curve for one tyre; another tyre, temperature or speed shifts it.",
		"Loose ground is a rolling tyre's curve and the wedge that a slipping wheel pushes up in front of itself; its size is our estimate.",
	},
	Sources: []kit.Source{
		{Title: "Firm surfaces", Detail: "curve and coefficients after Burckhardt, Fahrwerktechnik: Radschlupf-Regelsysteme, 1993, as tabulated in Kiencke and Nielsen, Automotive Control Systems"},
		{Title: "Loose surfaces", Detail: "shape after the explanation given with the NHTSA Light Vehicle ABS Research Program, Task 4; sizes invented for the demonstration"},
	},
	Work: work,
}

func surfaceOf(w *kit.Work) tyre.Surface {
	s, _ := tyre.Find(w.Word("surface")) // the input's choices are the surfaces
	return s
}

func work(w *kit.Work) error {
	s := surfaceOf(w)
	slip, peak := s.Crest()
	w.Put("grip", s.Grip(w.Number("slip")))
	w.Put("peak-grip", peak)
	w.Put("peak-slip", slip)
	w.Put("locked-grip", s.Locked())
	w.Put("locked-loss", 1-s.Locked()/peak)
	return nil
}

func drawCurve(w *kit.Work, style figure.Style) figure.Scene {
	s := surfaceOf(w)
	var x, y []float64
	for i := range 101 {
		// Twice as dense near nought, where firm curves rise steeply.
		k := float64(i) / 100
		k = float64(k*k)*0.5 + k*0.5
		x, y = append(x, k), append(y, s.Grip(k))
	}
	slip, peak := w.Output("peak-slip"), w.Output("peak-grip")
	r := style.Reader
	best, alt := "peak", "On {} the grip is greatest, {}, at {} of slip; a locked wheel has {}."
	if s.Loose() {
		best, alt = "turning, at best", "On {} a turning wheel grips best with {}, at {} of slip; a locked wheel has {}, which is more."
	}
	c := figure.Chart{
		Runs: "slip",
		Alt: r.Say(alt,
			r.Say(preset.SurfaceLabel(s.ID)), r.Quantity(peak, grip), r.Quantity(slip, share), w.Tell("locked-grip", r)),
		X:      figure.Axis{Label: "Slip", Shown: share},
		Y:      figure.Axis{Label: "Grip", Shown: grip},
		Series: []figure.Series{{Role: "grip", X: x, Y: y}},
		Spots: []figure.Spot{
			{Role: "now", Label: w.Tell("grip", r), X: w.Number("slip"), Y: w.Output("grip"), Below: true, Input: "slip"},
			{Role: "locked", Label: r.Say("locked") + " " + w.Tell("locked-grip", r), X: 1, Y: w.Output("locked-grip"), Below: true},
		},
	}
	if slip < 0.98 {
		c.Spots = append(c.Spots, figure.Spot{Role: "peak", Label: r.Say(best) + " " + r.Quantity(peak, grip), X: slip, Y: peak})
	}
	return c.Scene(style)
}
