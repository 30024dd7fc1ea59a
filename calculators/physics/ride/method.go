package ride

// Two explicit Runge-Kutta methods of fixed order. A plain stop is smooth and
// wants few evaluations. A controller decides on thresholds, hundreds of times
// a stop, and decides the same at half the step only if the motion is right to
// nine figures and is rounded where the controller looks at it. Their tableaus
// are written out, for blending rates is a fifth of a stop's work.

import (
	"math"

	"example.org/gripleaf/calculators/physics/extremum"
)

// maxStages is the most that a method has.
const maxStages = 6

// step moves y on by h, and leaves the rates there in ahead. At the end of a tick
// that a controller follows it rounds y.
func (p *plant) step(h float64, last bool, y *state) {
	if p.guarded {
		p.precise(h, y)
		if last {
			p.round(y)
		}
	} else {
		p.classical(h, y)
	}
	p.derive(y, &p.ahead)
	p.fresh = true
}

// classical is Kutta's method of 1901: four stages, fourth order.
func (p *plant) classical(h float64, y *state) {
	var at state
	k, half := &p.k, 0.5*h
	for i := range moving {
		at[i] = y[i] + half*k[0][i]
	}
	p.rates(1, half, &at)
	for i := range moving {
		at[i] = y[i] + half*k[1][i]
	}
	p.rates(2, half, &at)
	for i := range moving {
		at[i] = y[i] + h*k[2][i]
	}
	p.rates(3, h, &at)
	for i := range y {
		y[i] += h * ((1.0/6)*(k[0][i]+k[3][i]) + (1.0/3)*(k[1][i]+k[2][i]))
	}
	p.press(h, y)
}

// precise is Dormand and Prince's method of 1980: six stages, fifth order; its
// rates at the end of a step are the next one's first (Hairer, Nørsett and
// Wanner, Solving Ordinary Differential Equations I, 2nd ed., table II.5.2). It
// leaves in apart how far the last stage was from the end.
func (p *plant) precise(h float64, y *state) {
	var at state
	k := &p.k
	for i := range moving {
		at[i] = y[i] + h*(0.2*k[0][i])
	}
	p.rates(1, 0.2*h, &at)
	for i := range moving {
		at[i] = y[i] + h*((3.0/40)*k[0][i]+(9.0/40)*k[1][i])
	}
	p.rates(2, 0.3*h, &at)
	for i := range moving {
		at[i] = y[i] + h*((44.0/45)*k[0][i]+(-56.0/15)*k[1][i]+(32.0/9)*k[2][i])
	}
	p.rates(3, 0.8*h, &at)
	for i := range moving {
		at[i] = y[i] + h*((19372.0/6561)*k[0][i]+(-25360.0/2187)*k[1][i]+(64448.0/6561)*k[2][i]+(-212.0/729)*k[3][i])
	}
	p.rates(4, (8.0/9)*h, &at)
	for i := range moving {
		at[i] = y[i] + h*((9017.0/3168)*k[0][i]+(-355.0/33)*k[1][i]+(46732.0/5247)*k[2][i]+(49.0/176)*k[3][i]+(-5103.0/18656)*k[4][i])
	}
	p.rates(5, h, &at)
	for i := range y {
		y[i] += h * ((35.0/384)*k[0][i] + (500.0/1113)*k[2][i] + (125.0/192)*k[3][i] + (-2187.0/6784)*k[4][i] + (11.0/84)*k[5][i])
	}
	p.press(h, y)
	p.apart = extremum.Max(math.Abs(y[spinF]-at[spinF]), math.Abs(y[spinR]-at[spinR]))
}

// rates works out the rates of a stage that lies a while after the start of the
// step.
func (p *plant) rates(stage int, after float64, at *state) {
	p.press(after, at)
	p.derive(at, &p.k[stage])
}

// press sets the calipers' pressures a while after the start of the step.
func (p *plant) press(after float64, y *state) {
	y[pressureF], y[pressureR] = p.line[front].At(after), p.line[rear].At(after)
}

// grain is what each state is rounded to at the end of a tick that a controller
// follows: powers of two, so that rounding is exact, and finer than anything that
// a road or a maker holds still: a tenth of a micrometre of the fork, a tenth of a
// millimetre a second at the tread. Past its peak a wheel is unstable, and motions
// that differ in the twelfth figure grow apart until the controller decides
// otherwise; rounded, they are one again at each tick.
var grain = state{
	travel: 0x1p-23, speed: 0x1p-17,
	heave: 0x1p-23, heaveRate: 0x1p-17,
	pitch: 0x1p-23, pitchRate: 0x1p-17,
	spinF: 0x1p-11, spinR: 0x1p-11,
	slipF: 0x1p-17, slipR: 0x1p-17,
	pressureF: 2, pressureR: 2,
	angleF: 0x1p-17, angleR: 0x1p-17,
}

// perGrain is how many grains are in one.
var perGrain = func() (n state) {
	for i := range n[:heat] {
		n[i] = 1 / grain[i]
	}
	return n
}()

// round rounds y to its grains, up or down as often as is right on average: where
// in a grain it turns is another place at each tick, and for each state, by
// multiples of the golden section and its cubic sister, which fill an interval
// evenly. To the nearest, a wheel that loses a grain and a half in every tick
// would lose two. A held disc still turns with the body then.
func (p *plant) round(y *state) {
	const golden, plastic = 0.6180339887498949, 0.7548776662466927
	at := golden * float64(p.ticks)
	for i := range y[:heat] {
		at += plastic
		y[i] = math.Floor(y[i]*perGrain[i]+(at-math.Floor(at))) * grain[i]
	}
	for i := range p.in {
		if p.in[i].stuck {
			y[spinF+i] = y[pitchRate]
		}
	}
}
