package ride

// The integration: Runge-Kutta steps, cut short at the instants where the
// equations change: a disc that comes to rest in its caliper, a held disc that
// breaks loose, a tyre that reaches or leaves the patch or the ground, a
// suspension that reaches the end of its stroke. Cutting there keeps the order
// of the method.

import (
	"math"

	"example.org/gripleaf/calculators/physics/extremum"
	"example.org/gripleaf/calculators/physics/tyre"
)

// advance moves y from t by a whole span, in steps of at most step.
func (p *plant) advance(t, span, step float64, road *road, y *state) {
	const least = 1e-12
	end := t + span
	for n := 0; end-t > least; n++ {
		p.ready(t, step, y)
		h := extremum.Min(extremum.Min(step, end-t), extremum.Min(p.line[front].Lasts(), p.line[rear].Lasts()))
		if n > 1000 { // events without end: take what is left in one go
			h = end - t
		}
		before := *y
		p.step(h, y)
		share, first := p.cut(h, &before, y, road)
		if share < 1 && n <= 1000 {
			h = p.shorten(h, max(least, h*share), first, &before, y, road)
		} else {
			first.what = nothing
		}
		p.note(h, y)
		p.settle(&before, y, road, first)
		t += h
	}
}

// ready works out what a step starts from. The end of the last step has the
// rates already, unless something began or ceased to rub.
func (p *plant) ready(t, step float64, y *state) {
	const rest = 1e-9 // rad/s
	for i := range p.in {
		in := &p.in[i]
		w := y[spinF+i] - y[pitchRate]
		if backward := w < 0; !in.stuck && math.Abs(w) > rest && backward != in.backward {
			in.backward, p.fresh = backward, false
		}
		p.line[i].Begin(&p.end[i].modulator, in.valve, step, in.share, p.end[i].uptake, in.master+in.slope*(t-p.tick), in.slope, y[pressureF+i])
	}
	if p.fresh {
		p.k[0] = p.ahead
	} else {
		p.derive(y, &p.k[0])
	}
	if p.freeAll() {
		p.derive(y, &p.k[0])
	}
	p.in[front].was, p.in[rear].was = p.out[front], p.out[rear]
}

// freeAll frees the discs that their calipers cannot hold, and reports whether
// there were any.
func (p *plant) freeAll() (any bool) {
	for i := range p.in {
		if p.in[i].stuck && p.out[i].reserve < 0 {
			p.free(i)
			any = true
		}
	}
	return any
}

// free breaks a held disc loose, to the side to which the tyre turns it.
func (p *plant) free(i int) { p.in[i].stuck, p.in[i].backward = false, p.out[i].torque < 0 }

// shorten takes the step from before again, to the instant of an event that a
// first look puts at h of a whole step: where the rates jump or have a corner,
// an end that is late or early by a little would cost the method its order. The
// instant is found by false position, where the end that stays counts for half.
func (p *plant) shorten(whole, h float64, e event, before, y *state, r *road) float64 {
	low, high := 0.0, whole
	atLow, atHigh := p.start(e, before, r), p.value(e, y, r)
	enough := 1e-10 * (math.Abs(atLow) + math.Abs(atHigh))
	for n := 0; ; n++ {
		*y = *before
		p.step(h, y)
		off := p.value(e, y, r)
		if !e.sharp() || math.Abs(off) < enough || n == 12 {
			return h
		}
		if (off > 0) == (atHigh > 0) {
			high, atHigh, atLow = h, off, atLow/2
		} else {
			low, atLow, atHigh = h, off, atHigh/2
		}
		h = low + (high-low)*atLow/(atLow-atHigh)
	}
}

// note counts the time for which a wheel is locked above walking pace and the
// rear in the air.
func (p *plant) note(h float64, y *state) {
	for i := range p.in {
		if p.in[i].stuck && y[speed] > walking {
			p.locked[i] += h
		}
	}
	if p.out[rear].lift > 0 {
		p.aloft += h
		p.height = extremum.Max(p.height, p.out[rear].lift)
	}
}

// road is where the patch lies, in travel of the front tyre. The rear tyre comes
// a wheelbase later.
type road struct {
	start, stop, wheelbase float64
	next                   [2]float64 // edge that each tyre is crossing
}

func (r *road) at(i int, y *state) float64 { return y[travel] - float64(i)*r.wheelbase }

// newRoad returns the road of a stop.
func newRoad(s *Setup) road {
	r := road{start: math.Inf(1), stop: math.Inf(1), wheelbase: s.Bike.Wheelbase}
	if s.Patch != nil && s.PatchLength > 0 {
		r.start, r.stop = s.PatchStart, s.PatchStart+s.PatchLength
	}
	return r
}

// best returns the better of what the two tyres stand on with the front tyre at x.
func (r *road) best(x float64, ground, patch surface) surface {
	on := func(x float64) surface {
		if x >= r.start && x < r.stop {
			return patch
		}
		return ground
	}
	front, rear := on(x), on(x-r.wheelbase)
	if rear.peak > front.peak {
		return rear
	}
	return front
}

