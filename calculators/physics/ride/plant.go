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
	heapF            // of loose ground before the front tyre, over the most there can be
	heapR            // before the rear's
	moving           // how many states are integrated and depended on
)

const (
	pressureF = moving + iota // at the front caliper, Pa; solved apart
	pressureR                 // at the rear
	angleF                    // turned by the front wheel, rad
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

// heapLength is how far a tyre has to plough through loose ground until the heap
// before it is nearly two thirds of what that slip can push up, m. Invented, demo.
const heapLength = 1.0

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
	// Reciprocals, for divisions are slow.
	perRelaxation, perInertia float64
	reach                     float64 // arm, forward for both
	rubber                    float64 // compression at which the rubber begins, m
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
	ripple   float64 // grip over the curve's, at the start of the tick
	change   float64 // of it along the road, 1/m
}

// plant is a bike on a road with its brakes.
type plant struct {
	mass, sprung, inertia float64
	perMass, perSprung    float64
	perInertia            float64
	weight                float64 // per unit of mass across the road, m/s²
	along                 float64 // the road's pull on the bike, m/s²
	drag                  float64 // ½·ρ·CdA, kg/m
	lean                  float64 // tangent of the lean at the start over speed²
	end                   [2]end
	in                    [2]input
	surface               [2]surface       // the ground and the patch
	k                     [maxStages]state // the rates at the stages of the method
	ahead                 state            // the rates at the end of the last step
	fresh                 bool             // they hold still
	line                  [2]hydraulics.Filling
	tick                  float64 // when the current tick began, s
	began                 float64 // where, in travel of the front tyre, m
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
	p.perMass, p.perSprung, p.perInertia = 1/p.mass, 1/p.sprung, 1/p.inertia
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
			rubber:        src.Suspension.Rubber(),
			perRelaxation: 1 / src.Relaxation, perInertia: 1 / src.Inertia,
		}
		p.end[i].reach = p.end[i].arm
	}
	p.end[rear].reach = -p.end[rear].arm
	return p
}

// frame is what both ends share during one evaluation.
type frame struct {
	speed    float64
	tan      float64 // of the lean
	upright  float64 // cosine of the lean
	gravity  float64 // in the plane of the leaning bike, m/s²
	sin, cos float64 // of the pitch
}

// load is what the ends do to the body together.
type load struct {
	force  float64 // of tyres and rolling resistance, N
	up     float64 // of the suspensions, N
	moment float64 // nose down, N·m
	held   float64 // inertia of the wheels that turn with the body, kg·m²
}

// derive writes the rates of y into d, and what the tyres do into
// p.out.
func (p *plant) derive(y, d *state) {
	f := frame{speed: y[speed], upright: 1}
	if f.tan = p.lean * y[speed] * y[speed]; f.tan != 0 { // the radius is kept
		f.upright = 1 / math.Sqrt(1+f.tan*f.tan)
	}
	f.gravity = p.weight / f.upright
	f.sin, f.cos = sincos(y[pitch])

	d[heat], d[scrub], d[rolling] = 0, 0, 0
	d[damping] = p.sprung * f.gravity * y[heaveRate]
	var sum load
	for i := range p.end {
		p.share(i, &f, &sum, y, d)
	}
	p.body(&f, &sum, y, d)
}

// sincos returns sine and cosine to 1e-9 for the pitch of a bike, which never
// passes overPitch. math.Sincos took a sixth of a stop.
func sincos(x float64) (sin, cos float64) {
	q := x * x
	sin = x * (1 + q*(-1.0/6+q*(1.0/120+q*(-1.0/5040+q*(1.0/362880)))))
	cos = 1 + q*(-0.5+q*(1.0/24+q*(-1.0/720+q*(1.0/40320-q*(1.0/3628800)))))
	return sin, cos
}

// share finds what an end does to the body and the rates of its wheel, tread and
// accounts. It is long because it calls nothing: in WebAssembly calls took half
// of a stop.
func (p *plant) share(i int, f *frame, sum *load, y, d *state) {
	e, in, out := &p.end[i], &p.in[i], &p.out[i]
	ground := &p.surface[in.under]

	// The suspension: ahead of the centre of mass a mount sinks with pitch,
	// behind it rises.
	arm := e.reach*f.cos - e.rise*f.sin // forward
	x := e.rest - y[heave] + e.reach*f.sin - e.rise*(1-f.cos)
	dx := arm*y[pitchRate] - y[heaveRate]
	static, hanging := e.spring.Spring(x), -e.hang*f.gravity
	spring := static + e.spring.Damper(dx)
	out.slack, out.compression, out.lift = spring-hanging, x, 0
	if out.slack <= 0 {
		spring = hanging
		if x < e.hung {
			out.lift = e.hung - x
		}
	}
	load := (spring - hanging) * f.upright
	d[damping] += (spring - static) * dx

	// The tyre: while the nose dives, its hub runs slower than the centre of
	// mass. The patch renews itself at the speed of the road or of the tread,
	// whichever is faster.
	spin := y[spinF+i]
	above := e.rise + y[heave]
	hub, tread := f.speed-above*y[pitchRate], e.radius*spin
	sliding, pace := hub-tread, math.Abs(hub)
	if w := math.Abs(tread); w > pace {
		pace = w
	}
	lag := sliding - pace*y[slipF+i]
	slip := y[slipF+i] + carcass*lag
	k := math.Abs(slip)
	if k > 1 {
		k = 1
	}
	ripple := in.ripple + in.change*(y[travel]-p.began)
	force := ripple * (ground.C1*tyre.Saturation(ground.C2*k) - ground.C3*k + ground.Wedge*y[heapF+i]) * load // as Surface.Grip, once the heap is there
	if slip < 0 {
		force = -force
	}
	if f.tan != 0 {
		force *= tyre.Left(f.tan, ground.peak)
	}
	resist := ground.Rolling * load
	out.load, out.slip, out.sliding, out.force = load, slip, sliding, force
	d[slipF+i] = lag * e.perRelaxation
	d[heapF+i] = math.Abs(hub) * (k*k - y[heapF+i]) * (1 / heapLength)
	d[angleF+i] = spin
	d[scrub] += force * sliding
	d[rolling] += resist * hub
	sum.force += force + resist
	sum.up += spring
	sum.moment += (force+resist)*above - spring*arm

	// The brake: a wheel whose disc stands in its caliper turns with the body.
	if in.stuck {
		sum.held += e.inertia
		sum.moment += force * e.radius
		return
	}
	torque := 0.0
	if y[pressureF+i] > 0 {
		torque = e.gain * y[pressureF+i]
	}
	if in.backward {
		torque = -torque
	}
	out.torque = torque
	sum.moment += torque
	d[spinF+i] = (force*e.radius - torque) * e.perInertia
	d[heat] += torque * (spin - y[pitchRate])
}

// body finds the rates of the whole bike from what its ends do to it.
func (p *plant) body(f *frame, sum *load, y, d *state) {
	drag := p.drag * f.speed * math.Abs(f.speed)
	turn := sum.moment * p.perInertia
	if sum.held != 0 {
		turn = sum.moment / (p.inertia + sum.held)
	}
	d[travel], d[speed] = f.speed, -(sum.force+drag)*p.perMass-p.along
	d[heave], d[heaveRate] = y[heaveRate], sum.up*p.perSprung-f.gravity
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
