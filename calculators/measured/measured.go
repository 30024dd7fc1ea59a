// Package measured answers: what does my test stop come to? It works a measured stop up as the brake regulation does,
// into mean fully developed deceleration and corrected distance, and sets it beside every limit. The measurements are
// written in the query; [Logged] reads them from a log that comes with it.
package measured

import (
	"math"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/measured/trace"
	"example.org/gripleaf/calculators/preset"
	"example.org/gripleaf/calculators/quantity"
)

var (
	speed    = quantity.Shown{Kind: quantity.Speed, Metric: "km/h", Imperial: "mph", MetricDecimals: 1, ImperialDecimals: 1}
	distance = quantity.Shown{Kind: quantity.Length, Metric: "m", Imperial: "ft", MetricDecimals: 2, ImperialDecimals: 1}
)

// choices are the brakes to choose from.
func choices() (list []kit.Choice) {
	for _, b := range Brakes() {
		list = append(list, kit.Choice{Value: b[0], Label: b[1]})
	}
	return list
}

// Calculator works a measured stop up; its name in links is test.
var Calculator = kit.Calculator{
	ID:       "test",
	Title:    "A measured stop",
	Question: "What does my test stop come to?",
	Takes:    "A logged stop",
	Inputs: []kit.Input{
		{Name: "speed", Symbol: "V_s", Label: "Nominal speed", Shown: preset.Speed, Default: "100km/h", Min: 20 / 3.6, Max: 250 / 3.6, Step: 5,
			Help: "The speed that the test asks for.", Why: "tests are ridden between"},
		{Name: "start-speed", Symbol: "V_1", Label: "Speed when the brake was touched", Shown: speed, Default: "101.2km/h", Min: 15 / 3.6, Max: 255 / 3.6, Step: 0.1,
			Why: "it must be within 5 km/h of the nominal speed"},
		{Name: "distance", Symbol: "S_a", Label: "Measured stopping distance", Shown: distance, Default: "50.1m", Min: 1, Max: 1000, Step: 0.1,
			Help: "From the first touch of the brake to the stop.", Why: "test tracks are no longer"},
		{Name: "distance-80", Symbol: "s_b", Label: "Distance at 80 % of that speed", Shown: distance, Default: "20.6m", Min: 0, Max: 1000, Step: 0.1,
			Help: "From the first touch until the speed has fallen to 80 %.", Why: "test tracks are no longer"},
		{Name: "distance-10", Symbol: "s_e", Label: "Distance at 10 % of that speed", Shown: distance, Default: "49.6m", Min: 0, Max: 1000, Step: 0.1,
			Help: "From the first touch until the speed has fallen to 10 %.", Why: "test tracks are no longer"},
		{Name: "grip", Symbol: "P", Label: "Peak braking coefficient of the track", Shown: preset.Grip, Default: "0.95", Min: 0.1, Max: 1.5, Step: 0.01,
			Help: "Measured with a reference tyre (ASTM E1337); high grip means at least 0.9, low at most 0.45.", Why: "tracks lie between"},
		{Name: "brakes", Label: "Brakes used", Default: "all", Choices: choices(), Help: "Each test has its own limits."},
		{Name: "slope", Label: "Slope of the road, for a log", Shown: preset.Share, Default: "0%", Min: -0.2, Max: 0.2, Step: 0.5, Detail: true,
			Help: "Uphill above zero: what a log tells is then told for a level road.", Why: "tests are not ridden on steeper roads"},
		{Name: "log-time", Label: "Times of the log, if it does not say", Default: "none", Detail: true,
			Choices: []kit.Choice{{Value: "none", Label: "not said"}, {Value: "s", Label: "seconds"}, {Value: "ms", Label: "milliseconds"}}},
		{Name: "log-speed", Label: "Speeds of the log, if it does not say", Default: "none", Detail: true,
			Choices: []kit.Choice{{Value: "none", Label: "not said"}, {Value: "kmh", Label: "km/h"},
				{Value: "mps", Label: "m/s"}, {Value: "mph", Label: "mph"}, {Value: "kn", Label: "knots"}}},
		{Name: "stop", Label: "Which stop of the log", Shown: preset.Whole, Default: "1", Min: 1, Max: 99, Step: 1, Detail: true,
			Help: "Where a log holds several, in their order.", Why: "no ride has more"},
	},
	Outputs: []kit.Output{
		{Name: "mfdd", Symbol: "d_m", Label: "Mean fully developed deceleration", Sentence: "The mean fully developed deceleration is {}.", Shown: preset.Deceleration, Main: true},
		{Name: "corrected-distance", Symbol: "S_s", Label: "Corrected stopping distance", Sentence: "From the nominal speed that is {}.", Shown: distance, Main: true},
		{Name: "mean-deceleration", Symbol: "a_m", Label: "Mean over the whole distance", Sentence: "Over the whole distance you slowed by {} on average.", Shown: preset.Deceleration},
		{Name: "grip-used", Symbol: "u", Label: "Share of the track's grip used", Sentence: "You used {} of the grip that the track has.", Shown: preset.Share, Main: true},
		{Name: "met", Label: "Limits met", Sentence: "Of the limits for these brakes the stop meets {}.", Shown: preset.Whole},
		{Name: "peak-deceleration", Label: "Greatest deceleration over half a second", Sentence: "Over the hardest half second you slowed by {}.", Shown: preset.Deceleration, Attached: true},
		{Name: "braking-time", Label: "Braking time", Sentence: "The bike had stopped after {}.", Shown: quantity.Shown{Kind: quantity.Time, Metric: "s", MetricDecimals: 2}, Attached: true},
	},
	Figures: []kit.Figure{
		{Name: "limits", Title: "The stop against the limits", Draw: drawLimits},
		{Name: "speeds", Title: "Speed along the track", Draw: drawSpeeds},
	},
	Assumptions: []string{
		"The limits are those for the brakes, the speed and the grip that are set; whether the bike must be laden is said by the regulation.",
		"A limit is met by the distance or by the deceleration, where the regulation gives both.",
		"The start of braking in a log is where the slowing begins to rise, along a straight line or an S; a hand that begins more softly has begun a little earlier.",
		"What is read from a log has an uncertainty from sampling and noise; a logger that reads wrong, or smooths before it writes, is not in it.",
		"The figures of the regulation stand here for learning; for a type approval read its text.",
	},
	Sources: []kit.Source{
		{Title: "Front or rear brake alone", Detail: "S ≤ 0.1·V + V²/115 and V²/75: Council Directive 93/14/EEC, annex, appendix 1, 2.1; equivalent to UN R78"},
		{Title: "Other limits, corrected distance, mean fully developed deceleration", Detail: "UN GTR No. 3, UN R78-03 annex 3, 49 CFR 571.122 S6 (from memory; each distance was checked against its deceleration)"},
		{Title: "Uncertainty of what a log tells", Detail: "propagation of distributions: JCGM 100:2008 and JCGM 101:2008; the stops that a log may be of are drawn as Metropolis and others did, 1953"},
		{Title: "Peak braking coefficient", Detail: "ASTM E1337 with the tyre of ASTM E1136, at 64.4 km/h"},
	},
	Work: work,
}

