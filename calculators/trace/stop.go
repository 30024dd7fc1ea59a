package trace

import (
	"math"
	"strconv"
)

// A Stop is one stop from a log, worked up. Distances count from the start of
// braking.
type Stop struct {
	Row     int     // where braking starts
	Start   Value   // s, in the time of the log
	Speed   Value   // V1: the speed at the start, m/s
	At80    float64 // distance at which 80 % of that speed is left, m
	At10    float64 // distance at which 10 % is left, m
	Time    Value   // from the start to standstill, s
	Mean    Value   // mean fully developed deceleration, m/s²
	Peak    Value   // largest mean over half a second, m/s²
	Whole   Value   // stopping distance, m
	Nominal float64 // the speed that the test asks for, m/s; 0 if none was said
	// Corrected is the stopping distance from the nominal speed, m. It is the
	// regulation's only if Valid: the start within 5 km/h of nominal.
	Corrected Value
	Valid     bool
	Samples   int     // between 80 % and 10 % of the speed
	Noise     float64 // standard deviation of a logged value, m/s or m
	Step      float64 // usual time between samples, s
	Curve     Curve
	Notes     []Note // what is odd between the start and standstill
}

// A Curve is the filtered log of one stop, to be drawn.
type Curve struct {
	Time    []float64 // s, from the start of braking; from a second before it
	Way     []float64 // m, from the start of braking
	Speed   []float64 // m/s
	Slowing []float64 // deceleration, m/s²
}

// Figures of the method.
const (
	leastSpeed = 15 / 3.6 // m/s; what starts slower is manoeuvring
	still      = 0.05     // of the speed at the start: below that the rest is worked out
	pausing    = 0.3      // of the largest slowing: less is a pause in braking
	pause      = 0.5      // s; what brakes after a longer pause is a stop of its own
	lead       = 2.0      // s before the start that tell the speed ridden
	peakHalf   = 0.25     // s; half the time that a peak is the mean of
	fewest     = 6        // samples of a stop
	leastStep  = 0.0005   // s
)

// Measure finds every stop from 15 km/h and more to standstill in a log and
// works it up. Nominal is the speed that the test asks for, in m/s, or 0. The
// notes are of the whole log. With no stop that can be worked up, the error is
// an [Errors] that says why.
func Measure(log Log, nominal float64) ([]Stop, []Note, error) {
	parts, notes := pieces(log)
	var stops []Stop
	var faults Errors
	for i := range parts {
		found, errs := parts[i].stops(nominal, notes)
		stops = append(stops, found...)
		faults = append(faults, errs...)
	}
	if len(stops) > 0 {
		for _, f := range faults {
			notes = append(notes, Note{Row: f.Row, Kind: Coarse, Says: f.Text + "; this stop is left out"})
		}
		return stops, notes, nil
	}
	if len(faults) == 0 {
		faults = Errors{{Text: "there is no stop in the log: its speed never falls from over 15 km/h to standstill",
			Hint: "check the units, and that the log goes on until the bike stands"}}
	}
	return nil, notes, faults
}

// stops works up the stops of a piece.
func (p *piece) stops(nominal float64, notes []Note) ([]Stop, Errors) {
	var stops []Stop
	var faults Errors
	if len(p.t) < fewest {
		return nil, nil
	}
	if p.step < leastStep {
		return nil, Errors{{Row: p.row[0], Text: "the usual step between rows is less than " + number(leastStep*1000) + " ms", Hint: "check the unit of the time"}}
	}
	half := max(0.15, 2.2*p.step)
	if p.distance {
		half = max(0.25, 3.2*p.step)
	}
	w := work{piece: p, curve: p.smooth(half), half: half}
	for _, s := range w.spans() {
		w.first, w.last = s[0], s[1]
		stop, fault := w.stop(nominal)
		if fault != nil {
			faults = append(faults, fault)
			continue
		}
		for _, n := range notes {
			if n.Row >= stop.Row && n.Row <= p.row[w.end] {
				stop.Notes = append(stop.Notes, n)
			}
		}
		stops = append(stops, *stop)
	}
	return stops, faults
}

