package preset

import (
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/physics/ride"
)

// Many rides a stop with a controller over and over, for the range of what it comes to.
func Many(w *kit.Work, setup *ride.Setup) (*ride.Spread, error) {
	p, err := setup.Spread(0)
	if err != nil {
		return nil, Refusal(w, err)
	}
	return p, nil
}

// PutRange sets an output to the middle of many rides, with the limits between which nine of ten lie.
func PutRange(w *kit.Work, output string, p *ride.Spread, of func(*ride.Result) float64) {
	w.PutBand(output, p.Quantile(0.5, of), p.Quantile(0.05, of), p.Quantile(0.95, of))
}

// Falls are the words for why a bike is likely to go down, as ride counts the reasons.
var Falls = []string{"stays upright", "front wheel locked", "over the front", "the corner asked too much", "rear wheel stepped out"}

// FallOf is the most frequent reason for a fall among many rides, if one of ten goes down or more.
func FallOf(p *ride.Spread) ride.Fall {
	var count [ride.RearSteppedOut + 1]int
	fell, worst := 0, ride.Upright
	for i := range p.Results {
		f := p.Results[i].Fall
		if f == ride.Upright {
			continue
		}
		fell++
		if count[f]++; count[f] > count[worst] {
			worst = f
		}
	}
	if 10*fell < ride.Rides {
		return ride.Upright
	}
	return worst
}

// PutFall sets the outputs fall-likely and fall-reason.
func PutFall(w *kit.Work, f ride.Fall) {
	w.Put("fall-reason", float64(f))
	w.Put("fall-likely", 0)
	if f == ride.Upright {
		w.Void("fall-reason")
	} else {
		w.Put("fall-likely", 1)
	}
}

// FallReason declares the output fall-reason.
func FallReason() kit.Output {
	return kit.Output{Name: "fall-reason", Label: "Why a fall is likely", Sentence: "Why: {}.", Shown: Whole, Words: Falls}
}
