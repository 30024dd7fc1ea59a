package tyre

import "math"

// A stop asks for the curve some ten thousand times, and half of its time went
// into the exponential. A table of e^-x at every 64th and six terms of the
// series between are as exact for this use, a third as slow, and the same bits
// natively and in WebAssembly, where math.Exp is not.

// far is where 1 - e^-x is 1 to the last bit.
const far = 40

var decays = func() (d [64*far + 1]float64) {
	for i := range d {
		d[i] = 1 + math.Expm1(-float64(i)/64)
	}
	return d
}()

// Saturation returns 1 - e^-x for x of at least 0, to 1e-15.
func Saturation(x float64) float64 {
	if !(x < far) {
		return 1
	}
	i := int(64*x + 0.5)
	y := float64(i)*(1.0/64) - x // at most 1/128 either way
	q := y * y
	high := 1.0/24 + float64(y*(1.0/120))
	e := 1 + y + float64(q*(0.5+float64(y*(1.0/6))+float64(q*high)))
	return 1 - float64(decays[i]*e)
}
