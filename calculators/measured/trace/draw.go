package trace

import (
	"math"
	"slices"

	"example.org/gripleaf/calculators/quantity"
)

// The figures of a stop are worked out for many stops that the log may have been of, as often as each is likely:
// nothing is taken for linear or normal that is not. Of each figure the mean is told, and how far from it 95 of 100 of
// those lie (propagation of distributions, JCGM 101:2008; the guesses are drawn as Metropolis and others did, 1953).

// Draws are kept of many guesses, once the first have led to where the likelihood is.
const (
	toBegin = 600
	drawn   = 4000
	each    = 4 // of which one is kept
)

// figures are what one stop comes to.
type figures struct {
	start, speed, at80, at10, time, whole, mean, peak float64

	drifts bool // what follows itself in the noise does so for a second or more
}

// random is a sequence of numbers (Steele, Lea and Flood's SplitMix, 2014). It is the same for every log.
type random uint64

func (r *random) uniform() float64 {
	*r += 0x9e3779b97f4a7c15
	z := uint64(*r)
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return (float64((z^z>>31)>>11) + 0.5) / (1 << 53)
}

// normal is drawn as Box and Muller did.
func (r *random) normal() float64 {
	u := r.uniform()
	return math.Sqrt(-2*math.Log(u)) * math.Cos(2*math.Pi*r.uniform())
}

// first looks for where the likelihood is, in a net of middles and widths, and with
// noise enough that nothing falls through it.
func (m *model) first(noise float64) (weighed, bool) {
	var best weighed
	found := false
	for a := range 25 {
		for b := range 5 {
			for s := range shapes {
				g := guess{middle: m.earliest + (m.latest+0.3-m.earliest)*float64(a)/24, width: usualRise - 1.2 + float64(b-2)*0.7, shape: s,
					scatter: max(math.Log(max(noise, 0.05)), m.least), rough: 2}
				if w, ok := m.weigh(g); ok && (!found || w.likelihood > best.likelihood) {
					best, found = w, true
				}
			}
		}
	}
	return best, found
}

// A walk is where a walk through the guesses is.
type walk struct {
	*model
	random
	at    weighed
	sizes [3]float64 // of a step of the middle, the width and the scatter
}

// step proposes another guess and goes there as often as it is likelier.
func (w *walk) step(learn bool) {
	g := w.at.guess
	size := -1
	switch k := int(w.uniform() * 8); k {
	case 0, 1, 2, 3:
		size = k / 2
		g.middle += w.sizes[0] * w.normal()
		if size == 1 {
			g.width += w.sizes[1] * w.normal()
		}
	case 4:
		g.shape = shapes - 1 - g.shape
	case 5:
		size = 2
		g.scatter += w.sizes[2] * w.normal()
	case 6:
		g.rough += 1 - 2*int(2*w.uniform())
		if g.rough < 0 || g.rough >= len(roughnesses) {
			return
		}
	case 7:
		g.noise = int(w.uniform() * float64(len(kinds)))
	}
	next, ok := w.weigh(g)
	ok = ok && math.Log(w.uniform()) < next.likelihood-w.at.likelihood
	if ok {
		w.at = next
	}
	if learn && size >= 0 { // a step that is taken in three of ten tries is of a good size
		if ok {
			w.sizes[size] *= 1.14
		} else {
			w.sizes[size] *= 0.945
		}
	}
}

// draws returns the figures of the stops that the log may have been of.
func (m *model) draws(noise float64) []figures {
	w := walk{model: m, sizes: [3]float64{0.02, 0.3, 0.2}}
	var ok bool
	if w.at, ok = m.first(noise); !ok {
		return nil
	}
	for range toBegin {
		w.step(true)
	}
	var list []figures
	for i := range drawn {
		w.step(false)
		if i%each > 0 {
			continue
		}
		if f, ok := w.figures(); ok {
			list = append(list, f)
		}
	}
	return list
}

