package ride

import (
	"math"
	"slices"
)

// Rides is how often a stop with a controller is ridden for its range.
const Rides = 21

// How one ride differs from the next. The grip swings by 3 % along the road (root
// mean square), in waves of some 1.5, 4 and 10 m: the size is that of the
// repeatability of skid tests, 2 in 60 (ASTM E274, from memory), the lengths are
// invented, demo. The hand swings by 3 % about its demand and takes up to a
// twentieth more or less time for the squeeze; invented, demo.
const (
	rippleSpread = 0.02
	handSpread   = 0.03
	riseSpread   = 0.05
)

var rippleLengths = [...]float64{1.5, 4, 10} // m, each a fifth longer or shorter

// Varied returns the stop with the small differences that nobody knows of: where
// the grip of the road swings, and how the hand trembles. The same seed gives the
// same differences, whatever the stop.
func (s *Setup) Varied(seed uint64) Setup {
	v := *s
	for i, length := range rippleLengths {
		v.Ripple[i] = Wave{
			Share: rippleSpread * math.Sqrt(2.0/float64(len(rippleLengths))),
			Rate:  2 * math.Pi / (length * (0.8 + 0.4*draw(&seed))),
			Phase: 2 * math.Pi * draw(&seed),
		}
	}
	v.Rise *= 1 + riseSpread*(2*draw(&seed)-1)
	v.Hand.Waves = Unsteady(handSpread, 0, seed).Waves
	return v
}

// Spread is a stop ridden Rides times over, each time a little different.
type Spread struct {
	Results [Rides]Result
	seed    uint64
}

// Spread rides a stop over and over. Another seed draws other differences, which
// should tell nobody anything new.
func (s *Setup) Spread(seed uint64) (*Spread, error) {
	p := &Spread{seed: seed * Rides}
	for i := range p.Results {
		v := s.Varied(p.seed + uint64(i))
		var err error
		if p.Results[i], err = Run(&v, nil); err != nil {
			return nil, err
		}
	}
	return p, nil
}

// Quantile returns what a share of the rides stay below in one of their results.
func (p *Spread) Quantile(share float64, of func(*Result) float64) float64 {
	values := make([]float64, 0, Rides)
	for i := range p.Results {
		v := of(&p.Results[i])
		at, _ := slices.BinarySearch(values, v)
		values = slices.Insert(values, at, v)
	}
	return Quantile(values, share)
}

// Middle returns the seed, for Varied, of the ride with the middle distance.
func (p *Spread) Middle() uint64 {
	middle := p.Quantile(0.5, func(r *Result) float64 { return r.StoppingDistance })
	for i := range p.Results {
		if p.Results[i].StoppingDistance == middle {
			return p.seed + uint64(i)
		}
	}
	return p.seed
}

// Quantile returns the value that a share of sorted values lie below, between
// neighbours on the straight line (type 7 of R. J. Hyndman and Y. Fan, Sample
// quantiles in statistical packages, 1996).
func Quantile(sorted []float64, share float64) float64 {
	h := share * float64(len(sorted)-1)
	i := int(h)
	if i+1 >= len(sorted) {
		return sorted[len(sorted)-1]
	}
	return sorted[i] + float64((h-float64(i))*(sorted[i+1]-sorted[i]))
}