func work(w *kit.Work) error {
	if w.Attachment != "" {
		return kit.Faults{{Text: "a log is worked up by the calculator for logs"}}
	}
	if faults := check(w); len(faults) > 0 {
		return faults
	}
	w.Void("peak-deceleration")
	w.Void("braking-time")
	compute(w)
	w.Put("corrected-distance", trace.Corrected(w.Number("speed"), w.Number("start-speed"), w.Number("distance")))
	compare(w, 0, 0)
	return nil
}

// compute works out what does not depend on the nominal speed.
func compute(w *kit.Work) {
	start := w.Number("start-speed")
	w.Put("mfdd", trace.MFDD(start, w.Number("distance-80"), w.Number("distance-10")))
	w.Put("mean-deceleration", start*start/(2*w.Number("distance")))
	w.Put("grip-used", w.Output("mfdd")/(w.Number("grip")*quantity.StandardGravity))
}

// check says what in the measurements cannot be.
func check(w *kit.Work) kit.Faults {
	var faults kit.Faults
	fault := func(input, text, hint string) {
		faults = append(faults, kit.Fault{Input: input, Text: input + ": " + text, Hint: hint})
	}
	start, whole, at80, at10 := w.Number("start-speed"), w.Number("distance"), w.Number("distance-80"), w.Number("distance-10")
	if off := (start - w.Number("speed")) * 3.6; off > 5+1e-9 || off < -5-1e-9 {
		fault("start-speed", "it is more than 5 km/h off the nominal speed", "ride the stop again: a distance may only be corrected over 5 km/h")
	}
	if at10 <= at80 {
		fault("distance-10", "it is not beyond distance-80", "the speed falls to 80 % before it falls to 10 %")
	} else if trace.MFDD(start, at80, at10) > 20 {
		fault("distance-10", "so near to distance-80 it makes more than 20 m/s², which no road tyre holds", "check both distances")
	}
	if at10 > whole {
		fault("distance", "it is less than distance-10", "the bike stands after it had 10 % of its speed")
	}
	if whole <= 0.36*start {
		fault("distance", "it is less than the 0.1·V that the formula counts before the brakes bite", "check the distance and the speed")
	}
	return faults
}

// compare sets the stop beside every limit, with the uncertainties of its corrected distance and mean deceleration.
func compare(w *kit.Work, ofDistance, ofMean float64) {
	distances := table("Limit of the distance", "at most", distance)
	decelerations := table("Limit of the deceleration", "at least", preset.Deceleration)
	met := 0
	for _, q := range holding(w) {
		most := q.Distance(w.Number("speed")*3.6, w.Number("grip"))
		ok := row(&distances, q.Name, most, most-w.Output("corrected-distance"), ofDistance)
		if least := q.Least(w.Number("grip")); least > 0 {
			ok = row(&decelerations, q.Name, least, w.Output("mfdd")-least, ofMean) || ok
		}
		if ok {
			met++
		}
	}
	w.Put("met", float64(met))
	w.Series = append(w.Series, distances, decelerations)
}

