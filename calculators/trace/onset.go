package trace

import "math"

// The start of braking. The speed is even before it, or falls evenly as with a
// shut throttle; then the slowing grows while the lever is squeezed, and from
// there on it changes little. Such a course is fitted to the log with every
// start and every duration of the squeeze; the best is taken, and what fits
// nearly as well is its uncertainty.

// An onset is the start of braking.
type onset struct {
	time   float64 // s
	spread float64 // expanded uncertainty of the time, s
	speed  float64 // m/s
	doubt  float64 // standard uncertainty of the speed, m/s
	place  float64 // m, of a log of distances
}

// samples are fitted at most; of more, neighbours are averaged.
const samples = 150

// onset finds the start of braking about the first sample under the brake: with
// a coarse net of starts and squeezes, then a fine one where the coarse fits.
func (w *work) onset() (onset, bool) {
	part, noise := w.window()
	if len(part.t) < fewest {
		return onset{}, false
	}
	begin := w.t[w.begin]
	starts := span{max(begin-max(0.8, 4*w.step), part.t[0]+2*part.step),
		min(begin+max(0.4, 2*w.step), part.t[len(part.t)-1]-2*part.step), 16}
	squeezes := span{leastSqueeze, 1.5, 10}
	if starts.to <= starts.from {
		return onset{}, false
	}
	tries := part.search(starts, squeezes)
	if len(tries) == 0 {
		return onset{}, false
	}
	for s := range shapes {
		tries = append(tries, part.descend(tries, s, starts.step(), squeezes.step())...)
	}
	good, _ := likely(tries, noise)
	starts, squeezes = around(good, starts, squeezes)
	tries = append(tries, part.search(starts, squeezes)...)
	return part.chosen(tries, noise, starts.step()), true
}

// A span is evenly spaced values from one to another.
type span struct {
	from, to float64
	n        int
}

func (s span) step() float64       { return (s.to - s.from) / float64(s.n) }
func (s span) at(k int) float64    { return s.from + s.step()*float64(k) }
func (s span) hold(x float64) span { return span{min(s.from, x), max(s.to, x), s.n} }

// A try is the fit of a course with a start and a squeeze.
type try struct {
	fitted
	start, squeeze float64
	shape          shape
}

const leastSqueeze = 0.02 // s

func (p *piece) search(starts, squeezes span) []try {
	var tries []try
	for a := range starts.n + 1 {
		for b := range squeezes.n + 1 {
			for shape := range shapes {
				if t, ok := p.try(starts.at(a), squeezes.at(b), shape); ok {
					tries = append(tries, t)
				}
			}
		}
	}
	return tries
}

func (p *piece) try(start, squeeze float64, s shape) (t try, ok bool) {
	t = try{start: start, squeeze: max(squeeze, leastSqueeze), shape: s}
	t.fitted, ok = p.course(t.start, t.squeeze, s)
	return t, ok
}

// descend goes on from the best try of a shape, a start or a squeeze or both
// at a time, to one that no neighbour betters, with ever smaller steps: start
// and squeeze make up for each other, so that good fits lie in a narrow valley.
func (p *piece) descend(tries []try, s shape, byStart, bySqueeze float64) []try {
	var best *try
	for i := range tries {
		if t := &tries[i]; t.shape == s && (best == nil || t.squares < best.squares) {
			best = t
		}
	}
	if best == nil {
		return nil
	}
	found := *best
	for size, moves := 0.5, 0; size > 0.01 && moves < 100; moves++ {
		better := found
		for _, d := range [...][2]float64{{1, 0}, {-1, 0}, {0, 1}, {0, -1}, {1, -1}, {-1, 1}} {
			t, ok := p.try(found.start+d[0]*size*byStart, found.squeeze+d[1]*size*bySqueeze, s)
			if ok && t.squares < better.squares {
				better = t
			}
		}
		if better.squares == found.squares {
			size /= 2
		}
		found = better
	}
	return []try{found}
}

// likely returns the tries that fit as well as the best one within what noise
// explains (the likelihood ratio, at 95 %), and the variance of the noise. A
// course that fits worse than the noise is no better known for it.
func likely(tries []try, noise float64) (good []try, variance float64) {
	best := tries[0]
	for _, t := range tries {
		if t.squares < best.squares {
			best = t
		}
	}
	good = append(good, best)
	const chance = 3.84 // of chi squared with one degree of freedom
	variance = max(noise*noise, best.squares/float64(max(best.n-6, 1)))
	for _, t := range tries {
		if t.squares <= best.squares+chance*variance {
			good = append(good, t)
		}
	}
	return good, variance
}