// work is what is known while one stop is worked up.
type work struct {
	*piece
	curve
	half        float64
	first, last int // samples between which the stop is
	begin, end  int // first sample under the brake, first at a twentieth of the speed
	start       onset
}

// spans returns where the speed falls from 15 km/h and more to standstill.
func (w *work) spans() [][2]int {
	var list [][2]int
	from, top := 0, 0.0
	for i, v := range w.speed {
		top = max(top, v)
		if top >= leastSpeed && v <= still*top {
			list = append(list, [2]int{from, i})
			from, top = i, 0
		}
	}
	return list
}

// braking walks back from standstill to where the brake went on: up to a pause
// in the slowing. It fails where the log begins under the brake.
func (w *work) braking() bool {
	most, quiet := 0.0, math.NaN()
	w.begin = w.last
	for i := w.last; i >= w.first; i-- {
		most = max(most, w.slowing[i])
		if w.slowing[i] >= pausing*most {
			w.begin, quiet = i, math.NaN()
			continue
		}
		if math.IsNaN(quiet) {
			quiet = w.t[i]
		}
		if quiet-w.t[i] >= pause {
			return true
		}
	}
	return !math.IsNaN(quiet) && w.begin > w.first+2
}

// stop works up the stop between first and last.
func (w *work) stop(nominal float64) (*Stop, *Error) {
	row := w.row[w.first]
	if !w.braking() {
		return nil, &Error{Row: row, Text: "the log begins when the brake is already on", Hint: "start the log at least a second before braking"}
	}
	if w.last-w.begin < fewest {
		return nil, &Error{Row: w.row[w.begin], Text: "this stop has only " + strconv.Itoa(w.last-w.begin) + " samples",
			Hint: "log at 10 Hz or more; the usual step here is " + number(w.step) + " s"}
	}
	var ok bool
	if w.start, ok = w.onset(); !ok {
		return nil, &Error{Row: w.row[w.begin], Text: "the start of braking cannot be told from what is before it", Hint: "ride at an even speed for a second before braking"}
	}
	if w.start.speed < leastSpeed {
		return nil, &Error{Row: w.row[w.begin], Text: "the stop is from less than 15 km/h", Hint: "brake from a higher speed"}
	}
	return w.figures(nominal)
}

// figures works out everything from the start on.
func (w *work) figures(nominal float64) (*Stop, *Error) {
	v1 := w.start.speed
	at80, i80 := w.falls(0.8 * v1)
	at10, i10 := w.falls(0.1 * v1)
	_, w.end = w.falls(still * v1)
	if i10-i80 < 2 || w.end < 0 {
		return nil, &Error{Row: w.row[w.begin], Text: "too few samples lie between 80 % and 10 % of the speed", Hint: "log at 10 Hz or more"}
	}
	s := &Stop{Row: w.row[w.begin], Start: Value{w.start.time, w.start.spread}, Speed: Value{v1, 2 * w.start.doubt},
		At80: w.distanceTo(at80), At10: w.distanceTo(at10),
		Samples: i10 - i80, Noise: w.noise, Step: w.step, Curve: w.drawn()}
	s.Mean.Value = MFDD(v1, s.At80, s.At10)
	s.Mean.Uncertainty = w.meanDoubt(s, i80, i10)
	w.standstill(s)
	s.Peak = w.peak()
	if nominal > 0 {
		s.Correct(nominal)
	}
	if s.Samples < 10 {
		s.Notes = append(s.Notes, Note{Row: s.Row, Kind: Coarse, Says: "only {} samples lie between 80 % and 10 % of the speed", Numbers: []float64{float64(s.Samples)}})
	}
	return s, nil
}

// falls returns when the filtered speed first falls to v after the start, and
// the first sample that is as slow; -1 if it never is.
func (w *work) falls(v float64) (float64, int) {
	for i := max(w.begin, 1); i < len(w.t); i++ {
		if w.speed[i] > v {
			continue
		}
		share := (w.speed[i-1] - v) / (w.speed[i-1] - w.speed[i])
		if !(share >= 0 && share <= 1) {
			share = 1
		}
		return w.t[i-1] + share*(w.t[i]-w.t[i-1]), i
	}
	return w.t[len(w.t)-1], -1
}

