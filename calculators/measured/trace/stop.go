package trace

import (
	"math"
	"slices"
	"strconv"
)

// A Stop is one stop from a log, worked up. Distances count from the start of braking.
type Stop struct {
	Row     int     `json:"row"`               // where braking starts
	Start   Value   `json:"start"`             // s, in the time of the log
	Speed   Value   `json:"speed"`             // V1: the speed at the start, m/s
	At80    float64 `json:"-"`                 // distance at which 80 % of that speed is left, m
	At10    float64 `json:"-"`                 // distance at which 10 % is left, m
	Mean    Value   `json:"mean_deceleration"` // mean fully developed deceleration, m/s²
	Peak    Value   `json:"peak_deceleration"` // largest mean over half a second, m/s²
	Time    Value   `json:"braking_time"`      // from the start to standstill, s
	Whole   Value   `json:"stopping_distance"` // m
	Nominal float64 `json:"nominal,omitempty"` // the speed that the test asks for, m/s; 0 if none was said
	// Corrected is the stopping distance from the nominal speed, m. It is the
	// regulation's only if Valid: the start within 5 km/h of nominal.
	Corrected Value   `json:"corrected_distance,omitzero"`
	Valid     bool    `json:"valid"`
	Samples   int     `json:"samples"` // between 80 % and 10 % of the speed
	Noise     float64 `json:"noise"`   // standard deviation of a logged value, m/s or m
	Step      float64 `json:"step"`    // usual time between samples, s
	Curve     Curve   `json:"-"`
	Notes     []Note  `json:"-"` // what is odd between the start and standstill
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
	lead       = 3.0      // s before the start that tell the speed ridden
	samples    = 150      // of a stop at most; of more, neighbours are averaged
	peakHalf   = 0.25     // s; half the time that a peak is the mean of
	fewest     = 2        // samples under the brake; before it there is one more
	leastStep  = 0.0005   // s
)

// A Test says what a log does not.
type Test struct {
	Nominal float64 // the speed that the test asks for, m/s; 0 if it asks for no speed
	// Slope is how much the road rises over its length, below 0 where it falls. The figures are then those of the same
	// braking on a level road.
	Slope Value
	// ByHeights takes the slope from the heights of a track.
	ByHeights bool
}