// around returns finer spans that hold the good tries and their neighbours.
func around(good []try, starts, squeezes span) (span, span) {
	const n = 10
	a, b := span{good[0].start, good[0].start, n}, span{good[0].squeeze, good[0].squeeze, n}
	for _, t := range good {
		a, b = a.hold(t.start), b.hold(t.squeeze)
	}
	a.from, a.to = a.from-starts.step(), a.to+starts.step()
	b.from, b.to = max(b.from-squeezes.step(), squeezes.from), b.to+squeezes.step()
	return a, b
}

// window returns the samples that tell the start, from some time before it to
// where the speed is half gone, and their noise.
func (w *work) window() (piece, float64) {
	from, to := w.begin, w.begin
	for from > w.first && w.t[w.begin]-w.t[from-1] <= lead {
		from--
	}
	for to < w.last && w.speed[to] > 0.5*w.speed[w.begin] {
		to++
	}
	to = min(max(to+1, w.begin+5), w.last)
	each := (to-from)/samples + 1
	part := piece{distance: w.distance, step: w.step * float64(each), grid: w.grid}
	for i := from; i+each <= to; i += each {
		t, y := 0.0, 0.0
		for j := i; j < i+each; j++ {
			t += w.t[j]
			y += w.y[j]
		}
		part.t, part.y = append(part.t, t/float64(each)), append(part.y, y/float64(each))
	}
	return part, w.noise / math.Sqrt(float64(each))
}

// A shape is how the slowing grows while the lever is squeezed.
type shape int

const (
	straight shape = iota // x, the part of the squeeze that is over
	soft                  // 3x² - 2x³: softly at both ends
	late                  // x²: softly at the start
	shapes
)

// course fits a piece with a start and a squeeze. It fails where the brake
// would speed the bike up.
func (p *piece) course(at, squeeze float64, s shape) (fitted, bool) {
	base := 2
	if p.distance {
		base = 3
	}
	f, ok := fit(p.y, base+2, func(i int, x *[terms]float64) {
		d := p.t[i] - at
		x[1] = d
		if p.distance {
			x[2] = d * d
			x[3], x[4] = onWay(d, squeeze, s)
		} else {
			x[2], x[3] = onSpeed(d, squeeze, s)
		}
	})
	return f, ok && f.factor[base] < 0
}

// onSpeed returns what a slowing that grows to 1 in the time of the squeeze,
// and one that grows by 1 a second from there on, have taken off the speed d
// seconds after the start.
func onSpeed(d, squeeze float64, s shape) (full, growing float64) {
	x := min(max(d/squeeze, 0), 1)
	after := max(d-squeeze, 0)
	switch s {
	case straight:
		full = x * x / 2
	case soft:
		full = x * x * x * (1 - x/2)
	case late:
		full = x * x * x / 3
	}
	return full*squeeze + after, after * after / 2
}

// onWay returns what they have taken off the way.
func onWay(d, squeeze float64, s shape) (full, growing float64) {
	x := min(max(d/squeeze, 0), 1)
	after := max(d-squeeze, 0)
	part := 0.5 // of the speed at the end of the squeeze
	switch s {
	case straight:
		full = x * x * x / 6
	case soft:
		full = x * x * x * x * (0.25 - x/10)
	case late:
		full, part = x*x*x*x/12, 1.0/3
	}
	return full*squeeze*squeeze + after*squeeze*part + after*after/2, after * after * after / 6
}

// chosen makes the onset of the best try. All that fit nearly as well make its
// uncertainty.
func (p *piece) chosen(tries []try, noise, step float64) onset {
	good, variance := likely(tries, noise)
	best := good[0]
	k := 0
	if p.distance {
		k = 1
	}
	o := onset{time: best.start, place: best.factor[0], speed: best.factor[k]}
	far, off := 0.0, 0.0
	for _, t := range good {
		far = max(far, math.Abs(t.start-best.start))
		off = max(off, math.Abs(t.factor[k]-best.factor[k]))
	}
	// No real squeeze has just one of the shapes: a quarter of it may be missed.
	o.spread = math.Hypot(far+step, best.squeeze/4) + p.step/4
	// The course of a real stop is not quite the fitted one: half the range is
	// taken for one standard uncertainty, where two would be due.
	drift := best.factor[k+1] * float64(k+1) * o.spread / 2
	o.doubt = math.Hypot(math.Sqrt(variance*best.inverse[k][k]), math.Hypot(off, drift))
	if !p.distance { // an even speed is rounded the same way every time
		o.doubt = math.Hypot(o.doubt, p.grid/math.Sqrt(12))
	}
	return o
}