// distanceTo returns the way from the start of braking to a time. Logged
// speeds are added up, not filtered ones: filtering would round the corners.
func (w *work) distanceTo(t float64) float64 {
	if w.distance {
		return w.place(t) - w.start.place
	}
	sum, before, v := 0.0, w.start.time, w.start.speed
	for i := w.after(before); i < len(w.t); i++ {
		if w.t[i] >= t {
			at := v + (w.y[i]-v)*(t-before)/(w.t[i]-before)
			return sum + (v+at)/2*(t-before)
		}
		sum += (v + w.y[i]) / 2 * (w.t[i] - before)
		before, v = w.t[i], w.y[i]
	}
	return sum
}

// after returns the first sample later than a time.
func (w *work) after(t float64) int {
	i := 0
	for i < len(w.t) && w.t[i] <= t {
		i++
	}
	return i
}

// place returns the distance at a time, from the samples around it.
func (w *work) place(t float64) float64 {
	i := min(w.after(t), len(w.t)-1)
	from, to := i, i
	for from > 0 && t-w.t[from-1] <= w.half {
		from--
	}
	for to < len(w.t) && w.t[to]-t <= w.half {
		to++
	}
	f, ok := fit(w.y[from:to], 3, func(j int, x *[terms]float64) {
		d := w.t[from+j] - t
		x[1], x[2] = d, d*d
	})
	if !ok {
		return w.y[i]
	}
	return f.factor[0]
}

// standstill adds the rest of the way, which is worked out with the mean
// deceleration, and the time and doubt of the whole.
func (w *work) standstill(s *Stop) {
	t, i := w.falls(still * s.Speed.Value)
	v := still * s.Speed.Value
	rest := v * v / (2 * s.Mean.Value)
	s.Whole.Value = w.distanceTo(t) + rest
	s.Time.Value = t - w.start.time + v/s.Mean.Value
	crossing := w.crossingDoubt(i, s.Mean.Value)
	s.Time.Uncertainty = 2*math.Hypot(w.start.spread/2, crossing) + v/s.Mean.Value/4
	added := w.addingDoubt(w.begin, i)
	s.Whole.Uncertainty = 2*math.Sqrt(square(s.Speed.Value*w.start.spread/2)+square(v*crossing)+square(added)) + rest/2
}

func square(x float64) float64 { return x * x }

// crossingDoubt is the standard uncertainty of the time at which the speed
// passes a value near sample i, in s: what noise the filter leaves, and what
// it takes off a corner, at most a twentieth of what the slowing changes by
// within its window.
func (w *work) crossingDoubt(i int, mean float64) float64 {
	least, most := w.slowing[i], w.slowing[i]
	for j := range w.t {
		if math.Abs(w.t[j]-w.t[i]) <= w.half {
			least, most = min(least, w.slowing[j]), max(most, w.slowing[j])
		}
	}
	corner := (most - least) * w.half / 20
	return math.Hypot(w.noise*math.Sqrt(w.share[i]), corner) / max(w.slowing[i], mean/3)
}

// addingDoubt is the standard uncertainty in m of the way between two samples:
// the noise of every speed, and what the slowing may do between samples where
// it changes most, which is within one step.
func (w *work) addingDoubt(from, to int) float64 {
	if w.distance {
		return w.noise
	}
	sum, longest := 0.0, 0.0
	for i := max(from, 1); i <= to; i++ {
		dt := w.t[i] - w.t[i-1]
		sum += dt * dt
		longest = max(longest, dt)
	}
	bend := w.slowing[from]
	for i := from; i <= to; i++ {
		bend = max(bend, w.slowing[i])
	}
	return math.Hypot(w.noise*math.Sqrt(sum), bend*longest*longest/12)
}

