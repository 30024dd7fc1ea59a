package tyre

import "math"

// A stop asks for the curve some twenty thousand times, and half of its time
// went into the exponential. A table of e^-x at every sixteenth and eight terms
// of the series between are as exact for this use, half as slow, and the same
// bits natively and in WebAssembly, where math.Exp is not.

// far is where 1 - e^-x is 1 to the last bit.
const far = 40

var decays = func() (d [16*far + 1]float64) {
	for i := range d {
		d[i] = 1 + math.Expm1(-float64(i)/16)
	}
	return d
}()

// saturation returns 1 - e^-x for x of at least 0, to 1e-15.
func saturation(x float64) float64 {
	if !(x < far) {
		return 1
	}
	i := int(16*x + 0.5)
	y := float64(i)*0.0625 - x // at most 1/32 either way
	e := 1 + float64(y*(1.0/7))
	for _, n := range [6]float64{1.0 / 6, 1.0 / 5, 1.0 / 4, 1.0 / 3, 1.0 / 2, 1} {
		e = 1 + float64(float64(y*n)*e)
	}
	return 1 - float64(decays[i]*e)
}
