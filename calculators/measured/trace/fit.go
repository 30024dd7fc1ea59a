package trace

import "math"

// Least squares, small enough to read: at most four terms at a time.

const terms = 4

// A fitted curve is a sum of terms: their factors, and the triangle of the
// normal matrix, whose inverse times the variance of the noise is their covariance.
type fitted struct {
	factor   [terms]float64
	triangle [][]float64
	n        int // samples
}

// fit fits y with n terms, the first of which is 1; row fills in the others of a sample. It fails where samples are too
// few or too alike to tell the terms apart.
func fit(y []float64, n int, row func(i int, x *[terms]float64)) (f fitted, ok bool) {
	if len(y) < n {
		return f, false
	}
	f.n, f.triangle = len(y), triangle(n)
	var right, z [terms]float64
	x := [terms]float64{1}
	level := y[len(y)/2] // sums of small numbers lose less
	for i, value := range y {
		row(i, &x)
		value -= level
		for a := range n {
			for b := range a + 1 {
				f.triangle[a][b] += float64(x[a] * x[b])
			}
			right[a] += float64(x[a] * value)
		}
	}
	if _, ok = factor(f.triangle); !ok {
		return f, false
	}
	forward(z[:n], f.triangle, right[:n])
	backward(f.factor[:n], f.triangle, z[:n])
	f.factor[0] += level
	return f, true
}

// variance returns the variance of a factor if the values have a variance of 1.
func (f *fitted) variance(term int) float64 {
	var one, z [terms]float64
	one[term] = 1
	n := len(f.triangle)
	forward(z[:n], f.triangle, one[:n])
	return product(z[:n], z[:n])
}

// A curve is a smoothed piece: at each sample the least-squares polynomial of the samples around it, of the second
// degree for speeds and of the third for distances, which bends with a stop and does not flatten it.
type curve struct {
	speed, slowing []float64 // m/s, m/s²
	noise          float64   // standard deviation of a value of the piece
}

// smooth smooths a piece over half a window, in s, to either side.
func (p *piece) smooth(half float64) curve {
	n := len(p.t)
	c := curve{speed: make([]float64, n), slowing: make([]float64, n)}
	var off []float64
	from, to := 0, 0
	for i := range p.t {
		for p.t[i]-p.t[from] > half+1e-9 {
			from++
		}
		for to < n && p.t[to]-p.t[i] <= half+1e-9 {
			to++
		}
		f, degree := p.around(i, from, to, half)
		value := f.factor[0]
		if p.distance {
			c.speed[i], c.slowing[i] = f.factor[1]/half, -2*f.factor[2]/(half*half)
		} else {
			c.speed[i], c.slowing[i] = value, -f.factor[1]/half
		}
		if left := 1 - f.variance(0); left > 0.05 && f.n > degree+1 {
			off = append(off, math.Abs(p.y[i]-value)/math.Sqrt(left))
		}
	}
	// The median does not mind the few places where a stop has corners; a normal
	// distribution has it at 0.6745 standard deviations.
	c.noise = max(usual(off)/0.6745, p.grid/math.Sqrt(12))
	return c
}

// around fits the samples from..to about sample i, with time in half windows.
// Where there are too few, the degree is lower.
func (p *piece) around(i, from, to int, half float64) (fitted, int) {
	degree := 2
	if p.distance {
		degree = 3
	}
	for ; degree > 0; degree-- {
		f, ok := fit(p.y[from:to], degree+1, func(j int, x *[terms]float64) {
			t := (p.t[from+j] - p.t[i]) / half
			for k := 1; k <= degree; k++ {
				x[k] = x[k-1] * t
			}
		})
		if ok {
			return f, degree
		}
	}
	return fitted{factor: [terms]float64{p.y[i]}, triangle: [][]float64{{1}}, n: 1}, 0
}