// Measure finds every stop from 15 km/h and more to standstill in a log and works it up. The notes are of the whole
// log. With no stop that can be worked up, the error is an [Errors] that says why.
func Measure(log Log, test Test) ([]Stop, []Note, error) {
	parts, notes := pieces(log)
	var stops []Stop
	var faults Errors
	for i := range parts {
		found, errs := parts[i].stops(&log, test, notes)
		stops = append(stops, found...)
		faults = append(faults, errs...)
	}
	for _, f := range faults {
		f.Track = log.Track
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
func (p *piece) stops(log *Log, test Test, notes []Note) ([]Stop, Errors) {
	var stops []Stop
	var faults Errors
	if len(p.t) < 2*fewest+1 {
		return nil, nil
	}
	if p.step < leastStep {
		return nil, Errors{{Row: p.row[0], Hint: "check the unit of the time",
			Text: "the usual step between rows is less than " + number(leastStep*1000) + " ms"}}
	}
	half := max(0.15, 2.2*p.step)
	if p.distance {
		half = max(0.25, 3.2*p.step)
	}
	w := work{piece: p, curve: p.smooth(half), half: half, log: log, test: test}
	for _, s := range w.spans() {
		w.first, w.last = s[0], s[1]
		stop, fault := w.stop()
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
	log         *Log
	test        Test
	half        float64
	first, last int // samples between which the stop is
	begin, end  int // first sample under the brake, first at a twentieth of the speed
	start       struct{ time, speed float64 }
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
func (w *work) stop() (*Stop, *Error) {
	if !w.braking() {
		return nil, &Error{Row: w.row[w.first], Text: "the log begins when the brake is already on",
			Hint: "start the log at least a second before braking"}
	}
	if n := w.last - w.begin; n < fewest || w.begin-w.first < fewest {
		return nil, &Error{Row: w.row[w.begin], Text: "this stop has only " + strconv.Itoa(n) + " samples",
			Hint: "log at 10 Hz or more; the usual step here is " + number(w.step) + " s"}
	}
	return w.figures()
}

// model sets the model of the stop up, from some time before it to where the speed is nearly gone.
func (w *work) model() *model {
	from := w.begin
	for from > w.first && w.t[w.begin]-w.t[from-1] <= lead {
		from--
	}
	each := (w.last-from)/samples + 1
	m := &model{distance: w.distance, zero: w.t[w.begin]}
	for i := from; i+each <= w.last; i += each {
		m.t, m.y = append(m.t, mean(w.t[i:i+each])), append(m.y, mean(w.y[i:i+each]))
	}
	m.level = m.y[0]
	for i := range m.y {
		m.y[i] -= m.level
	}
	// A rounded value is off by as much as one of an even spread; and no logger is true to a millimetre.
	m.least = math.Log(max(w.grid/math.Sqrt(12*float64(each)), 1e-3))
	end, step := w.t[w.last], w.step*float64(each)
	m.earliest = max(m.zero-max(0.8, 4*w.step), m.t[0]+2*step)
	m.latest = min(m.zero+max(0.4, 2*w.step), end-2*step)
	first := m.zero + 0.2
	m.spacing = max(0.2, (end-first)/20)
	for k := first; k < end-0.1; k += m.spacing {
		m.knots = append(m.knots, k)
	}
	m.prepare()
	return m
}

// slope returns how much the road rises over its length by the heights of a track, a hundred metres to either side of
// the start of braking. Heights err together, so that the uncertainty is twice what a straight line through them has.
func (w *work) slope() (Value, bool) {
	var x, y []float64
	if !w.log.Track {
		return Value{}, false
	}
	at := w.log.Way[slices.Index(w.log.Row, w.row[w.begin])]
	for i, way := range w.log.Way {
		if math.Abs(way-at) <= 100 && !math.IsNaN(w.log.Height[i]) {
			x, y = append(x, way-at), append(y, w.log.Height[i])
		}
	}
	f, ok := fit(y, 2, func(i int, terms *[terms]float64) { terms[1] = x[i] })
	if !ok || len(x) < 10 {
		return Value{}, false
	}
	squares := 0.0
	for i := range x {
		off := y[i] - f.factor[0] - f.factor[1]*x[i]
		squares += off * off
	}
	doubt := math.Sqrt(squares / float64(len(x)-2) * f.variance(1))
	return Value{f.factor[1], 4 * doubt}, true
}

func mean(list []float64) float64 {
	sum := 0.0
	for _, x := range list {
		sum += x
	}
	return sum / float64(len(list))
}

// figures works out everything from the start on.
func (w *work) figures() (*Stop, *Error) {
	slope, known := w.slope()
	m := w.model()
	if w.test.ByHeights {
		m.slope = slope
	} else {
		m.slope = w.test.Slope
	}
	list := m.draws(w.noise)
	if len(list) < drawn/each/2 {
		return nil, &Error{Row: w.row[w.begin], Text: "the start of braking cannot be told from what is before it",
			Hint: "ride at an even speed for a second before braking"}
	}
	s := &Stop{Row: w.row[w.begin], Noise: w.noise, Step: w.step,
		Start: among(list, func(f *figures) float64 { return f.start }),
		Speed: among(list, func(f *figures) float64 { return f.speed }),
		Time:  among(list, func(f *figures) float64 { return f.time }),
		Mean:  among(list, func(f *figures) float64 { return f.mean }),
		Peak:  among(list, func(f *figures) float64 { return f.peak }),
		Whole: among(list, func(f *figures) float64 { return f.whole }),
		At80:  among(list, func(f *figures) float64 { return f.at80 }).Value,
		At10:  among(list, func(f *figures) float64 { return f.at10 }).Value,
	}
	if s.Speed.Value < leastSpeed {
		return nil, &Error{Row: w.row[w.begin], Text: "the stop is from less than 15 km/h", Hint: "brake from a higher speed"}
	}
	w.start.time, w.start.speed = s.Start.Value, s.Speed.Value
	s.Samples = w.falls(0.1*s.Speed.Value) - w.falls(0.8*s.Speed.Value)
	w.end = w.falls(still * s.Speed.Value)
	s.Curve = w.drawn()
	s.Correct(w.test.Nominal)
	if known && (w.test.ByHeights || math.Abs(slope.Value) > max(slope.Uncertainty, 0.01)) {
		s.Notes = append(s.Notes, Note{Row: s.Row, Kind: Drift, Numbers: []float64{100 * slope.Value, 100 * slope.Uncertainty},
			Says: "by the heights of the track the road rises by {} %, give or take {} %"})
	}
	if drifting(list) {
		s.Notes = append(s.Notes, Note{Row: s.Row, Kind: Drift,
			Says: "the logger drifts, for as long as a stop lasts; what of that is slowing cannot quite be told, and one in eight of such logs is further off than its ±"})
	}
	if s.Samples < 10 {
		s.Notes = append(s.Notes, Note{Row: s.Row, Kind: Coarse,
			Says: "only {} samples lie between 80 % and 10 % of the speed", Numbers: []float64{float64(s.Samples)}})
	}
	return s, nil
}

// falls returns the first sample under the brake whose filtered speed is at most v; the last if none is.
func (w *work) falls(v float64) int {
	for i := w.begin; i < len(w.t); i++ {
		if w.speed[i] <= v {
			return i
		}
	}
	return len(w.t) - 1
}

// after returns the first sample later than a time.
func (w *work) after(t float64) int {
	i := 0
	for i < len(w.t) && w.t[i] <= t {
		i++
	}
	return i
}

// Correct works the stopping distance out for a nominal speed in m/s; for 0 not.
func (s *Stop) Correct(nominal float64) {
	if nominal <= 0 {
		return
	}
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
	k := w.after(w.start.time)
	if w.distance {
		share := (w.start.time - w.t[k-1]) / (w.t[k] - w.t[k-1])
		place := w.y[k-1] + share*(w.y[k]-w.y[k-1])
		for i := range ways {
			ways[i] = w.y[from+i] - place
		}
		return ways
	}
	for i := 1; i < len(ways); i++ {
		j := from + i
		ways[i] = ways[i-1] + (w.y[j-1]+w.y[j])/2*(w.t[j]-w.t[j-1])
	}
	origin := ways[k-from] - (w.start.speed+w.y[k])/2*(w.t[k]-w.start.time)
	for i := range ways {
		ways[i] -= origin
	}
	return ways
}