// holding are the limits for the stop that was ridden.
func holding(w *kit.Work) (list []*Requirement) {
	for i := range requirements {
		if q := &requirements[i]; q.Holds(w.Word("brakes"), w.Number("speed")*3.6, w.Number("grip")) {
			list = append(list, q)
		}
	}
	return list
}

func table(limit, bound string, shown quantity.Shown) figure.Table {
	return figure.Table{Columns: []figure.Column{{Label: limit}, {Label: bound, Shown: shown},
		{Label: "margin", Shown: shown}, {Label: "met", Shown: preset.YesNo}}}
}

// row adds a limit and reports whether it is met beyond doubt.
func row(t *figure.Table, name string, limit, margin, doubt float64) bool {
	yes, word := 0.0, "no"
	switch {
	case margin >= doubt:
		yes, word = 1, "yes"
	case margin > -doubt:
		word = "too near to tell"
	}
	c := t.Columns
	c[0].Words = append(c[0].Words, name)
	c[1].Values, c[2].Values = append(c[1].Values, limit), append(c[2].Values, margin)
	if doubt > 0 {
		c[3].Words = append(c[3].Words, word)
	} else {
		c[3].Values = append(c[3].Values, yes)
	}
	return yes == 1
}

func drawLimits(w *kit.Work, s figure.Style) figure.Scene {
	v, r := w.Number("speed"), s.Reader
	c := figure.Chart{
		Runs: "speed",
		X:    figure.Axis{Label: "Nominal speed", Shown: preset.Speed, To: 1.6 * v},
		Y:    figure.Axis{Label: "Corrected distance", Shown: preset.Road},
	}
	if stop, logged := w.Data.(*trace.Stop); logged && !stop.Valid {
		c.Alt = r.Say("The stop is too far off the nominal speed to be set beside the limits.")
	} else {
		c.Alt = r.Say("From {} the corrected distance is {}; of {} limits for these brakes the stop meets {}.",
			r.Quantity(v, preset.Speed), w.Tell("corrected-distance", r),
			r.Number(float64(len(holding(w))), preset.Whole), w.Tell("met", r))
		c.Spots = []figure.Spot{{Role: "now", Label: w.Tell("corrected-distance", r), X: v, Y: w.Output("corrected-distance"), Below: true}}
		c.Table = w.Series[len(w.Series)-2]
	}
	top := max(1.2*v, 80/3.6)
	var x []float64
	for i := range 31 {
		x = append(x, top*float64(i)/30)
	}
	for i, q := range holding(w) {
		y := make([]float64, len(x))
		for k := range x {
			y[k] = q.Distance(x[k]*3.6, w.Number("grip"))
		}
		c.Series = append(c.Series, figure.Series{Role: "limit", Label: q.Name, X: x, Y: y, Dashed: i > 0})
	}
	return c.Scene(s)
}

func drawSpeeds(w *kit.Work, s figure.Style) figure.Scene {
	v, r := w.Number("start-speed"), s.Reader
	at80, at10, whole := w.Number("distance-80"), w.Number("distance-10"), w.Number("distance")
	x, y := []float64{0}, []float64{v}
	for _, leg := range [...]struct{ to, speed float64 }{{at80, 0.8 * v}, {at10, 0.1 * v}, {whole, 0}} {
		from, u := x[len(x)-1], y[len(y)-1]
		for i := 1; i <= 12; i++ { // between two marks the bike is taken to slow evenly: v² falls in step with the way
			part := float64(i) / 12
			x = append(x, from+(leg.to-from)*part)
			y = append(y, math.Sqrt(max(0, u*u+(leg.speed*leg.speed-u*u)*part)))
		}
	}
	c := figure.Chart{
		Runs: "distance",
		Alt: r.Say("The speed fell to {} after {} and to {} after {}.", r.Quantity(0.8*v, speed), r.Quantity(at80, distance),
			r.Quantity(0.1*v, speed), r.Quantity(at10, distance)),
		X:      figure.Axis{Label: "Distance from the first touch", Shown: preset.Road},
		Y:      figure.Axis{Label: "Speed", Shown: preset.Speed},
		Series: []figure.Series{{Role: "speed", X: x, Y: y, Dashed: true}},
		Bands:  []figure.Band{{Role: "braking", Label: "counted for the mean", From: at80, To: at10}},
		Spots: []figure.Spot{
			{Role: "now", Label: "80 %", X: at80, Y: 0.8 * v}, {Role: "now", Label: "10 %", X: at10, Y: 0.1 * v},
		},
	}
	return c.Scene(s)
}
