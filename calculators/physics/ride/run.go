package ride

import (
	"math"

	"example.org/gripleaf/calculators/physics/antilock"
	"example.org/gripleaf/calculators/physics/bike"
	"example.org/gripleaf/calculators/physics/hydraulics"
)

const (
	standing = 0.05     // speed at which a bike stands, m/s
	walking  = 10 / 3.6 // speed below which a locked wheel harms nobody, m/s
	longest  = 300      // s
	reared   = 1        // nose up beyond all braking: such a bike goes over its rear wheel, which is not followed, rad
	glance   = 12       // longer than any squeeze: time between looks at whether the bike slows at all, s
)

// Run rides a stop and records it in t, which may be nil. It returns an error
// that says what is wrong when an input is out of range or the bike does not
// stop, and allocates nothing else.
func Run(s *Setup, t *Trace) (Result, error) {
	if err := s.Check(); err != nil {
		return Result{}, err
	}
	if t != nil {
		if !(t.Interval > 0) {
			return Result{}, ErrTrace
		}
		t.Reset()
	}
	var r run
	r.start(s, t)
	if r.tally.limit.Deceleration <= 0 { // even if a patch would stop it: a demand is a share of what the first surface gives
		return Result{}, ErrNoStop
	}
	for r.y[speed] > standing && !r.tally.over {
		r.record()
		r.tick()
		if err := r.lost(); err != nil {
			return Result{}, err
		}
	}
	r.record()
	return r.finish()
}

// run is a stop in the middle of being ridden.
type run struct {
	setup   *Setup
	plant   plant
	road    road
	y       state
	time    float64
	span    float64 // of a tick, s
	step    float64 // of the integration, s
	unit    antilock.Unit
	senses  antilock.Senses // of the last tick
	told    [2]float64      // radius of each wheel that the unit was told, m
	measure float64         // ground speed as the unit has it, over the true one
	watched bool
	demand  [2]float64 // pressure of the full demand, Pa
	grip    grip
	orders  [orderQueue][2]antilock.Order // on their way to the valves
	late    int                           // ticks an order takes
	ticks   int
	pulse   pulse
	trace   *Trace
	begin   Energy // the account's stores at the start
	tally   tally
	looked  float64 // when the speed was last looked at, s
	seen    float64 // what it was, m/s
}

// orderQueue bounds the delay of a valve in ticks.
const orderQueue = 8

// start readies a run in place, for it holds pointers into itself.
func (r *run) start(s *Setup, t *Trace) {
	r.setup, r.trace, r.plant = s, t, newPlant(s)
	limit := LimitOf(s)
	r.road = newRoad(s)
	r.plant.surface[0] = newSurface(&s.Surface)
	if s.Patch != nil && s.PatchLength > 0 {
		r.plant.surface[1] = newSurface(s.Patch)
	}
	r.y[speed], r.seen = s.Speed, s.Speed+1
	for i := range r.plant.end {
		r.y[spinF+i] = s.Speed / r.plant.end[i].radius
		r.plant.in[i].under = r.road.under(i, &r.y)
		r.plant.in[i].share, r.plant.in[i].ripple = 1, 1
	}
	r.demand = [2]float64{
		s.Demand * limit.FrontTorque / r.plant.end[front].gain,
		s.Demand * limit.RearTorque / r.plant.end[rear].gain,
	}
	r.grip = grip{hand: &s.Hand, rise: s.Rise, share: 1, opened: -1}
	r.grip.held = r.grip.squeeze(0)
	r.tally.limit = limit
	r.setClock()
	if r.watched = s.Channels != None; r.watched {
		r.startUnit()
		r.late = int(math.Round(r.plant.end[front].modulator.Delay / antilock.Tick))
	}
	for i := range r.orders {
		r.orders[i] = [2]antilock.Order{{Valve: hydraulics.Build, Share: 1}, {Valve: hydraulics.Build, Share: 1}}
	}
	r.begin = r.stores()
}

// setClock chooses tick, method and step: steps short enough to follow the
// stiffer wheel on its tyre.
func (r *run) setClock() {
	r.span = antilock.Tick
	r.step = r.span
	if r.setup.Channels != None { // valves move at ticks and within them
		r.step /= 2
	}
	if r.setup.Step > 0 {
		r.step = min(r.step, r.setup.Step)
	}
	coarse := r.setup.Channels == None && r.setup.Step > r.span
	if coarse {
		r.span, r.step = r.setup.Step, r.setup.Step
	}
	fastest := 1.0
	for i := range r.plant.end {
		e := &r.plant.end[i]
		for _, s := range r.plant.surface {
			stiff := (s.C1*s.C2 + s.Wedge) * r.plant.mass * Gravity
			fastest = max(fastest, math.Sqrt(stiff*e.radius*e.radius/(e.inertia*e.relaxation)))
			fastest = max(fastest, carcass*stiff*e.radius*e.radius/e.inertia)
		}
		fastest = max(fastest, r.setup.Speed/e.relaxation)
	}
	if coarse {
		fastest /= 2 // the method is still stable
	}
	r.step = min(r.step, 1/fastest)
	r.step = r.span / math.Ceil(r.span/r.step-1e-9)
}

// startUnit readies the controller. The faster rim, in its measure, is the
// ground's speed as long as both wheels roll.
func (r *run) startUnit() {
	var rim [2]float64
	for i := range r.plant.end {
		r.told[i] = r.plant.end[i].radius
		if i == front && r.setup.FrontTold > 0 {
			r.told[i] = r.setup.FrontTold
		}
		rim[i] = r.told[i] * r.y[spinF+i]
	}
	r.measure = max(rim[front], rim[rear]) / r.y[speed]
	r.unit = antilock.New(r.settings(), rim)
	r.senses.Speed = r.measure * r.y[speed]
	r.late = int(math.Round(r.plant.end[front].modulator.Delay / antilock.Tick))
}

