package heat

import (
	"math"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/quantity"
)

// boiling is the least boiling points of a grade of brake fluid in K: fresh, and after taking up the water of a few
// years. FMVSS 116 and ISO 4925, both from memory.
func boiling(grade string) (fresh, old float64) {
	switch grade {
	case "dot3":
		return zeroCelsius + 205, zeroCelsius + 140
	case "dot4":
		return zeroCelsius + 230, zeroCelsius + 155
	}
	return zeroCelsius + 260, zeroCelsius + 180 // DOT 5.1
}

// How the fluid follows the discs, invented: to a share of their excess over the air, with a time constant in s.
const (
	soak    = 0.5
	soaking = 240
)

// What pads lose in the heat, invented: nothing up to a temperature, then evenly, and never all of it.
const (
	fadesFrom = zeroCelsius + 300
	fadesBy   = 0.2 / 100 // of the cold friction for each kelvin above that
	fadedLast = 0.4
)

// PadShare is what pads have left of their cold friction at a temperature in K.
func PadShare(temperature float64) float64 {
	return min(1, max(fadedLast, 1-fadesBy*(temperature-fadesFrom)))
}

// followed is how much of a lasting push a thing has followed after a time, when it follows with a time constant.
func followed(time, constant float64) float64 { return -math.Expm1(-time / constant) }

// passedOn is the same for a thing that follows one that follows: the second of two delays in a row.
func passedOn(time, first, second float64) float64 {
	if math.Abs(first-second) < 1e-3*first { // the closed form divides by their difference
		second = first * (1 + 1e-3)
	}
	return (first*followed(time, first) - second*followed(time, second)) / (first - second)
}

// descent is a hill that is ridden down at one speed, with the brake dragging.
type descent struct {
	lasts      float64 // s
	power      float64 // into all brakes, W
	settles    float64 // how much hotter than the air the discs would become, K
	air, cools float64
}

func descend(w *kit.Work) descent {
	grade := w.Number("grade")
	d := descent{
		lasts: w.Number("length") / w.Number("speed"), air: w.Number("ambient"), cools: w.Number("cooling-time"),
	}
	pull := -quantity.StandardGravity * grade / math.Sqrt(1+grade*grade)
	d.power = w.Number("mass") * max(0, pull-w.Number("engine")) * w.Number("speed")
	d.settles = Rise(w.Number("share")*d.power*d.cools, w.Number("disc-mass")*w.Number("discs"), w.Number("specific-heat"))
	return d
}

// disc and fluid are their temperatures in K after a time on the hill.
func (d *descent) disc(t float64) float64 { return d.air + d.settles*followed(t, d.cools) }
func (d *descent) fluid(t float64) float64 {
	return d.air + soak*d.settles*passedOn(t, d.cools, soaking)
}

// work puts what the descent comes to, and the one stop at its bottom that heats by a rise.
func (d *descent) work(w *kit.Work, rise float64) {
	bottom := d.disc(d.lasts)
	w.Put("descent-power", d.power)
	w.Put("descent-temperature", bottom)
	w.Put("fluid-temperature", d.fluid(d.lasts))
	w.Put("pad-share", PadShare(bottom+rise))
	fresh, old := boiling(w.Word("fluid"))
	w.Put("fresh-boiling", fresh)
	w.Put("old-boiling", old)
}

func drawDescent(w *kit.Work, s figure.Style) figure.Scene {
	d, r := descend(w), s.Reader
	x, disc, fluid := make([]float64, 41), make([]float64, 41), make([]float64, 41)
	for i := range x {
		part := float64(i) / 40
		x[i], disc[i], fluid[i] = w.Number("length")*part, d.disc(d.lasts*part), d.fluid(d.lasts*part)
	}
	c := figure.Chart{
		Runs: "distance",
		Alt:  r.Say("At the bottom the discs are at {}, the fluid is at {}.", w.Tell("descent-temperature", r), w.Tell("fluid-temperature", r)),
		X:    figure.Axis{Label: "Road down the hill", Shown: hill},
		Y:    figure.Axis{Label: "Temperature", Shown: temperature, From: d.air, To: hottest(w)},
		Series: []figure.Series{
			{Role: "front", Label: "discs", X: x, Y: disc, LabelAt: 0.6},
			{Role: "hand", Label: "fluid", X: x, Y: fluid, LabelAt: 0.8},
		},
		Guides: []figure.Guide{
			{Role: "limit", Label: "fresh fluid boils", At: w.Output("fresh-boiling"), Level: true},
			{Role: "locked", Label: "old fluid boils", At: w.Output("old-boiling"), Level: true},
		},
		Spots: []figure.Spot{{Role: "now", Label: w.Tell("fluid-temperature", r), X: w.Number("length"), Y: w.Output("fluid-temperature"), Below: true, Input: "length"}},
	}
	return c.Scene(s)
}

var (
	hill      = quantity.Shown{Kind: quantity.Length, Metric: "km", Imperial: "mi", MetricDecimals: 1, ImperialDecimals: 1}
	finePower = quantity.Shown{Kind: quantity.Power, Metric: "kW", Imperial: "hp", MetricDecimals: 1, ImperialDecimals: 1}
)
