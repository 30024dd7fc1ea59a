package ride

// The equations of motion: fourteen states and five accounts, and what drives
// them. Everything here is smooth between events; events are in step.go.
//
// Lengthwise the bike is one mass whose wheels are carried at hub height, so
// that a braking force F at the ground and a brake torque T pitch it by
// F·(height above the hub) + T; in a steady stop, where T = F·R + I·a/R, that
// is the textbook's F·h and the little that stops the wheels' own spin.
// Upright the sprung mass heaves and pitches on its two suspensions; the wheels
// follow the ground until a load would turn negative, then hang.

import (
	"math"

	"example.org/gripleaf/calculators/physics/bike"
	"example.org/gripleaf/calculators/physics/chassis"
	"example.org/gripleaf/calculators/physics/hydraulics"
	"example.org/gripleaf/calculators/physics/tyre"
)

// state holds the motion and, from heat on, the energy accounts.
type state [numStates]float64

const (
	travel    = iota // of the front tyre since the first touch, m
	speed            // m/s
	heave            // of the centre of mass, up, m
	heaveRate        // m/s
	pitch            // nose down, rad
	pitchRate        // rad/s
	spinF            // front wheel, rad/s
	spinR            // rear wheel
	slipF            // of the front contact patch, lagging the wheel
	slipR            // of the rear's
	pressureF        // at the front caliper, Pa
	pressureR        // at the rear
	moving           // how many states the rates depend on
)

const (
	angleF    = moving + iota // turned by the front wheel, rad
	angleR                    // by the rear
	heat                      // into discs and pads, J
	scrub                     // into tyres and ground, J
	air                       // into the air, J
	rolling                   // into rolling resistance, J
	damping                   // into dampers and against gravity, J
	numStates                 //
)

const (
	front = 0
	rear  = 1
)

// carcass is how much slip a tyre's side walls take up for each m/s by which
// the patch still lags; it damps the wheel against the tread near standstill.
// Invented, demo, s/m.
const carcass = 0.008

// end is one end of the bike, its figures prepared for the inner loop.
type end struct {
	radius, inertia float64
	relaxation      float64
	gain            float64 // brake torque over pressure, N·m/Pa
	uptake          float64 // m³/Pa
	arm             float64 // from the sprung centre of mass to the axle, forward for the front, back for the rear, m
	rise            float64 // of the centre of mass above the hub, m
	hang            float64 // mass that hangs on the suspension in the air, kg
	rest            float64 // compression at rest, m
	hung            float64 // compression at which the wheel hangs free, m
	spring          chassis.Suspension
	modulator       hydraulics.Modulator
}

// input is what drives an end during a step: it changes only between steps.
type input struct {
	under    int     // which of the plant's surfaces the tyre stands on
	stuck    bool    // the disc does not turn in its caliper
	backward bool    // the disc turns backward in its caliper; fixed during a step, so that rubbing has no corner
	was      contact // at the start of the step
	valve    hydraulics.Valve
	share    float64 // of the step that the valve is in its position
	master   float64 // pressure at the start of the tick, Pa
	slope    float64 // of the master pressure, Pa/s
}

// plant is a bike on a road with its brakes.
type plant struct {
	mass, sprung, inertia float64
	weight                float64 // per unit of mass across the road, m/s²
	along                 float64 // the road's pull on the bike, m/s²
	drag                  float64 // ½·ρ·CdA, kg/m
	lean                  float64 // tangent of the lean at the start over speed²
	end                   [2]end
	in                    [2]input
	surface               [2]surface // the ground and the patch
	method                *method
	k                     [maxStages]state // the rates at the stages of the method
	tick                  float64          // when the current tick began, s
	out                   [2]contact
	locked                [2]float64 // time above walking pace so far, s
	aloft                 float64    // time of the rear in the air so far, s
	height                float64    // it has reached, m
}