// settings is what the maker tells the unit about the bike.
func (r *run) settings() antilock.Settings {
	s, p, b := r.setup, &r.plant, &r.setup.Bike
	set := antilock.Settings{Rate: s.CycleRate, Guard: s.LiftControl, Weight: p.mass * p.weight, Lift: liftOf(s, p)}
	shares := [2]float64{b.FrontShare, 1 - b.FrontShare}
	for i, e := range [2]*bike.End{&b.Front, &b.Rear} {
		pe := &p.end[i]
		transfer := b.CGHeight / (b.Wheelbase * Gravity)
		if i == rear {
			transfer = -transfer
		}
		set.Wheels[i] = antilock.Wheel{
			Radius: r.told[i], Teeth: e.Teeth,
			Watch:    r.unitOn(i),
			Gain:     pe.gain / e.Radius,
			Inertia:  e.Inertia / (e.Radius * e.Radius),
			Reach:    e.Relaxation,
			Share:    shares[i],
			Transfer: transfer,
			Outlet:   pe.modulator.Outlet / pe.uptake,
			Inlet:    pe.modulator.Inlet / pe.uptake,
		}
	}
	return set
}

// liftOf is when the rear wheel lifts, upright: the force, and the pitch at which
// the front has sunk under the whole weight and the rear hangs at its full length.
func liftOf(s *Setup, p *plant) antilock.Lift {
	upright := *s
	upright.Lean = 0
	limit, b := LimitOf(&upright), &s.Bike
	spin := (b.Front.Inertia/b.Front.Radius + b.Rear.Inertia/b.Rear.Radius) / b.Mass
	f, e := &p.end[front], &p.end[rear]
	sunk := f.spring.At((b.Mass-b.Front.Unsprung)*p.weight) - f.spring.At((b.Mass*b.FrontShare-b.Front.Unsprung)*p.weight)
	risen := e.spring.At((b.Mass*(1-b.FrontShare)-b.Rear.Unsprung)*p.weight) - e.hung
	return antilock.Lift{
		Force:  b.Mass*(limit.Lift-p.along) - s.Surface.Rolling*b.Mass*p.weight,
		Height: b.CGHeight + spin, Spin: spin,
		Pitch: (sunk + risen) / b.Wheelbase,
	}
}

// sense is what the unit reads at this tick.
func (r *run) sense() {
	y, in := &r.y, &r.senses
	before := in.Speed
	for i := range in.Rim {
		in.Rim[i] = r.told[i] * y[spinF+i]
		in.Load[i] = r.plant.out[i].load
		in.Master[i], in.Caliper[i] = r.plant.in[i].master, y[pressureF+i]
	}
	in.Speed = r.measure * y[speed]
	in.Decel = (before - in.Speed) / antilock.Tick
	tan := r.plant.lean * y[speed] * y[speed]
	in.Upright = 1 / math.Sqrt(1+tan*tan)
	in.Pitch, in.PitchRate = y[pitch], y[pitchRate]
}

// ripple sets how the grip differs from the curve's during the tick that begins.
func (r *run) ripple() {
	on := r.y[speed] * r.span
	for i := range r.plant.in {
		in, at := &r.plant.in[i], r.road.at(i, &r.y)
		now := r.setup.Ripple.at(at)
		in.ripple, in.change = now, 0
		if on > 1e-6 {
			in.change = (r.setup.Ripple.at(at+on) - now) / on
		}
	}
}

// tick moves the run on by one tick of the clock.
func (r *run) tick() {
	p := &r.plant
	p.tick, p.began = r.time, r.y[travel]
	now, then := r.grip.held, r.grip.squeeze(r.time+r.span)
	r.grip.held = then
	for i := range p.in {
		p.in[i].master = r.demand[i] * now
		p.in[i].slope = r.demand[i] * (then - now) / r.span
	}
	r.ripple()
	if r.watched {
		r.sense()
		r.orders[(r.ticks+r.late)%orderQueue] = r.unit.Act(r.time, &r.senses)
		for i, o := range r.orders[r.ticks%orderQueue] {
			p.in[i].valve, p.in[i].share = o.Valve, o.Share
		}
	}
	before, hung := r.y, p.out[rear].lift
	p.advance(r.time, r.span, r.step, &r.road, &r.y)
	r.pulse.move(r, &before)
	r.grip.notice(r.time, r.span, p.in[front].stuck)
	r.ticks++
	r.time = float64(r.ticks) * r.span
	if v := r.y[speed]; v < standing {
		r.time -= r.span * (standing - v) / (before[speed] - v)
	}
	if r.y[pitch] > overPitch {
		r.topple(&before, hung)
	}
	r.tally.count(r, &before)
}

// topple takes the rear's height, which was hung at the start of the tick, for
// where the bike went over: later it falls all the faster.
func (r *run) topple(before *state, hung float64) {
	part := (overPitch - before[pitch]) / (r.y[pitch] - before[pitch])
	if part > 0 && part < 1 {
		r.plant.height = hung + part*(r.plant.out[rear].lift-hung)
	}
}

// lost reports a run that leads nowhere.
func (r *run) lost() error {
	switch v := r.y[speed]; {
	case math.IsNaN(v) || math.IsNaN(r.y[pitch]) || math.IsNaN(r.y[heave]) || math.Abs(r.y[heave]) > 10 || r.y[pitch] < -reared:
		return ErrUnfit
	case r.time > longest || v > r.setup.Speed+20:
		return ErrNoStop
	case r.time > r.looked+glance:
		if v > r.seen-0.05 {
			return ErrNoStop
		}
		r.looked, r.seen = r.time, v
	}
	return nil
}
