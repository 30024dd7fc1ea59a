package cue

import (
	"math"

	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/cmd/internal/lesson"
)

// How far a spoken number may be from the true one, as a share of it (common practice, no source: nobody calls 2 %
// wrong after "about", and "just under" says on which side the truth lies).
const (
	aboutWithin = 0.02
	justWithin  = 0.05
)

// say gives a worked number as it is shown and as it may be spoken.
func (v *voice) say(of *lesson.Result, relation lesson.Relation) Said {
	r := v.Reader
	u, decimals := of.Shown.In(r.System)
	shown := r.Quantity(of.Value, of.Shown)
	if relation == lesson.Times {
		shown = r.Say("{} times", r.Number(of.Value, of.Shown))
		return Said{shown, v.nearest(u.From(of.Value), decimals,
			func(near float64, places int) string { return r.Say("{} times", r.Locale.Format(near, places)) })}
	}
	if of.Shown.Kind == quantity.YesNo {
		return Said{shown, shown}
	}
	return Said{shown, v.nearest(u.From(of.Value), decimals, func(near float64, places int) string { return v.quantity(near, places, u) })}
}

// nearest is the shortest rounding of x that is true, as say puts it: the number with the fewest digits that lies so
// near that "about", "just under" or "just over" it holds. A number that is exact as it stands is said as it stands. It
// never has more decimals than are shown.
func (v *voice) nearest(x float64, decimals int, say func(near float64, places int) string) string {
	for digits := 1; ; digits++ {
		near, places := rounded(x, digits)
		last := places >= decimals
		if last {
			near, places = rounded(x, digits-places+decimals)
		}
		phrase, ok := holds(x, near)
		if !ok && !last {
			continue
		}
		if !ok {
			phrase = "about {}" // as near as the shown decimals go
		}
		return v.Say(phrase, say(near, max(0, trailing(near, places))))
	}
}

// holds says how near to v a rounded number is, in words.
func holds(v, near float64) (phrase string, ok bool) {
	off := math.Abs(v - near)
	switch {
	case off <= 1e-9*math.Abs(v):
		return "{}", true
	case off <= aboutWithin*math.Abs(v):
		return "about {}", true
	case off <= justWithin*math.Abs(v) && math.Abs(v) < math.Abs(near):
		return "just under {}", true
	case off <= justWithin*math.Abs(v):
		return "just over {}", true
	}
	return "", false
}

// rounded is v with so many significant digits, and the decimals that these reach to; below zero they end before the
// point.
func rounded(v float64, digits int) (near float64, places int) {
	if v == 0 {
		return 0, digits - 1
	}
	places = digits - 1 - int(math.Floor(math.Log10(math.Abs(v))))
	scale := math.Pow10(places)
	return math.Round(v*scale) / scale, places
}

// trailing is how many decimals a rounded number has once zeros at its end are left out.
func trailing(near float64, places int) int {
	for ; places > 0; places-- {
		shorter := near * math.Pow10(places-1)
		if math.Abs(shorter-math.Round(shorter)) > 1e-6 {
			break
		}
	}
	return places
}

// unitWords is how units are spoken, by their signs. The singular is for exactly one.
var unitWords = map[string]struct{ one, many string }{
	"m": {"{} metre", "{} metres"}, "km": {"{} kilometre", "{} kilometres"}, "cm": {"{} centimetre", "{} centimetres"},
	"mm": {"{} millimetre", "{} millimetres"}, "ft": {"{} foot", "{} feet"}, "in": {"{} inch", "{} inches"},
	"km/h": {"{} kilometre per hour", "{} kilometres per hour"}, "mph": {"{} mile per hour", "{} miles per hour"},
	"m/s": {"{} metre per second", "{} metres per second"}, "ft/s": {"{} foot per second", "{} feet per second"},
	"m/s²": {"{} metre per second squared", "{} metres per second squared"}, "ft/s²": {"{} foot per second squared", "{} feet per second squared"},
	"s": {"{} second", "{} seconds"}, "ms": {"{} millisecond", "{} milliseconds"}, "min": {"{} minute", "{} minutes"},
	"kg": {"{} kilogram", "{} kilograms"}, "lb": {"{} pound", "{} pounds"}, "N": {"{} newton", "{} newtons"},
	"kN": {"{} kilonewton", "{} kilonewtons"}, "lbf": {"{} pound-force", "{} pounds-force"}, "bar": {"{} bar", "{} bar"},
	"N·m": {"{} newton metre", "{} newton metres"}, "kJ": {"{} kilojoule", "{} kilojoules"}, "kW": {"{} kilowatt", "{} kilowatts"},
	"°C": {"{} degree Celsius", "{} degrees Celsius"}, "°F": {"{} degree Fahrenheit", "{} degrees Fahrenheit"},
	"K": {"{} kelvin", "{} kelvins"}, "°": {"{} degree", "{} degrees"}, "%": {"{} percent", "{} percent"}, "Hz": {"{} hertz", "{} hertz"},
}
