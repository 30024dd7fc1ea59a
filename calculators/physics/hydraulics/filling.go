package hydraulics

import "math"

// Filling is the pressure in a caliper over a short while, as a power series in
// time. It depends on nothing but the master's pressure and the valve, so it is
// solved by itself: it answers a valve within a millisecond or two, which the
// motion does not.
type Filling struct {
	base, slope float64        // what the drop is measured from, Pa, and how fast that moves, Pa/s
	drop        [terms]float64 // from there to the caliper: Pa, Pa/s, Pa/s²...
	terms       int            // of it that count
	open        bool
}

// terms is enough for 1e-8 of the drop for as long as a Filling lasts.
const terms = 11

// A series ends with a term that comes to little at the end of the step.
const little = 1e-4 // Pa

// Begin readies the series for a step of at most so long, a valve that stands in
// its position for a share of the time, a master's pressure that moves with a
// slope, and a caliper of an uptake and a pressure now.
func (f *Filling) Begin(m *Modulator, v Valve, step, share, uptake, master, slope, caliper float64) {
	rate := share * m.Inlet / uptake
	switch v {
	case Hold:
		*f = Filling{base: caliper}
		return
	case Dump:
		rate, master, slope = share*m.Outlet/uptake, m.Accumulator, 0
	}
	const nothing = 1e-6 // Pa
	f.base, f.slope, f.open = master, slope, true
	if d := caliper - master; slope == 0 && math.Abs(d) < nothing {
		*f = Filling{base: caliper}
	} else {
		f.expand(d, -slope, rate, step)
	}
}

// expand works out the series of x' = push - rate·x/√(|x| + laminar) from the
// series of w = 1/√(|x| + laminar), for which (|x| + laminar)·w' = -w·|x|'/2.
func (f *Filling) expand(x, push, rate, step float64) {
	sign := 1.0
	if x < 0 || x == 0 && push < 0 {
		sign = -1
	}
	var w [terms]float64
	w[0] = 1 / math.Sqrt(math.Abs(x)+laminar)
	within := 1.0
	per := sign * w[0] * w[0]
	d := &f.drop
	d[0] = x
	for n := 1; n < terms; n++ {
		flow := 0.0
		for j := range n {
			flow += d[j] * w[n-1-j]
		}
		d[n] = (push - rate*flow) * inverse[n]
		push = 0
		sum := 0.0
		for j := 1; j <= n; j++ {
			sum += (0.5*float64(j) - float64(n)) * d[j] * w[n-j]
		}
		w[n] = sum * per * inverse[n]
		f.terms = n + 1
		if within *= step; n > 3 && math.Abs(d[n])*within < little {
			break
		}
	}
}

var inverse = func() (v [terms]float64) {
	for n := 1; n < terms; n++ {
		v[n] = 1 / float64(n)
	}
	return v
}()

// Lasts returns how long the series may be used: a quarter of the time in which
// the drop, or what makes a small one laminar, could be gone.
func (f *Filling) Lasts() float64 {
	if !f.open || f.drop[1] == 0 {
		return math.Inf(1)
	}
	return 0.25 * (math.Abs(f.drop[0]) + laminar) / math.Abs(f.drop[1])
}

// At returns the pressure in the caliper a while after Begin.
func (f *Filling) At(t float64) float64 {
	if !f.open {
		return f.base
	}
	d, x := &f.drop, 0.0
	for n := f.terms - 1; n >= 0; n-- {
		x = x*t + d[n]
	}
	return f.base + f.slope*t + x
}
