package trace

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"sync"
	"testing"
)

var (
	logs = flag.Int("logs", 0, "in TestTrueFigures, synthetic logs of each rate and condition; a table is then printed, and each row is judged")
	seed = flag.Uint64("seed", 1, "of the synthetic logs")
	even = flag.Bool("even", false, "each synthetic log is of the same stop: from 60 km/h, 0.3 s along a straight line to 7 m/s², and steady")
)

// A condition is how a logger errs, and what it misses.
type condition struct {
	name     string
	errs     func(rnd *rand.Rand, step float64) func() float64
	slope    bool
	dropouts bool
	distance bool
}

var conditions = []condition{
	{name: "white", errs: white(0.1)},
	{name: "correlated", errs: following(0.1, 0.2, 0)},
	{name: "drift", errs: following(0.1, 2, 0.05)},
	{name: "slope", errs: white(0.1), slope: true},
	{name: "dropouts", errs: white(0.1), dropouts: true},
	{name: "distance", errs: white(0.02), distance: true},
}

func white(size float64) func(*rand.Rand, float64) func() float64 { return following(0, 1, size) }

// following is a process of the first order, of a standard deviation and a memory in s, with white noise beside it.
func following(size, memory, white float64) func(*rand.Rand, float64) func() float64 {
	return func(rnd *rand.Rand, step float64) func() float64 {
		x, keep := size*rnd.NormFloat64(), math.Exp(-step/memory)
		return func() float64 {
			x = keep*x + size*math.Sqrt(1-keep*keep)*rnd.NormFloat64()
			return x + white*rnd.NormFloat64()
		}
	}
}

// log is what a logger of the condition writes of a ride. With dropouts it misses one value in twenty, and 0.3 s
// somewhere about the stop.
func (c *condition) log(r ride, rate float64, rnd *rand.Rand) Log {
	t, values, ways := r.samples(1 / rate)
	l := Log{Grid: 0.01 / 3.6}
	if c.distance {
		values, l.Grid = ways, 0.001
	}
	next, gone := c.errs(rnd, 1/rate), math.Inf(1)
	if c.dropouts {
		gone = r.start - 0.5 + 2*rnd.Float64()
	}
	for i := range t {
		x := math.Round((values[i]+next())/l.Grid) * l.Grid
		if c.dropouts && (rnd.IntN(20) == 0 || t[i] > gone && t[i] < gone+0.3) {
			continue
		}
		l.Time, l.Speed, l.Row = append(l.Time, t[i]), append(l.Speed, x), append(l.Row, i+2)
	}
	if c.distance {
		l.Speed, l.Distance = nil, l.Speed
	}
	return l
}

// A tally is how one figure came out in many logs.
type tally struct{ logs, within, near, off, squares, width float64 }

func (y *tally) add(got Value, want float64) {
	y.logs++
	off := got.Value - want
	if math.Abs(off) <= got.Uncertainty {
		y.within++
	}
	if math.Abs(off) <= got.Uncertainty/2 {
		y.near++
	}
	y.off, y.squares, y.width = y.off+off, y.squares+off*off, y.width+got.Uncertainty
}

func (y *tally) join(x tally) {
	*y = tally{y.logs + x.logs, y.within + x.within, y.near + x.near, y.off + x.off, y.squares + x.squares, y.width + x.width}
}

func (y *tally) coverage() float64 { return 100 * y.within / y.logs }

func (y *tally) bias() (bias, scatter float64) {
	bias = y.off / y.logs
	return bias, math.Sqrt(y.squares/y.logs - bias*bias)
}

var tallied = [...]string{"mean", "greatest", "distance"}

type row [len(tallied)]tally