// contact is what the last evaluation found at an end, for traces and events.
type contact struct {
	load, force float64 // N
	torque      float64 // of the brake, N·m
	reserve     float64 // torque that a held disc could still take, N·m
	slack       float64 // load before it is cut off at nothing, N
	slip        float64 // at the patch, with what the side walls take
	sliding     float64 // of the tread over the road, m/s
	compression float64 // m
	lift        float64 // m
}

// newPlant prepares a checked setup.
func newPlant(s *Setup) plant {
	b := &s.Bike
	g := Gravity * math.Cos(s.Grade)
	p := plant{
		mass: b.Mass, inertia: b.Mass * b.Gyration * b.Gyration,
		weight: g, along: Gravity * math.Sin(s.Grade),
		drag: 0.5 * airDensity * b.DragArea,
		lean: math.Tan(math.Abs(s.Lean)) / (s.Speed * s.Speed),
	}
	p.sprung = b.Mass - b.Front.Unsprung - b.Rear.Unsprung
	// At rest in the lean of the start, the springs carry the weight over its cosine.
	g *= math.Sqrt(1 + math.Tan(s.Lean)*math.Tan(s.Lean))
	shares := [2]float64{b.FrontShare, 1 - b.FrontShare}
	for i, src := range [2]*bike.End{&b.Front, &b.Rear} {
		load := b.Mass*shares[i] - src.Unsprung
		p.end[i] = end{
			radius: src.Radius, inertia: src.Inertia, relaxation: src.Relaxation,
			gain: src.Brake.Gain(), uptake: src.Brake.Uptake,
			arm:  b.Wheelbase * (1 - load/p.sprung),
			rise: b.CGHeight - src.Radius, hang: src.Unsprung,
			rest:   src.Suspension.At(load * g),
			hung:   src.Suspension.At(-src.Unsprung * p.weight),
			spring: src.Suspension, modulator: hydraulics.Standard(),
		}
	}
	return p
}

// frame is what both ends share during one evaluation.
type frame struct {
	time, speed float64
	tan         float64 // of the lean
	upright     float64 // cosine of the lean
	gravity     float64 // in the plane of the leaning bike, m/s²
	sin, cos    float64 // of the pitch
}

// load is what the ends do to the body together.
type load struct {
	force, resist float64 // of tyres and rolling resistance, N
	up            float64 // of the suspensions, N
	moment        float64 // nose down, N·m
	held          float64 // inertia of the wheels that turn with the body, kg·m²
}

// derive writes the rates of y at time t into d, and what the tyres do into
// p.out.
func (p *plant) derive(t float64, y, d *state) {
	f := frame{time: t, speed: y[speed], upright: 1}
	if f.tan = p.lean * y[speed] * y[speed]; f.tan != 0 { // the radius is kept
		f.upright = 1 / math.Sqrt(1+f.tan*f.tan)
	}
	f.gravity = p.weight / f.upright
	f.sin, f.cos = sincos(y[pitch])

	d[heat], d[scrub], d[rolling] = 0, 0, 0
	d[damping] = p.sprung * f.gravity * y[heaveRate]
	var sum load
	for i := range p.end {
		p.suspend(i, &f, &sum, y, d)
		p.roll(i, &f, &sum, y, d)
		p.brake(i, &f, &sum, y, d)
	}
	p.body(&f, &sum, y, d)
}

// sincos returns sine and cosine to 1e-9 for the pitch of a bike, which never
// passes overPitch. math.Sincos took a sixth of a stop.
func sincos(x float64) (sin, cos float64) {
	q := x * x
	sin = x * (1 - q/6*(1-q/20*(1-q/42*(1-q/72))))
	cos = 1 - q/2*(1-q/12*(1-q/30*(1-q/56*(1-q/90))))
	return sin, cos
}

