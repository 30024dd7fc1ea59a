package trace

import "math"

// What a log says about a stop is inferred with a model of the two that made it: the ride and the logger.
//
// The ride: the speed is even before the brake, or falls evenly with a shut throttle or on a slope. From the start of
// braking on the slowing rises, along a straight line or along an S, to a level, and then wanders as the hand does: a
// random walk over knots. The logger: each value is off by noise that is white, and by noise that follows itself (a
// process of the first order, as a drifting receiver or a filter makes it), in a share that is not known.
//
// For one start, rise and kind of noise the model is linear, and the likelihood
// is known in closed form; see [model.weigh].

// A shape is how the slowing rises while the lever is squeezed.
type shape int

const (
	straight shape = iota // x, the part of the rise that is over
	soft                  // 3x² - 2x³: softly at both ends
	shapes
)

// rises says of each shape how likely it is before the log is looked at, where in its rise its middle lies, and how
// wide it is: the mean and the standard deviation of the slope along the rise. The accounts of braking that divide a
// stop into phases let the force rise along a straight line (common practice).
var rises = [shapes]struct{ chance, middle, width float64 }{
	straight: {0.6, 0.5, 0.288675},
	soft:     {0.4, 0.5, 0.223607},
}

// onSpeed returns what a slowing that rises to 1 in some time has taken off the speed d seconds after the start.
func (s shape) onSpeed(d, rise float64) float64 {
	x := min(max(d/rise, 0), 1)
	part := x * x / 2
	if s == soft {
		part = x * x * x * (1 - x/2)
	}
	return float64(part*rise) + max(d-rise, 0)
}

// onWay returns what it has taken off the way.
func (s shape) onWay(d, rise float64) float64 {
	x := min(max(d/rise, 0), 1)
	part := x * x * x / 6
	if s == soft {
		part = x * x * x * x * (0.25 - x/10)
	}
	after := max(d-rise, 0)
	return float64(part*rise*rise) + float64(after*rise/2) + float64(after*after/2)
}

// at returns the slowing, 1 after the rise.
func (s shape) at(d, rise float64) float64 {
	x := min(max(d/rise, 0), 1)
	if s == soft {
		x *= x * (3 - 2*x)
	}
	return x
}

// A guess is one set of what the model is not linear in.
type guess struct {
	middle  float64 // of the rise, s
	width   float64 // logarithm of the rise's standard width in s
	shape   shape
	scatter float64 // logarithm of the standard deviation of what a value adds to those before it
	rough   int     // index of roughnesses
	noise   int     // index of the kinds of noise
}

// rise returns how long the slowing rises, and when that starts.
func (g *guess) rise() (start, rise float64) {
	r := &rises[g.shape]
	rise = math.Exp(g.width) / r.width
	return g.middle - r.middle*rise, rise
}

// What is taken as likely before the log is looked at. A hand takes about 0.3 s to squeeze, half or twice that are not
// rare (from memory; the log outweighs it where it can tell). A speed is off by some 0.1 m/s, a place by some 0.05 m,
// within a factor of five.
const (
	usualRise   = -1.204 // logarithm of 0.3 s
	spreadRise  = 0.7
	usualSpeed  = -2.3 // logarithm of 0.1 m/s
	usualPlace  = -3.0
	spreadNoise = 1.2
	usualFull   = 6.0 // m/s²
	spreadFull  = 4.0
	spreadCoast = 0.7 // m/s²
)

// roughnesses are how much the slowing may wander, in m/s² per root second, and how likely each is. A hand that holds
// still is the likeliest, so that noise alone is not read as wandering.
var roughnesses = [...]struct{ size, chance float64 }{{1e-3, 0.4}, {0.2, 0.15}, {0.5, 0.2}, {1, 0.15}, {2.5, 0.1}}

// kinds of noise: which part of its variance follows itself, for how long, in s, and how likely that is.
var kinds = [...]struct{ share, memory, chance float64 }{
	{0, 1, 0.55},
	{0.5, 0.1, 0.03}, {0.5, 0.3, 0.03}, {0.5, 1, 0.03}, {0.5, 3, 0.03}, {0.5, 10, 0.03},
	{0.9, 0.1, 0.03}, {0.9, 0.3, 0.03}, {0.9, 1, 0.03}, {0.9, 3, 0.03}, {0.9, 10, 0.03},
	{0.99, 0.1, 0.03}, {0.99, 0.3, 0.03}, {0.99, 1, 0.03}, {0.99, 3, 0.03}, {0.99, 10, 0.03},
}

