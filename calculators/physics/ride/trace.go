package ride

import (
	"math"

	"example.org/gripleaf/calculators/physics/hydraulics"
)

// Trace holds a run at a fixed interval, one column a quantity, all in SI
// units. Make it with NewTrace; Run overwrites what it held.
type Trace struct {
	Interval      float64   // s
	Time          []float64 // from the first touch of the lever
	Position      []float64 // of the front tyre from the first touch
	Speed         []float64
	Deceleration  []float64
	Force         []float64 // braking force of both tyres
	FrontForce    []float64 // of the front tyre
	FrontSpin     []float64
	RearSpin      []float64
	FrontAngle    []float64 // turned since the start
	RearAngle     []float64
	FrontSlip     []float64 // of the wheel: 0 rolling, 1 locked
	RearSlip      []float64
	FrontPressure []float64 // at the caliper
	RearPressure  []float64
	FrontMaster   []float64 // asked by the hand
	RearMaster    []float64
	Lever         []float64 // pressure of the pump's pulse at the front lever
	FrontLoad     []float64
	RearLoad      []float64
	Pitch         []float64 // nose down positive
	Heave         []float64 // of the centre of mass, up positive
	Fork          []float64 // compression from full extension
	Shock         []float64
	Lift          []float64 // of the rear tyre above the ground
	Lean          []float64
	FrontValve    []hydraulics.Valve
	RearValve     []hydraulics.Valve

	next float64 // time of the next row
}

// columns returns every column of numbers.
func (t *Trace) columns() [25]*[]float64 {
	return [25]*[]float64{
		&t.Time, &t.Position, &t.Speed, &t.Deceleration, &t.Force, &t.FrontForce,
		&t.FrontSpin, &t.RearSpin, &t.FrontAngle, &t.RearAngle, &t.FrontSlip, &t.RearSlip,
		&t.FrontPressure, &t.RearPressure, &t.FrontMaster, &t.RearMaster, &t.Lever,
		&t.FrontLoad, &t.RearLoad, &t.Pitch, &t.Heave, &t.Fork, &t.Shock, &t.Lift, &t.Lean,
	}
}

// NewTrace returns a Trace with room for a duration at an interval, both in
// seconds. Rows of a longer run are added at the price of allocations.
func NewTrace(interval, duration float64) *Trace {
	t := &Trace{Interval: interval}
	rows := 2
	if interval > 0 && duration > 0 {
		rows += int(min(duration/interval, 1e6))
	}
	for _, c := range t.columns() {
		*c = make([]float64, 0, rows)
	}
	t.FrontValve = make([]hydraulics.Valve, 0, rows)
	t.RearValve = make([]hydraulics.Valve, 0, rows)
	return t
}

// Reset empties the columns and keeps their room.
func (t *Trace) Reset() {
	for _, c := range t.columns() {
		*c = (*c)[:0]
	}
	t.FrontValve, t.RearValve, t.next = t.FrontValve[:0], t.RearValve[:0], 0
}

// record adds a row when one is due.
func (r *run) record() {
	t := r.trace
	if t == nil || r.time < t.next-1e-9 && r.y[speed] > standing {
		return
	}
	t.next += t.Interval
	p, y := &r.plant, &r.y
	var d state
	p.derive(y, &d)
	row := [25]float64{
		r.time, y[travel], y[speed], -d[speed], p.out[front].force + p.out[rear].force, p.out[front].force,
		y[spinF], y[spinR], y[angleF], y[angleR], p.wheelSlip(front, y), p.wheelSlip(rear, y),
		y[pressureF], y[pressureR], r.master(front), r.master(rear), r.pulse.pressure,
		p.out[front].load, p.out[rear].load, y[pitch], y[heave],
		p.out[front].compression, p.out[rear].compression, p.out[rear].lift,
		leanAt(p, y),
	}
	for i, c := range t.columns() {
		*c = append(*c, row[i])
	}
	t.FrontValve = append(t.FrontValve, p.in[front].valve)
	t.RearValve = append(t.RearValve, p.in[rear].valve)
}

// master returns what the hand asks of a line now, Pa.
func (r *run) master(i int) float64 { return r.demand[i] * r.grip.squeeze(r.time) }

// wheelSlip returns the slip of a wheel, not of its lagging patch.
func (p *plant) wheelSlip(i int, y *state) float64 {
	return 1 - p.end[i].radius*y[spinF+i]/max(y[speed], standing)
}

// leanAt returns the lean that keeps the corner's radius at the present speed.
func leanAt(p *plant, y *state) float64 {
	return math.Atan(p.lean * y[speed] * y[speed])
}
