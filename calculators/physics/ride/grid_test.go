package ride

import (
	"flag"
	"math"
	"slices"
	"testing"

	"example.org/gripleaf/calculators/physics/bike"
	"example.org/gripleaf/calculators/physics/tyre"
)

// What must hold of controlled stops, held over a grid of bikes, surfaces, cycle rates, speeds and demands. The usual
// run takes a coarse part of it; `go test -run Grid -timeout 6h ./calculators/physics/ride -whole` takes all of it, by
// steps of 1 km/h, for other seeds of the ripple too and with every input moved by a thousandth. -v prints the figures.
var whole = flag.Bool("whole", false, "take the whole grid of controlled stops")

var gridRates = []float64{5, 10, 20, 50, 100}

// cell is a row of the grid: one bike, surface, demand and rate, over speeds.
type cell struct {
	setup     Setup
	speeds    []float64
	middles   []float64 // stopping distances, m
	slips     []float64 // of the front while it brakes fully
	used      []float64 // deceleration over the limit's, from full braking on
	locked    int       // rides with a front wheel locked for more than 0.03 s
	rides     int
	roughness float64 // root mean square of the residual to the smooth fit
	step      float64 // its largest step
	fall      float64 // by how much the distance falls as the speed rises
}

// Bounds of the grid. A share mostOutside of the rows and of the pairs of rates, or two, may lie outside, by no more than
// twice, or for steps two and a half times, the bound: most of them are rides with few releases, at 5 and 10 Hz on dry
// ground, where one release more or less is a per cent.
const (
	mostOutside   = 0.10
	mostRoughness = 0.003
	mostStep      = 0.010
	mostFall      = 0.003
	mostLonger    = 0.005 // of a rate over a slower one
	mostLocked    = 0.001 // of all rides on firm ground
)

func TestGrid(t *testing.T) {
	for _, seed := range []uint64{0, 1, 2, 3} { // none of them is better than another
		for _, factor := range []float64{1, 1.001} {
			if seed != 0 && factor != 1 {
				continue
			}
			grid(t, seed, factor)
		}
	}
}

// How many rows, and pairs of a rate and a slower one, there were, and how many of them outside the bounds.
var rough, rows, longer, pairs int

// grid rides the grid once, with every input multiplied by a factor near one.
func grid(t *testing.T, seed uint64, factor float64) {
	locked, rides := 0, 0
	rough, rows, longer, pairs = 0, 0, 0, 0
	for i, b := range bike.Presets() {
		for k, surface := range tyre.Surfaces() {
			for d, demand := range []float64{1.2, 1.6} {
				if !*whole && (d != 0 || surface.ID == "ice" || (i+k+3*int(seed))%10 != 0) { // stops on ice take a minute
					continue
				}
				cells := row(t, Setup{
					Bike: b, Surface: surface, Rise: 0.3 * factor, Demand: demand * factor,
					Channels: Both, LiftControl: true,
				}, seed, factor)
				for _, c := range cells {
					if !surface.Loose() {
						locked, rides = locked+c.locked, rides+c.rides
					}
				}
			}
		}
	}
	t.Logf("seed %d, factor %v: %d of %d rows are rougher, in %d of %d pairs the faster rate is longer than the bounds", seed, factor, rough, rows, longer, pairs)
	if float64(rough) > max(2, mostOutside*float64(rows)) || float64(longer) > max(2, mostOutside*float64(pairs)) {
		t.Errorf("seed %d, factor %v: %d of %d rows are rougher than the bounds, in %d of %d pairs the faster rate is longer", seed, factor, rough, rows, longer, pairs)
	}
	t.Logf("seed %d, factor %v: front locked for more than 0.03 s above 10 km/h in %d of %d rides on firm ground", seed, factor, locked, rides)
	if float64(locked) > mostLocked*float64(rides) {
		t.Errorf("seed %d, factor %v: the front locked in %d of %d rides on firm ground", seed, factor, locked, rides)
	}
}

// row rides a setup at all rates and judges them one by one and against each other.
func row(t *testing.T, s Setup, seed uint64, factor float64) []*cell {
	s.Bike.Mass *= factor
	s.Surface = s.Surface.Scaled(factor * must(s.Surface.Peak()))
	var cells []*cell
	for _, rate := range gridRates {
		if !*whole && rate != 10 && rate != 50 {
			continue
		}
		s.CycleRate = rate * factor
		c := &cell{setup: s}
		c.ride(t, seed, factor)
		c.judge(t)
		cells = append(cells, c)
	}
	for i := 1; i < len(cells); i++ {
		for j := range cells[i].middles {
			slower, faster := cells[i-1].middles[j], cells[i].middles[j]
			if pairs++; faster > (1+mostLonger)*slower {
				longer++
			}
			if faster > (1+2*mostLonger)*slower {
				cells[i].error(t, "at %.0f km/h %.2f m, at the slower rate %.2f m", 3.6*cells[i].speeds[j], faster, slower)
			}
		}
	}
	return cells
}

func must(_, peak float64) float64 { return peak }

