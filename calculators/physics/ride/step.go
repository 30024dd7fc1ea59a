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
		p.step(t, h, y)
		if cut := p.cut(&before, y, road); cut < 1 && n <= 1000 {
			h = math.Max(least, h*cut)
			*y = before
			p.step(t, h, y)
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

// step is one Runge-Kutta step of length h.
func (p *plant) step(t, h float64, y *state) {
	var k1, k2, k3, k4, at state
	p.derive(t, y, &k1)
	p.in[front].reserve, p.in[rear].reserve = p.out[front].reserve, p.out[rear].reserve
	for i := range moving {
		at[i] = y[i] + 0.5*h*k1[i]
	}
	p.derive(t+0.5*h, &at, &k2)
	for i := range moving {
		at[i] = y[i] + 0.5*h*k2[i]
	}
	p.derive(t+0.5*h, &at, &k3)
	for i := range moving {
		at[i] = y[i] + h*k3[i]
	}
	p.derive(t+h, &at, &k4)
	for i := range y {
		y[i] += h / 6 * (k1[i] + 2*(k2[i]+k3[i]) + k4[i])
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
// falls, 1 if none does.
func (p *plant) cut(a, b *state, r *road) float64 {
	share := 1.0
	for i := range p.in {
		if d := r.edge(i, a); r.at(i, b)-r.at(i, a) > d {
			share = math.Min(share, d/(r.at(i, b)-r.at(i, a)))
		}
		was, is := a[spinF+i]-a[pitchRate], b[spinF+i]-b[pitchRate]
		if !p.in[i].stuck && was > 0 && is < 0 {
			share = math.Min(share, was/(was-is))
		}
		if w, n := p.in[i].reserve, p.out[i].reserve; p.in[i].stuck && w > 0 && n < 0 {
			share = math.Min(share, w/(w-n))
		}
	}
	return share
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
