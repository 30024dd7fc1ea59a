package ride

import "math"

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
