// Package heat answers: how hot does the disc get? Each stop turns energy of motion into heat of the front discs; from
// stop to stop they give it to the air. On a descent the brake drags all the time, the discs warm towards where the air
// takes as much as comes in, and the fluid follows them towards its boiling point.
package heat

import (
	"math"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/preset"
	"example.org/gripleaf/calculators/quantity"
)

var (
	energy      = quantity.Shown{Kind: quantity.Energy, Metric: "kJ", Imperial: "BTU"}
	power       = quantity.Shown{Kind: quantity.Power, Metric: "kW", Imperial: "hp"}
	temperature = quantity.Shown{Kind: quantity.Temperature, Metric: "degC", Imperial: "degF"}
	warming     = quantity.Shown{Kind: quantity.Warming, Metric: "K", Imperial: "degF"}
	capacity    = quantity.Shown{Kind: quantity.HeatCapacity, Metric: "J/kgK", Imperial: "BTU/lbF", ImperialDecimals: 3}
	seconds     = quantity.Shown{Kind: quantity.Time, Metric: "s"}
)

const (
	zeroCelsius = 273.15            // K
	modelEnds   = 700 + zeroCelsius // K, below the peak of steel's specific heat at 735 °C
)

// Calculator is the heat calculator.
var Calculator = kit.Calculator{
	ID:       "heat",
	Title:    "Heat in the discs",
	Question: "How hot does the disc get?",
	Inputs: []kit.Input{
		{Name: "mass", Symbol: "m", Label: "Mass of bike and rider", Shown: preset.Mass, Default: "260kg", Min: 60, Max: 1000, Step: 5,
			Why: "from a moped to the heaviest tourer with sidecar"},
		{Name: "speed", Symbol: "v", Label: "Speed before each stop", Shown: preset.Speed, Default: "100km/h", Min: 1 / 3.6, Max: 400 / 3.6, Step: 1,
			Help: "And on the descent.", Why: "no road bike is faster"},
		{Name: "to", Symbol: "v_e", Label: "Speed after it", Shown: preset.Speed, Default: "0km/h", Min: 0, Max: 400 / 3.6, Step: 1,
			Why: "it cannot be more than the speed before"},
		{Name: "deceleration", Symbol: "a", Label: "Deceleration", Shown: preset.Deceleration, Default: "7m/s2", Min: 0.5, Max: 20, Step: 0.1,
			Why: "less is coasting, and no road tyre holds more"},
		{Name: "share", Symbol: "q", Label: "Share of the front brake", Shown: preset.Share, Default: "80%", Min: 0, Max: 1, Step: 1,
			Help: "The share of the energy that goes into the front discs; the rest goes to the rear brake, the tyres and the air.", Why: "it is a part of the whole"},
		{Name: "disc-mass", Symbol: "m_d", Label: "Mass of one disc", Shown: quantity.Shown{Kind: quantity.Mass, Metric: "kg", Imperial: "lb", MetricDecimals: 2, ImperialDecimals: 2}, Default: "1.4kg", Min: 0.1, Max: 10, Step: 0.05,
			Help: "Of the ring that the pads rub, without its carrier.", Why: "discs of bikes lie between"},
		{Name: "discs", Symbol: "n_d", Label: "Discs", Shown: preset.Whole, Default: "2", Min: 1, Max: 2, Step: 1, Why: "a wheel has two sides"},
		{Name: "specific-heat", Symbol: "c", Label: "Specific heat of the disc", Shown: capacity, Default: "460J/kgK", Min: 300, Max: 1200, Step: 10,
			Help: "Steel has about 460, cast iron 500, aluminium 900 J/(kg·K).", Why: "disc materials lie between", Detail: true},
		{Name: "ambient", Symbol: "T_a", Label: "Temperature of the air", Shown: temperature, Default: "20degC", Min: zeroCelsius - 40, Max: zeroCelsius + 55, Step: 1,
			Why: "nobody rides outside that"},
		{Name: "stops", Symbol: "n", Label: "Stops", Shown: preset.Whole, Default: "6", Min: 1, Max: 50, Step: 1, Why: "longer series are settled long before"},
		{Name: "interval", Symbol: "t_i", Label: "Time from stop to stop", Shown: seconds, Default: "45s", Min: 5, Max: 3600, Step: 5,
			Help: "From the beginning of one to the beginning of the next.", Why: "sooner you are not up to speed, later all is cold"},
		{Name: "cooling-time", Symbol: "τ", Label: "Cooling time", Shown: seconds, Default: "200s", Min: 20, Max: 2000, Step: 10,
			Help: "The time in which a disc loses 63 % of its excess over the air's temperature.", Why: "thin discs in the wind are quicker than this, none is slower", Detail: true},
		{Name: "grade", Symbol: "G", Label: "Slope of the descent", Shown: preset.Share, Default: "-8%", Min: -0.3, Max: 0, Step: 1,
			Help: "Down is negative.", Why: "steeper roads are hardly built"},
		{Name: "length", Symbol: "d", Label: "Length of the descent", Shown: hill, Default: "10km", Min: 0, Max: 50000, Step: 0.5,
			Why: "hardly any descent is longer"},
		{Name: "engine", Symbol: "a_e", Label: "What the engine holds back", Shown: preset.Deceleration, Default: "0.3m/s2", Min: 0, Max: 3, Step: 0.05,
			Help: "How you would slow on the level in that gear, throttle shut.", Why: "no engine holds more"},
		{Name: "fluid", Label: "Brake fluid", Default: "dot4",
			Choices: []kit.Choice{{Value: "dot3", Label: "DOT 3"}, {Value: "dot4", Label: "DOT 4"}, {Value: "dot5-1", Label: "DOT 5.1"}}},
	},
	Outputs: []kit.Output{
		{Name: "temperature", Symbol: "T", Label: "Temperature after the last stop", Sentence: "After the last stop the discs are at {}.", Shown: temperature, Main: true},
		{Name: "rise", Symbol: "ΔT", Label: "Rise in one stop", Sentence: "One stop heats them by {}.", Shown: warming, Main: true},
		{Name: "energy", Symbol: "E", Label: "Energy of one stop", Sentence: "Each stop turns {} into heat.", Shown: energy, Main: true},
		{Name: "power", Symbol: "P", Label: "Greatest power into the front discs", Sentence: "When the brakes first bite, the front discs take {}.", Shown: power},
		{Name: "settled-temperature", Symbol: "T_s", Label: "Temperature at which the series settles", Sentence: "If the stops went on for ever, the discs would settle at {} after each one.", Shown: temperature},
		{Name: "descent-power", Symbol: "P_d", Label: "Power into the brakes there", Sentence: "Going down, the brakes take {} all the time.", Shown: finePower, Main: true},
		{Name: "descent-temperature", Symbol: "T_d", Label: "Discs at the bottom", Shown: temperature, Main: true},
		{Name: "fluid-temperature", Symbol: "T_f", Label: "Fluid at the bottom", Shown: temperature, Main: true},
		{Name: "fresh-boiling", Symbol: "T_1", Label: "Fresh fluid boils from", Shown: temperature},
		{Name: "old-boiling", Symbol: "T_2", Label: "Old, damp fluid boils from", Shown: temperature},
		{Name: "pad-share", Symbol: "q_p", Label: "Pad friction left after a stop there", Shown: preset.Share},
	},
	Figures: []kit.Figure{
		{Name: "series", Title: "Temperature over repeated stops", Draw: drawSeries},
		{Name: "descent", Title: "Discs and fluid on a descent", Draw: drawDescent},
	},
	Assumptions: []string{
		"All parts of a disc have one temperature; its face is hotter during a stop, which passes in seconds.",
		"While a stop lasts, a disc gives nothing away; from its end to the next stop it cools towards the air's temperature at one rate.",
		"Turning wheels add a few percent of energy, air drag takes some; neither is counted.",
		"Down the hill the speed stays the same. The fluid follows the discs to half of their excess over the air, with a delay of 240 s.",
		"Pads keep their friction up to 300 °C, then lose a fifth of it for every 100 K more, down to two fifths.",
		"The specific heat stays the same; that of steel rises as it gets hot, so that the model ends at about 700 °C.",
		"Masses, cooling time, the fluid's share and delay and the fading are invented.",
	},
	Sources: []kit.Source{
		{Title: "Heating", Detail: "ΔT = E/(m·c): OpenStax College Physics 2e, section 14.2, brakes of a truck on a descent"},
		{Title: "Cooling", Detail: "Newton's law of cooling"},
		{Title: "Boiling points", Detail: "FMVSS 116 and ISO 4925, least values (from memory)"},
		{Title: "Specific heat", Detail: "steel 450 to 500, cast iron 450 to 550 J/(kg·K); hot steel EN 1993-1-2, section 3.4.1.2, with a peak at 735 °C (from memory)"},
	},
	Work: work,
}

