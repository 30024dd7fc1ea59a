package ride

import "math"

// Ripple is how the grip of the road swings about its curve along the way: a
// share of it, in waves. The zero Ripple is an even road.
type Ripple [3]Wave

// at returns the grip over the curve's, at a place along the road, m.
func (r *Ripple) at(x float64) float64 {
	grip := 1.0
	for i := range r {
		if w := &r[i]; w.Share != 0 {
			grip += w.Share * math.Sin(w.Rate*x+w.Phase)
		}
	}
	return grip
}