// edge returns how far a tyre still is from the next change of surface.
func (r *road) edge(i int, y *state) float64 {
	const reach = 1e-7
	switch at := r.at(i, y) + reach; {
	case at < r.start:
		return r.start - at + reach
	case at < r.stop:
		return r.stop - at + reach
	}
	return math.Inf(1)
}

// surface is ground with its peak worked out.
type surface struct {
	tyre.Surface
	peak float64
}

func newSurface(s *tyre.Surface) surface {
	_, peak := s.Peak()
	return surface{*s, peak}
}

// under returns which surface a tyre stands on, 0 the ground and 1 the patch.
func (r *road) under(i int, y *state) int {
	const reach = 1e-7 // past the edge, m: no step ends short of it for ever
	if at := r.at(i, y) + reach; at >= r.start && at < r.stop {
		return 1
	}
	return 0
}

// event is what changes the equations at one end of the bike.
type event struct {
	what occasion
	end  int
}

type occasion uint8

const (
	nothing occasion = iota
	arrives          // a tyre, at an edge of the patch
	locks            // a disc comes to rest in its caliper
	frees            // a held disc breaks loose
	leaves           // a load comes or goes
	slips            // a slip changes sign
	slides           // a tread begins to run faster or slower than the road
	bumps            // a suspension meets the rubber at the end of its stroke
	tops             // or its top-out spring
)

// sharp reports whether the rates jump or have a corner there.
func (e event) sharp() bool { return e.what <= leaves }

// value returns what passes nothing at an event, after a step to y.
func (p *plant) value(e event, y *state, r *road) float64 {
	switch e.what {
	case arrives:
		return r.at(e.end, y) - r.next[e.end]
	case locks:
		return y[spinF+e.end] - y[pitchRate]
	}
	return p.out[e.end].passes(e.what, &p.end[e.end])
}

// start returns the same before the step.
func (p *plant) start(e event, y *state, r *road) float64 {
	if e.what <= locks {
		return p.value(e, y, r)
	}
	return p.in[e.end].was.passes(e.what, &p.end[e.end])
}

// passes returns what passes nothing at an event that shows in the contact.
func (c *contact) passes(what occasion, e *end) float64 {
	switch what {
	case frees:
		return c.reserve
	case leaves:
		return c.slack
	case slips:
		return c.slip
	case slides:
		return c.sliding
	case bumps:
		return c.compression - e.rubber
	}
	return c.compression
}

// cut returns the share of the step by h from a to b after which the first event
// falls, and which it is; 1 if there is none.
func (p *plant) cut(h float64, a, b *state, r *road) (share float64, first event) {
	share = 1
	for i := range p.in {
		stuck := p.in[i].stuck
		was, is, e := &p.in[i].was, &p.out[i], &p.end[i]
		note := func(what occasion, at float64) {
			if at < share {
				share, first = at, event{what, i}
			}
		}
		if d, moved := r.edge(i, a), r.at(i, b)-r.at(i, a); moved > d {
			r.next[i] = r.at(i, a) + d
			note(arrives, d/moved)
		}
		if stuck {
			note(frees, crossing(was.reserve, is.reserve))
		} else {
			note(locks, crossing(a[spinF+i]-a[pitchRate], b[spinF+i]-b[pitchRate]))
		}
		note(leaves, crossing(was.slack, is.slack))
		note(slips, crossing(was.slip, is.slip))
		note(slides, crossing(was.sliding, is.sliding))
		note(bumps, crossing(was.compression-e.rubber, is.compression-e.rubber))
		note(tops, crossing(was.compression, is.compression))
	}
	return share, first
}

// crossing returns where between a and b a straight line crosses nothing, 1 if
// it does not or if one of them is as good as nothing already.
func crossing(a, b float64) float64 {
	if a*b >= 0 || math.Abs(b) < 1e-9 || math.Abs(a) < 1e-9 {
		return 1
	}
	return a / (a - b)
}

// settle changes the equations for what the step from a to b came to, which
// ended at an event or nothing.
func (p *plant) settle(a, b *state, r *road, e event) {
	const still = 1e-3 // rad/s
	for i := range p.in {
		in := &p.in[i]
		under, stuck := in.under, in.stuck
		in.under = r.under(i, b)
		was, is := a[spinF+i]-a[pitchRate], b[spinF+i]-b[pitchRate]
		switch {
		case in.stuck:
			if e == (event{frees, i}) {
				p.free(i)
			}
		case (e == event{locks, i} || was*is < 0 && math.Abs(is) < still) && b[pressureF+i] > 0:
			in.stuck = true
			b[spinF+i] = b[pitchRate]
		}
		if in.under != under {
			b[heapF+i] = 0 // what it ploughed stays behind
		}
		if in.under != under || in.stuck != stuck {
			p.fresh = false
		}
	}
}