// ride fills a cell.
func (c *cell) ride(t *testing.T, seed uint64, factor float64) {
	top, by := 150.0, 15.0
	if _, peak := c.setup.Surface.Crest(); peak < 0.35 {
		top = 90
	}
	if *whole {
		by = 1
	}
	trace := NewTrace(0.004, 60)
	for kmh := 30.0; kmh <= top; kmh += by {
		s := c.setup
		s.Speed = kmh * factor / 3.6
		p, err := s.Spread(seed)
		if err != nil {
			t.Fatal(err)
		}
		c.speeds = append(c.speeds, s.Speed)
		c.middles = append(c.middles, p.Quantile(0.5, func(r *Result) float64 { return r.StoppingDistance }))
		for i := range p.Results {
			if c.rides++; p.Results[i].FrontLockedTime > 0.03 {
				c.locked++
			}
		}
		v := s.Varied(p.Middle())
		if _, err := Run(&v, trace); err != nil {
			t.Fatal(err)
		}
		c.full(trace)
	}
	c.fit()
}

// full takes in a ride's full braking: from half a second after the first touch down to 10 km/h.
func (c *cell) full(trace *Trace) {
	from, to := -1, -1
	for i, at := range trace.Time {
		if at > 0.5 && trace.Speed[i] > walking {
			c.slips = append(c.slips, trace.FrontSlip[i])
			if to = i; from < 0 {
				from = i
			}
		}
	}
	if to-from < 10 {
		return
	}
	from2, to2 := trace.Speed[from]*trace.Speed[from], trace.Speed[to]*trace.Speed[to]
	a := (from2 - to2) / (2 * (trace.Position[to] - trace.Position[from]))
	drag := 0.5 * airDensity * c.setup.Bike.DragArea / c.setup.Bike.Mass * 0.5 * (from2 + to2)
	c.used = append(c.used, (a-drag)/LimitOf(&c.setup).Deceleration)
}

// fit holds the distances against the smooth curve d = c0 + c1·v + c2·v² + c3·v³ + c4·v⁴, by least squares of the
// relative residual.
func (c *cell) fit() {
	const n = 5
	var a [n][n + 1]float64
	terms := func(i int) (r [n + 1]float64) {
		for j, p := 0, 1.0; j < n; j, p = j+1, p*c.speeds[i]/20 {
			r[j] = p / c.middles[i]
		}
		r[n] = 1
		return r
	}
	for i := range c.speeds {
		r := terms(i)
		for j := range n {
			for k := range n + 1 {
				a[j][k] += r[j] * r[k]
			}
		}
	}
	for p := range n { // Gauss and Jordan's elimination
		for r := range n {
			if f := a[r][p] / a[p][p]; r != p {
				for k := p; k <= n; k++ {
					a[r][k] -= f * a[p][k]
				}
			}
		}
	}
	high, last := 0.0, 0.0
	for i := range c.speeds {
		residual := 1.0
		for j, x := range terms(i) {
			if j < n {
				residual -= x * a[j][n] / a[j][j]
			}
		}
		c.roughness += residual * residual / float64(len(c.speeds))
		if i > 0 {
			c.step = max(c.step, math.Abs(residual-last))
		}
		last = residual
		high = max(high, c.middles[i])
		c.fall = max(c.fall, 1-c.middles[i]/high)
	}
	c.roughness = math.Sqrt(c.roughness)
}

// error reports what is wrong with a cell.
func (c *cell) error(t *testing.T, format string, args ...any) {
	t.Helper()
	s := &c.setup
	t.Errorf("%s, %s, demand %.0f %%, %.0f Hz: "+format, append([]any{s.Bike.ID, s.Surface.ID, 100 * s.Demand, s.CycleRate}, args...)...)
}

// judge holds a cell against the bounds.
func (c *cell) judge(t *testing.T) {
	s := &c.setup
	crest, _ := s.Surface.Crest()
	slices.Sort(c.slips)
	slices.Sort(c.used)
	slip, used := Quantile(c.slips, 0.5), Quantile(c.used, 0.5)
	limit := LimitOf(s)
	t.Logf("%-8s %-12s %3.0f %% %3.0f Hz: rough %.2f %%, step %.2f %%, falls %.2f %%, locked %d of %d, slip %.3f (peak %.3f), used %.3f to %.3f",
		s.Bike.ID, s.Surface.ID, 100*s.Demand, s.CycleRate, 100*c.roughness, 100*c.step, 100*c.fall, c.locked, c.rides, slip, crest, c.used[0], c.used[len(c.used)-1])
	if rows++; c.roughness > mostRoughness || c.step > mostStep || c.fall > mostFall {
		rough++
	}
	if c.roughness > 2.5*mostRoughness || c.step > 2.5*mostStep || c.fall > mostFall {
		c.error(t, "rough by %.2f %%, steps of %.2f %%, falls by %.2f %%", 100*c.roughness, 100*c.step, 100*c.fall)
	}
	if s.Surface.Loose() {
		return
	}
	// A unit that may act five times a second keeps away from the rear's lift by as much as it would overshoot.
	if low := map[bool]float64{true: 0.81, false: 0.87}[s.CycleRate < 7]; used < low || used > 1 {
		c.error(t, "%.3f of the limit's deceleration is used, want %v to 1", used, low)
	}
	if limit.Lift < 1.05*limit.Grip {
		return // the slip is the rear's, not the grip's
	}
	// Curves are flat about their peak, dry cobbles' widely and ice's all the way: slip is off if it costs grip. What a slow
	// unit lets go and gives back again lies below the peak, and costs more.
	lost := map[bool]float64{true: 0.075, false: 0.03}[s.CycleRate < 15]
	if peak := s.Surface.Grip(crest); math.Abs(slip-crest) > 0.03 && s.Surface.Grip(slip) < (1-lost)*peak {
		c.error(t, "the middle of the front's slip is %.3f, the peak's %.3f", slip, crest)
	}
}