// Rise is how much a mass in kg of a specific heat in J/(kg·K) warms with an energy in J, in K.
func Rise(energy, mass, capacity float64) float64 { return energy / (mass * capacity) }

// stop is one of a series: its temperatures before and after.
type stop struct{ at, before, after float64 }

func work(w *kit.Work) error {
	v, to := w.Number("speed"), w.Number("to")
	if to > v {
		return w.Refuse("to", "the speed after the stop is higher than the speed before", "a brake only slows: make it lower")
	}
	lasts := (v - to) / w.Number("deceleration")
	if lasts > w.Number("interval") {
		return w.Refuse("interval", "the next stop begins before this one, of "+quantity.Locale{}.Format(lasts, 1)+" s, is over", "make the interval longer or brake harder")
	}
	e := w.Number("mass") * (v*v - to*to) / 2
	rise := Rise(e*w.Number("share"), w.Number("disc-mass")*w.Number("discs"), w.Number("specific-heat"))
	cooled := -math.Expm1(-(w.Number("interval") - lasts) / w.Number("cooling-time"))
	stops := series(w, rise, cooled)
	w.Data = stops
	w.Series = []figure.Table{listing(stops)}
	w.Put("energy", e)
	w.Put("rise", rise)
	w.Put("power", w.Number("share")*w.Number("mass")*w.Number("deceleration")*v)
	w.Put("temperature", stops[len(stops)-1].after)
	w.Put("settled-temperature", w.Number("ambient")+settled(rise, cooled))
	down := descend(w)
	down.work(w, rise)
	if hottest := max(w.Output("temperature"), w.Output("descent-temperature")); hottest > modelEnds {
		w.Happened("The discs come to {}, where this model has ended: from about {} on, steel stores heat in another way and softens. Take it as far too hot, not as a temperature.",
			kit.Amount{Value: hottest, Shown: temperature}, kit.Amount{Value: modelEnds, Shown: temperature})
	}
	return nil
}