// meanDoubt is the expanded uncertainty of the mean deceleration.
func (w *work) meanDoubt(s *Stop, i80, i10 int) float64 {
	v, mean := s.Speed.Value, s.Mean.Value
	way := s.At10 - s.At80
	early, late := w.crossingDoubt(i80, mean), w.crossingDoubt(i10, mean)
	ends := square(0.8*v*early) + square(0.1*v*late) + square(w.addingDoubt(i80, i10))
	// A wrong speed at the start moves both marks: less matters the more even the slowing is.
	local := max(w.slowing[i80], mean/3)
	moved := 0.8 * w.start.doubt * 0.8 * v * math.Abs(2/(0.63*v*v)-1/(local*way))
	// Few samples decide: Student's factor for some six of them, not the normal one.
	const coverage = 2.5
	return coverage * mean * math.Sqrt(ends/(way*way)+square(moved))
}

// peak returns the largest mean deceleration over half a second. It is the
// largest of many, so that noise lifts it: four standard uncertainties.
func (w *work) peak() Value {
	var best Value
	for i := w.begin; i <= w.end; i++ {
		from, to := i, i
		for from > 0 && w.t[i]-w.t[from-1] <= peakHalf+1e-9 {
			from--
		}
		for to < len(w.t) && w.t[to]-w.t[i] <= peakHalf+1e-9 {
			to++
		}
		slowing, doubt, ok := w.slope(i, from, to)
		if ok && slowing > best.Value {
			best = Value{slowing, 4 * doubt}
		}
	}
	if best.Value == 0 { // the log is too coarse for half a second
		for i := w.begin; i <= w.end; i++ {
			if w.slowing[i] > best.Value {
				best = Value{w.slowing[i], 4 * w.noise * math.Sqrt(w.curve.slope[i])}
			}
		}
	}
	return best
}

// slope returns the mean slowing over samples about sample i, and its standard uncertainty.
func (w *work) slope(i, from, to int) (slowing, doubt float64, ok bool) {
	degree := 1
	if w.distance {
		degree = 2
	}
	if to-from < degree+2 {
		return 0, 0, false
	}
	f, ok := fit(w.y[from:to], degree+1, func(j int, x *[terms]float64) {
		t := w.t[from+j] - w.t[i]
		x[1], x[2] = t, t*t
	})
	factor := float64(degree)
	return -factor * f.factor[degree], factor * w.noise * math.Sqrt(f.inverse[degree][degree]), ok
}

// Correct works the stopping distance out for a nominal speed in m/s.
func (s *Stop) Correct(nominal float64) {
	s.Nominal = nominal
	v, n := s.Speed.Value, s.Nominal
	s.Corrected.Value = Corrected(n, v, s.Whole.Value)
	// The formula's slopes: by the distance, and by the speed.
	byWay := n * n / (v * v)
	bySpeed := byWay * (0.36 - 2*s.Whole.Value/v)
	s.Corrected.Uncertainty = math.Hypot(byWay*s.Whole.Uncertainty, bySpeed*s.Speed.Uncertainty)
	s.Valid = math.Abs(v-n) <= Tolerance+1e-9
}

// drawn returns the filtered log from a second before the start on.
func (w *work) drawn() Curve {
	from, to := w.after(w.start.time-1-1e-9), min(w.end+2, len(w.t))
	c := Curve{Way: w.ways(from, to), Speed: w.speed[from:to], Slowing: w.slowing[from:to]}
	for _, t := range w.t[from:to] {
		c.Time = append(c.Time, t-w.start.time)
	}
	return c
}

// ways returns the ways from the start of braking to some samples, below 0 before it.
func (w *work) ways(from, to int) []float64 {
	ways := make([]float64, to-from)
	if w.distance {
		for i := range ways {
			ways[i] = w.y[from+i] - w.start.place
		}
		return ways
	}
	for i := 1; i < len(ways); i++ {
		k := from + i
		ways[i] = ways[i-1] + (w.y[k-1]+w.y[k])/2*(w.t[k]-w.t[k-1])
	}
	k := w.after(w.start.time)
	origin := ways[k-from] - (w.start.speed+w.y[k])/2*(w.t[k]-w.start.time)
	for i := range ways {
		ways[i] -= origin
	}
	return ways
}
