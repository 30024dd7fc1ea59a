package ride

import (
	"errors"
	"math"
	"strconv"

	"example.org/gripleaf/calculators/physics/bike"
	"example.org/gripleaf/calculators/physics/tyre"
)

// A RangeError says which input is out of range, in SI units.
type RangeError struct {
	Input     string
	Value     float64
	Low, High float64
}

func (e *RangeError) Error() string {
	num := func(x float64) string { return strconv.FormatFloat(x, 'g', 6, 64) }
	return e.Input + " is " + num(e.Value) + ", must be from " + num(e.Low) + " to " + num(e.High)
}

// Stops that never end, or that the road does not allow.
var (
	ErrNoStop = errors.New("the bike does not stop: what slows it is less than what drives it, or too little to stop it in five minutes")
	ErrLean   = errors.New("the corner alone asks for more grip than the surface has")
	ErrTrace  = errors.New("a trace needs an interval above 0")
	ErrUnfit  = errors.New("the figures of this bike lead to motion that cannot be followed")
)

// ranges collects the first input out of range; NaN is out of every range.
type ranges struct {
	err error
	of  string // part of the bike, before the names of its figures
}

func (r *ranges) in(input string, value, low, high float64) {
	if r.err == nil && !(value >= low && value <= high) {
		r.err = &RangeError{r.of + input, value, low, high}
	}
}

// Check returns what is wrong with a setup, nil if nothing is.
func (s *Setup) Check() error {
	var r ranges
	r.in("speed", s.Speed, 1, 120)
	r.in("grade", s.Grade, -0.5, 0.5)
	r.in("lean", s.Lean, -1.1, 1.1)
	r.in("rise", s.Rise, 0, 10)
	r.in("demand", s.Demand, 0, 20)
	r.in("obstacle", s.Obstacle, 0, 10000)
	if s.FrontTold != 0 {
		r.in("front radius as told", s.FrontTold, 0.1, 0.6)
	}
	r.in("step", s.Step, 0, 0.004)
	r.in("channels", float64(s.Channels), 0, float64(Both))
	if s.Channels != None {
		r.in("cycle-rate", s.CycleRate, 1, 200)
	}
	r.hand(&s.Hand)
	r.bike(&s.Bike)
	r.surface("", &s.Surface)
	if s.Patch != nil {
		r.in("patch-start", s.PatchStart, 0, 10000)
		r.in("patch-length", s.PatchLength, 0, 10000)
		r.surface("patch ", s.Patch)
	}
	if r.err != nil {
		return r.err
	}
	if _, peak := s.Surface.Peak(); math.Abs(math.Tan(s.Lean)) >= 0.999*peak {
		return ErrLean
	}
	return nil
}

func (r *ranges) hand(h *Hand) {
	r.in("hand reaction", h.Reaction, 0, 10)
	for i := range h.Waves {
		r.in("hand swing", h.Waves[i].Share, -2, 2)
		r.in("hand swing rate", h.Waves[i].Rate, -100, 100)
		r.in("hand swing phase", h.Waves[i].Phase, -100, 100)
	}
}

func (r *ranges) bike(b *bike.Bike) {
	r.in("mass", b.Mass, 50, 2000)
	r.in("wheelbase", b.Wheelbase, 0.5, 4)
	r.in("cg-height", b.CGHeight, 0.2, 2)
	r.in("front-share", b.FrontShare, 0.1, 0.9)
	r.in("radius of gyration", b.Gyration, 0.15, 2)
	r.in("drag area", b.DragArea, 0, 5)
	r.end("front ", &b.Front, b.Mass*b.FrontShare)
	r.end("rear ", &b.Rear, b.Mass*(1-b.FrontShare))
}

func (r *ranges) end(of string, e *bike.End, mass float64) {
	r.of = of
	r.in("wheel radius", e.Radius, 0.1, 0.6)
	r.in("wheel inertia", e.Inertia, 0.02, 10)
	r.in("unsprung mass", e.Unsprung, 1, 0.6*mass)
	r.in("relaxation length", e.Relaxation, 0.05, 1)
	r.in("sensor teeth", e.Teeth, 4, 200)
	r.in("spring rate", e.Suspension.Rate, 1000, 5e5)
	r.in("spring preload", e.Suspension.Preload, 0, 5000)
	r.in("travel", e.Suspension.Travel, 0.02, 0.5)
	r.in("compression damping", e.Suspension.Compression, 0, 20000)
	r.in("rebound damping", e.Suspension.Rebound, 0, 20000)
	r.in("brake gain", e.Brake.Gain(), 1e-6, 1e-2)
	r.in("fluid uptake", e.Brake.Uptake, 1e-14, 1e-11)
	r.of = ""
}

func (r *ranges) surface(of string, s *tyre.Surface) {
	r.of = of
	_, peak := s.Peak()
	r.in("grip", peak, 0.02, 3)
	r.in("coefficient c1", s.C1, 0, 5)
	r.in("coefficient c2", s.C2, 0, 2000)
	r.in("coefficient c3", s.C3, 0, 5)
	r.in("wedge", s.Wedge, 0, 3)
	r.in("rolling resistance", s.Rolling, 0, 0.5)
	r.in("grip when locked", s.Locked(), 0.001, 3)
	r.of = ""
}
