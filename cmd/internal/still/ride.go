package still

import (
	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/quantity"
)

// Ride films a stop from the side, at the speed at which it happens, if the
// calculation is one that can be watched.
func Ride(w *kit.Work, r *quantity.Reader, rate int) (Film, bool) {
	if w.Calculator.Film == nil {
		return Film{}, false
	}
	ride := w.Calculator.Film(w)
	p := Picture{Title: r.Say(w.Calculator.Title), About: about(w, r), Caution: w.Calculator.Warning(r), Reader: r}
	return Film{Of: kit.Scheme + w.Canonical(), Rate: rate, Lasts: ride.Duration(), At: watched(p, ride, 0, 1)}, true
}

// watched gives the moments of a ride, from one on, at a share of its speed.
func watched(p Picture, ride kit.Film, from, speed float64) func(t float64) (Picture, error) {
	return func(t float64) (Picture, error) {
		p := p
		p.Draw = func(s figure.Style) figure.Scene { return ride.Scene(from+t*speed, s) }
		return p, nil
	}
}