// settled is how much hotter than the air endless stops leave the disc: rise/cooled, where a stop adds what the pause
// before it takes away.
func settled(rise, cooled float64) float64 { return rise / max(cooled, 1e-4) }

func series(w *kit.Work, rise, cooled float64) []stop {
	air, t := w.Number("ambient"), w.Number("ambient")
	stops := make([]stop, int(w.Number("stops")))
	for i := range stops {
		stops[i] = stop{float64(i) * w.Number("interval"), t, t + rise}
		t += rise
		t -= (t - air) * cooled
	}
	return stops
}

func listing(stops []stop) figure.Table {
	t := figure.Table{Columns: []figure.Column{
		{Label: "Stop", Shown: preset.Whole}, {Label: "Begins", Shown: seconds}, {Label: "Before", Shown: temperature}, {Label: "After", Shown: temperature},
	}}
	for i, s := range stops {
		for k, v := range [...]float64{float64(i + 1), s.at, s.before, s.after} {
			t.Columns[k].Values = append(t.Columns[k].Values, v)
		}
	}
	return t
}

// hottest is the highest temperature in either figure, with room for a label, so that both have one scale.
func hottest(w *kit.Work) float64 {
	top := max(w.Output("temperature"), w.Output("descent-temperature"), w.Output("fresh-boiling"))
	if settled := w.Output("settled-temperature"); settles(w) {
		top = max(top, settled)
	}
	return max(top, w.Output("temperature")+0.1*(top-w.Number("ambient")))
}

// settles reports whether the series comes near enough to where it settles for that to be shown.
func settles(w *kit.Work) bool {
	air := w.Number("ambient")
	return w.Output("settled-temperature")-air < 2*(w.Output("temperature")-air)
}

func drawSeries(w *kit.Work, s figure.Style) figure.Scene {
	stops, r := w.Data.([]stop), s.Reader
	v, to := w.Number("speed"), w.Number("to")
	lasts := (v - to) / w.Number("deceleration")
	air := w.Number("ambient")
	var x, y []float64
	for _, one := range stops {
		// The heat of a stop grows with the energy shed so far, v² - (v - a·t)².
		for i := range 7 {
			u := v - (v-to)*float64(i)/6
			part := 1.0
			if v > to {
				part = (v*v - u*u) / (v*v - to*to)
			}
			x, y = append(x, one.at+lasts*float64(i)/6), append(y, one.before+(one.after-one.before)*part)
		}
		pause := w.Number("interval") - lasts
		for i := 1; i < 9; i++ {
			t := pause * float64(i) / 9
			x = append(x, one.at+lasts+t)
			y = append(y, one.after+(one.after-air)*math.Expm1(-t/w.Number("cooling-time")))
		}
	}
	last := stops[len(stops)-1]
	c := figure.Chart{
		Runs: "time",
		Alt: r.Say("{} stops, each {} hotter than it began; after the last the discs are at {}.",
			r.Number(w.Number("stops"), preset.Whole), w.Tell("rise", r), r.Quantity(last.after, temperature)),
		X:      figure.Axis{Label: "Time", Shown: seconds},
		Y:      figure.Axis{Label: "Temperature", Shown: temperature, From: air, To: hottest(w)},
		Series: []figure.Series{{Role: "front", Label: "discs", X: x, Y: y, LabelAt: 0.5}},
		Spots:  []figure.Spot{{Role: "now", Label: r.Quantity(last.after, temperature), X: last.at + lasts, Y: last.after}},
		Table:  listing(stops),
	}
	if settles(w) {
		c.Guides = append(c.Guides, figure.Guide{Role: "limit", Label: "where it settles", At: w.Output("settled-temperature"), Level: true})
	}
	return c.Scene(s)
}