// A model is the part of a log that tells of one stop, with the columns of its linear model.
type model struct {
	t, y     []float64 // y less its level
	level    float64
	distance bool
	zero     float64 // time at which columns begin, s
	earliest float64 // start of braking
	latest   float64
	base     int       // columns before those of the knots
	knots    []float64 // times, s
	spacing  float64   // of the knots, s
	slope    Value     // of the road, to be taken off
	least    float64   // logarithm of the smallest noise that a grid of values allows
	whitened []whitened
}

// whitened is a model seen through one kind of noise: what each value adds to
// those before it, over the standard deviation that it then has.
type whitened struct {
	keep, gain, scale []float64 // of the filter, one a sample
	logScale          float64   // sum of the logarithms of scale
	columns           [][]float64
	y                 []float64
	normal            [][]float64 // products of columns
	right             []float64   // products with y
	squares           float64
}

// column fills in what a basic course is worth at each time.
func (m *model) column(f func(d float64) float64) []float64 {
	c := make([]float64, len(m.t))
	for i, t := range m.t {
		c[i] = f(t - m.zero)
	}
	return c
}

// columns are those that do not depend on a guess: the even speed, the coasting and the knots.
func (m *model) columns() [][]float64 {
	list := [][]float64{m.column(func(float64) float64 { return 1 }), m.column(func(d float64) float64 { return d })}
	if m.distance {
		list = append(list, m.column(func(d float64) float64 { return d * d / 2 }))
	}
	m.base = len(list)
	for _, k := range m.knots {
		c := make([]float64, len(m.t))
		m.braked(c, k, m.spacing, straight)
		list = append(list, c)
	}
	return list
}

// braked fills in the column of a slowing that rises to 1.
func (m *model) braked(c []float64, start, rise float64, s shape) {
	for i, t := range m.t {
		switch d := t - start; {
		case d <= 0:
			c[i] = 0
		case m.distance:
			c[i] = -s.onWay(d, rise)
		default:
			c[i] = -s.onSpeed(d, rise)
		}
	}
}

// prepare sets the filters of all kinds of noise up.
func (m *model) prepare() {
	columns := m.columns()
	for _, k := range kinds {
		w := newFilter(m.t, k.share, k.memory)
		w.y = make([]float64, len(m.y))
		w.apply(w.y, m.y)
		w.squares = product(w.y, w.y)
		for _, c := range columns {
			seen := make([]float64, len(c))
			w.apply(seen, c)
			w.columns = append(w.columns, seen)
		}
		for i, a := range w.columns {
			row := make([]float64, i+1)
			for j := range row {
				row[j] = product(a, w.columns[j])
			}
			w.normal = append(w.normal, row)
			w.right = append(w.right, product(a, w.y))
		}
		m.whitened = append(m.whitened, w)
	}
}

// newFilter returns the Kalman filter of noise at some times: white noise and a process of the first order, which has a
// share of the variance. It is normalised so that what is new in the usual value has a variance of 1.
func newFilter(t []float64, share, memory float64) whitened {
	n := len(t)
	w := whitened{keep: make([]float64, n), gain: make([]float64, n), scale: make([]float64, n)}
	news := make([]float64, n)
	variance := share
	for i := range t {
		if i > 0 {
			w.keep[i] = 1 + math.Expm1((t[i-1]-t[i])/memory)
			variance = share + w.keep[i]*w.keep[i]*(variance-share)
		}
		news[i] = variance + 1 - share
		w.gain[i] = variance / news[i]
		variance *= 1 - w.gain[i]
	}
	common := usual(news)
	for i := range t {
		w.scale[i] = math.Sqrt(common / news[i])
		w.logScale += math.Log(w.scale[i])
	}
	return w
}

// apply runs a column through the filter.
func (w *whitened) apply(out, c []float64) {
	state := 0.0
	for i, x := range c {
		state *= w.keep[i]
		fresh := x - state
		state += float64(w.gain[i] * fresh)
		out[i] = fresh * w.scale[i]
	}
}