// figures works one stop out: one of those that the guess allows.
func (w *walk) figures() (f figures, ok bool) {
	n := len(w.at.z)
	z, factor := make([]float64, n), make([]float64, n)
	for i, mean := range w.at.z {
		z[i] = mean + w.normal()
	}
	backward(factor, w.at.triangle, z)
	slope := w.slope.Value + w.slope.Uncertainty/2*w.normal()
	c := course{model: w.model, factor: factor, shape: w.at.shape, pull: quantity.StandardGravity * slope / math.Sqrt(1+slope*slope)}
	c.start, c.rise = w.at.rise()
	f, ok = c.figures()
	f.drifts = kinds[w.at.noise].share >= 0.5 && kinds[w.at.noise].memory >= 1
	return f, ok
}

// A course is one stop that a log may have been of.
type course struct {
	*model
	factor      []float64
	shape       shape
	start, rise float64
	pull        float64 // of the slope, m/s²
}

// speed is that at the start.
func (c *course) speed() float64 {
	d := c.start - c.zero
	if c.distance {
		return c.factor[1] + c.factor[2]*d
	}
	return c.level + c.factor[0] + c.factor[1]*d
}

// slowing returns it at a time after the start.
func (c *course) slowing(t float64) float64 {
	a := float64(c.factor[len(c.factor)-1]*c.shape.at(t-c.start, c.rise)) - c.factor[c.base-1] - c.pull
	for i, k := range c.knots {
		if t <= k {
			break
		}
		a += float64(c.factor[c.base+i] * min((t-k)/c.spacing, 1))
	}
	return a
}

const legs = 200 // of a course, more or less

// figures follows the course until the bike stands. It fails for one that never does.
func (c *course) figures() (f figures, ok bool) {
	v1 := c.speed()
	f.start, f.speed = c.start, v1
	full := c.factor[len(c.factor)-1]
	if v1 <= 0 {
		return f, false
	}
	h := (v1/max(full-c.pull, 0.5) + c.rise/2) / legs
	v, way, t := v1, 0.0, c.start
	a := c.slowing(t)
	speeds := []float64{v1}
	for len(speeds) < 4*legs {
		b := c.slowing(t + h)
		next := v - (a+b)/2*h
		for _, mark := range [...]struct {
			speed float64
			at    *float64
		}{{0.8 * v1, &f.at80}, {0.1 * v1, &f.at10}} {
			if v > mark.speed && next <= mark.speed {
				*mark.at = way + (v*v-mark.speed*mark.speed)/(a+b)
			}
		}
		if next <= 0 {
			f.whole, f.time = way+v*v/(a+b), t+v*2/(a+b)-c.start
			f.mean = MFDD(v1, f.at80, f.at10)
			f.peak = greatest(speeds, h, f.time)
			return f, f.at10 > f.at80
		}
		way += v*h - (2*a+b)*h*h/6
		v, a, t = next, b, t+h
		speeds = append(speeds, v)
	}
	return f, false
}

// greatest returns the largest mean slowing over half a second, or over the whole of a shorter stop.
func greatest(speeds []float64, h, time float64) float64 {
	at := func(t float64) float64 {
		i := min(int(t/h), len(speeds)-1)
		if i == len(speeds)-1 {
			return max(0, speeds[i]*(1-(t-float64(i)*h)/max(time-float64(i)*h, 1e-9)))
		}
		return speeds[i] + (speeds[i+1]-speeds[i])*(t/h-float64(i))
	}
	const half = 2 * peakHalf
	if time <= half {
		return speeds[0] / time
	}
	most := 0.0
	for i, v := range speeds {
		if t := float64(i) * h; t+half <= time {
			most = max(most, (v-at(t+half))/half)
		}
	}
	return max(most, at(time-half)/half)
}

// among returns the mean of a figure and how far 95 of 100 lie from it at most.
func among(list []figures, of func(*figures) float64) Value {
	values := make([]float64, len(list))
	mean := 0.0
	for i := range list {
		values[i] = of(&list[i])
		mean += values[i] / float64(len(list))
	}
	for i := range values {
		values[i] = math.Abs(values[i] - mean)
	}
	slices.Sort(values)
	return Value{mean, values[len(values)*95/100]}
}

// drifting reports whether the noise drifts in three of four stops that the log may be of.
func drifting(list []figures) bool {
	n := 0
	for i := range list {
		if list[i].drifts {
			n++
		}
	}
	return 4*n > 3*len(list)
}