// suspend finds the load of a tyre and what its suspension does to the body:
// ahead of the centre of mass a mount sinks with pitch, behind it rises.
func (p *plant) suspend(i int, f *frame, sum *load, y, d *state) {
	e, out := &p.end[i], &p.out[i]
	ahead := 1.0
	if i == rear {
		ahead = -1
	}
	arm := e.arm*f.cos - ahead*e.rise*f.sin
	x := e.rest - y[heave] + ahead*e.arm*f.sin - e.rise*(1-f.cos)
	dx := ahead*arm*y[pitchRate] - y[heaveRate]
	static := e.spring.Spring(x)
	spring := static + e.spring.Damper(dx)
	hanging := -e.hang * f.gravity
	out.slack = spring - hanging
	if spring < hanging {
		spring = hanging
	}
	out.compression, out.lift = x, 0
	out.load = (spring + e.hang*f.gravity) * f.upright
	if out.load <= 0 {
		out.lift = max(0, e.hung-x)
	}
	d[damping] += (spring - static) * dx
	sum.up += spring
	sum.moment -= ahead * spring * arm
}

// roll finds the force of a tyre. While the nose dives, its hub runs slower
// than the centre of mass.
func (p *plant) roll(i int, f *frame, sum *load, y, d *state) {
	e, out, ground := &p.end[i], &p.out[i], &p.surface[p.in[i].under]
	above := e.rise + y[heave]
	hub := f.speed - above*y[pitchRate]
	sliding := hub - e.radius*y[spinF+i]
	// The patch renews itself at the speed of the road or of the tread, whichever
	// is faster.
	pace := math.Max(math.Abs(hub), math.Abs(e.radius*y[spinF+i]))
	lag := sliding - pace*y[slipF+i]
	d[slipF+i] = lag / e.relaxation
	out.slip, out.sliding = y[slipF+i]+carcass*lag, sliding
	grip := ground.Grip(out.slip)
	if f.tan != 0 {
		grip *= tyre.Left(f.tan, ground.peak)
	}
	out.force = grip * out.load
	resist := ground.Rolling * out.load
	sum.force += out.force
	sum.resist += resist
	sum.moment += (out.force + resist) * above
	d[scrub] += out.force * sliding
	d[rolling] += resist * hub
}

// brake finds the rates of caliper and wheel and what the caliper does to the
// body. A wheel whose disc stands in its caliper turns with the body.
func (p *plant) brake(i int, f *frame, sum *load, y, d *state) {
	e, in, out := &p.end[i], &p.in[i], &p.out[i]
	master := in.master + in.slope*(f.time-p.tick)
	d[pressureF+i] = e.modulator.Flow(in.valve, in.share, master, y[pressureF+i]) / e.uptake
	d[angleF+i] = y[spinF+i]
	if in.stuck {
		sum.held += e.inertia
		sum.moment += out.force * e.radius
		return
	}
	turning := y[spinF+i] - y[pitchRate]
	out.torque = 0
	if y[pressureF+i] > 0 {
		out.torque = e.gain * y[pressureF+i]
	}
	if in.backward {
		out.torque = -out.torque
	}
	sum.moment += out.torque
	d[spinF+i] = (out.force*e.radius - out.torque) / e.inertia
	d[heat] += out.torque * turning
}

// body finds the rates of the whole bike from what its ends do to it.
func (p *plant) body(f *frame, sum *load, y, d *state) {
	drag := p.drag * f.speed * math.Abs(f.speed)
	turn := sum.moment / (p.inertia + sum.held)
	d[travel], d[speed] = f.speed, -(sum.force+sum.resist+drag)/p.mass-p.along
	d[heave], d[heaveRate] = y[heaveRate], sum.up/p.sprung-f.gravity
	d[pitch], d[pitchRate] = y[pitchRate], turn
	d[air] = drag * f.speed
	for i := range p.end {
		if p.in[i].stuck {
			d[spinF+i] = turn
			out := &p.out[i]
			out.torque = out.force*p.end[i].radius - p.end[i].inertia*turn
			out.reserve = p.end[i].gain*y[pressureF+i] - math.Abs(out.torque)
		}
	}
}