// measured tallies logs of one rate and condition.
func (c *condition) measured(t *testing.T, rate float64, n int) row {
	rnd := rand.New(rand.NewPCG(*seed, uint64(rate)))
	var out row
	for range n {
		r := someRide(rnd)
		if *even {
			r = ride{speed: 60 / 3.6, rise: 0.3, slowing: 7, start: 3}
		}
		if c.slope { // up to one in twenty
			pull := 0.05 * 9.80665 * (2*rnd.Float64() - 1)
			r.coast, r.slowing = r.coast+pull, r.slowing+pull
		}
		stops, _, err := Measure(c.log(r, rate, rnd), Test{Nominal: r.speed})
		if err != nil || len(stops) != 1 {
			t.Errorf("%v Hz, %s, %+v: %d stops, %v", rate, c.name, r, len(stops), err)
			continue
		}
		want := r.truth()
		out[0].add(stops[0].Mean, want.mean)
		out[1].add(stops[0].Peak, want.peak)
		out[2].add(stops[0].Whole, want.whole)
	}
	return out
}

// The true figures lie within what is stated in 95 of 100 logs, and as often above as below: invented rides, see
// [someRide], as loggers of three rates write them that err in six ways. The usual run asks that of all rows together,
// as well as some 200 logs can tell it; with -logs each row is held against 93 to 97 of 100, and a bias of at most a
// fifth of the scatter, beyond what so many logs leave open (three standard errors).
func TestTrueFigures(t *testing.T) {
	rates, n := []float64{10, 25, 100}, *logs
	if n == 0 {
		n = 11
	}
	rows := make([]row, len(rates)*len(conditions))
	var wait sync.WaitGroup
	for k := range rows {
		wait.Go(func() { rows[k] = conditions[k%len(conditions)].measured(t, rates[k/len(conditions)], n) })
	}
	wait.Wait()
	var all row
	for k := range rows {
		for i := range tallied {
			all[i].join(rows[k][i])
		}
	}
	for i, name := range tallied {
		// Of what is normal and within the uncertainty in 95 of 100 logs, 67 lie within half of it. If it were twice
		// too wide, those were 95.
		c, near := all[i].coverage(), 100*all[i].near/all[i].logs
		if c < 95-300*math.Sqrt(0.95*0.05/all[i].logs) || near > 67+400*math.Sqrt(0.67*0.33/all[i].logs) {
			t.Errorf("%s: %.1f of 100 lie within the uncertainty, %.1f within half of it; want 95 and 67", name, c, near)
		}
	}
	if *logs == 0 {
		return
	}
	for k := range rows {
		name := fmt.Sprintf("%g Hz, %s", rates[k/len(conditions)], conditions[k%len(conditions)].name)
		for i := range tallied {
			rows[k][i].judge(t, name, tallied[i])
		}
	}
}

// known are the rows that do not reach 93 of 100, and how far they come: a drift that lasts as long as the stop looks
// like slowing, and from one log nobody can tell how large it is.
var known = map[string]float64{"10 Hz, drift mean": 85, "10 Hz, drift greatest": 90, "25 Hz, drift mean": 86, "25 Hz, drift greatest": 86, "100 Hz, drift mean": 91, "100 Hz, drift greatest": 90}

func (y *tally) judge(t *testing.T, row, name string) {
	bias, scatter := y.bias()
	t.Logf("%-18s %-9s %5.1f of 100 within ± %.3f, bias %+.3f, scatter %.3f (%+.2f)", row, name, y.coverage(), y.width/y.logs, bias, scatter, bias/scatter)
	least, spare := 93.0, 300*math.Sqrt(0.93*0.07/y.logs)
	if k, ok := known[row+" "+name]; ok {
		least = k
	}
	if c := y.coverage(); c < least-spare || c > 97+300*math.Sqrt(0.97*0.03/y.logs) {
		t.Errorf("%s, %s: %.1f of 100 lie within the uncertainty", row, name, c)
	}
	if math.Abs(bias) > scatter*(0.2+3/math.Sqrt(y.logs)) {
		t.Errorf("%s, %s: the bias is %+.2f of the scatter", row, name, bias/scatter)
	}
}
