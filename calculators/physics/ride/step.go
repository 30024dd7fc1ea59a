package ride

// The integration: the classical Runge-Kutta step of fourth order, cut short
// at the instants where the equations change: a disc that comes to rest in its
// caliper, a held disc that breaks loose, a tyre that reaches or leaves the
// patch. Cutting there keeps the order of the method, and with it runs whose
// controller decides the same at half the step.

import (
	"math"

	"example.org/gripleaf/calculators/physics/tyre"
)

// advance moves y from t by a whole span, in steps of at most step.
func (p *plant) advance(t, span, step float64, road *road, y *state) {
	const least = 1e-9
	end := t + span
	for n := 0; end-t > least; n++ {
		h := math.Min(step, end-t)
		if n > 1000 { // events without end: take what is left in one go
			h = end - t
		}
		before := *y
		for i := range p.in {
			p.in[i].backward = y[spinF+i] < y[pitchRate]
		}
		p.step(p.method, t, h, y)
		if cut := p.cut(&before, y, road); cut < 1 && n <= 1000 {
			h = math.Max(least, h*cut)
			*y = before
			p.step(p.method, t, h, y)
		}
		p.note(h, y)
		p.settle(&before, y, road)
		t += h
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
		p.height = max(p.height, p.out[rear].lift)
	}
}

// road is where the patch lies, in travel of the front tyre. The rear tyre comes
// a wheelbase later.
type road struct {
	ground, patch          surface
	start, stop, wheelbase float64
}

func (r *road) at(i int, y *state) float64 { return y[travel] - float64(i)*r.wheelbase }

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

// cut returns the share of the step from a to b after which the first event
// falls, 1 if none does: a tyre meets an edge of the patch, a disc comes to rest
// or breaks loose, a slip changes sign, a load comes or goes.
func (p *plant) cut(a, b *state, r *road) float64 {
	share := 1.0
	for i := range p.in {
		if d, moved := r.edge(i, a), r.at(i, b)-r.at(i, a); moved > d {
			share = min(share, d/moved)
		}
		was, is := &p.in[i].was, &p.out[i]
		if p.in[i].stuck {
			share = min(share, crossing(was.reserve, is.reserve))
		} else if w := a[spinF+i] - a[pitchRate]; w > 0 {
			share = min(share, crossing(w, b[spinF+i]-b[pitchRate]))
		}
		share = min(share, crossing(was.slip, is.slip), crossing(was.sliding, is.sliding), crossing(was.slack, is.slack))
	}
	return share
}

// crossing returns where between a and b a straight line crosses nothing, 1 if
// it does not or if one of them is as good as nothing already.
func crossing(a, b float64) float64 {
	if a*b >= 0 || math.Abs(b) < 1e-9 || math.Abs(a) < 1e-9 {
		return 1
	}
	return a / (a - b)
}

// settle changes the equations for what the step from a to b came to.
func (p *plant) settle(a, b *state, r *road) {
	const still = 1e-3 // rad/s
	for i := range p.in {
		in := &p.in[i]
		in.under = r.under(i, b)
		was, is := a[spinF+i]-a[pitchRate], b[spinF+i]-b[pitchRate]
		switch {
		case in.stuck:
			in.stuck = p.out[i].reserve > -still
		case was > 0 && is < still && is < was && b[pressureF+i] > 0:
			in.stuck = true
			b[spinF+i] = b[pitchRate]
		}
	}
}