func product(a, b []float64) float64 {
	sum := 0.0
	for i, x := range a {
		sum += float64(x * b[i])
	}
	return sum
}

// A weighed guess has its likelihood and what the linear part then is: normal
// in its factors, with the triangle of their precision.
type weighed struct {
	guess
	likelihood float64 // logarithm, with what was likely before
	z          []float64
	triangle   [][]float64
}

// weigh returns how likely a log and a guess are together: the linear part is integrated out (Gelman and others,
// Bayesian Data Analysis, ch. 14). It fails for what cannot be.
func (m *model) weigh(g guess) (weighed, bool) {
	out := weighed{guess: g}
	start, rise := g.rise()
	if start < m.earliest || start > m.latest || rise < 0.005 || rise > 3 || g.scatter < m.least {
		return out, false
	}
	w := &m.whitened[g.noise]
	n := len(w.columns) + 1
	precision := 1 + math.Expm1(-2*g.scatter)
	ramp, seen := make([]float64, len(m.t)), make([]float64, len(m.t))
	m.braked(ramp, start, rise, g.shape)
	w.apply(seen, ramp)
	a, right := triangle(n), make([]float64, n)
	for i := range n - 1 {
		for j, x := range w.normal[i] {
			a[i][j] = x * precision
		}
		right[i] = w.right[i] * precision
		a[n-1][i] = product(w.columns[i], seen) * precision
	}
	a[n-1][n-1] = product(seen, seen)*precision + 1/(spreadFull*spreadFull)
	right[n-1] = product(seen, w.y)*precision + usualFull/(spreadFull*spreadFull)

	coast, wander := m.base-1, 1/(roughnesses[g.rough].size*roughnesses[g.rough].size*m.spacing)
	a[coast][coast] += 1 / (spreadCoast * spreadCoast)
	for i := m.base; i < n-1; i++ {
		a[i][i] += wander
	}
	half, ok := factor(a)
	if !ok {
		return out, false
	}
	out.z, out.triangle = make([]float64, n), a
	forward(out.z, a, right)
	out.likelihood = w.logScale - float64(len(m.t))*g.scatter - half + float64(len(m.knots))*math.Log(wander)/2 -
		(w.squares*precision-product(out.z, out.z))/2 + m.prior(&g)
	return out, out.z[n-1] > 0 // the brake does not speed the bike up
}

// prior is how likely a guess is before the log is looked at.
func (m *model) prior(g *guess) float64 {
	straightRise := math.Log(math.Exp(g.width) / rises[straight].width)
	off := (straightRise - usualRise) / spreadRise
	usual := usualSpeed
	if m.distance {
		usual = usualPlace
	}
	noise := (g.scatter - usual) / spreadNoise
	return math.Log(rises[g.shape].chance*roughnesses[g.rough].chance*kinds[g.noise].chance) - (off*off+noise*noise)/2
}

// triangle is the lower half of a matrix.
func triangle(n int) [][]float64 {
	rows := make([][]float64, n)
	for i := range rows {
		rows[i] = make([]float64, i+1)
	}
	return rows
}

// factor turns a symmetric matrix, whose lower half is given, into a lower triangle that times its transpose is the
// matrix (Cholesky). It returns the sum of the logarithms of the diagonal, and fails where what is left of a row is no
// more than rounding.
func factor(a [][]float64) (logs float64, ok bool) {
	for i, row := range a {
		for j, other := range a[:i] {
			row[j] = (row[j] - product(row[:j], other)) / other[j]
		}
		rest := row[i] - product(row[:i], row)
		if !(rest > 1e-12*row[i]) {
			return 0, false
		}
		row[i] = math.Sqrt(rest)
		logs += math.Log(rest) / 2
	}
	return logs, true
}

// forward solves l·x = b, backward its transpose.
func forward(x []float64, l [][]float64, b []float64) {
	for i, row := range l {
		x[i] = (b[i] - product(row[:i], x)) / row[i]
	}
}

func backward(x []float64, l [][]float64, b []float64) {
	for i := len(l) - 1; i >= 0; i-- {
		sum := b[i]
		for k := i + 1; k < len(l); k++ {
			sum -= float64(l[k][i] * x[k])
		}
		x[i] = sum / l[i][i]
	}
}
