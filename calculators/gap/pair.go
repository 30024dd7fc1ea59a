package gap

import "math"

// vehicle rides at a speed until it brakes, then slows at one deceleration and stands.
type vehicle struct{ speed, brakes, deceleration float64 }

// stops is the time at which it stands.
func (v vehicle) stops() float64 { return v.brakes + v.speed/v.deceleration }

// at is its way since time nought, and speedAt its speed.
func (v vehicle) at(t float64) float64 {
	braked := min(max(0, t-v.brakes), v.speed/v.deceleration)
	return v.speed*(min(t, v.brakes)+braked) - v.deceleration*braked*braked/2
}

func (v vehicle) speedAt(t float64) float64 {
	return max(0, v.speed-v.deceleration*max(0, t-v.brakes))
}

// slows is its deceleration just after a time.
func (v vehicle) slows(t float64) float64 {
	if v.brakes <= t && t < v.stops() {
		return v.deceleration
	}
	return 0
}

// pair is one vehicle behind another, with the gap between them at time nought in metres.
type pair struct {
	own, lead vehicle
	gap       float64
}

// piece is a span of time in which both move with constant accelerations, so that what the one behind has made up
// is a + b·t + c·t²/2 from its start.
type piece struct{ start, length, a, b, c float64 }

// changes are the times at which either changes its acceleration, in order. Only the lead's stop can lie anywhere.
func (p pair) changes() [4]float64 {
	brakes, stops, lead := p.own.brakes, p.own.stops(), p.lead.stops()
	return [4]float64{0, min(brakes, lead), max(brakes, min(stops, lead)), max(stops, lead)}
}

func (p pair) pieces() []piece {
	times := p.changes()
	var pieces []piece
	for i, t := range times[1:] {
		from := times[i]
		if t > from {
			pieces = append(pieces, piece{from, t - from,
				p.own.at(from) - p.lead.at(from), p.own.speedAt(from) - p.lead.speedAt(from), p.lead.slows(from) - p.own.slows(from)})
		}
	}
	return pieces
}

// nearest is when the one behind has made up most, and how much that is: the gap that would be just enough.
func (p pair) nearest() (at, most float64) {
	try := func(t float64) {
		if made := p.own.at(t) - p.lead.at(t); made > most {
			at, most = t, made
		}
	}
	for _, q := range p.pieces() {
		if crest := -q.b / q.c; q.c < 0 && 0 < crest && crest < q.length {
			try(q.start + crest)
		}
		try(q.start + q.length)
	}
	return at, most
}

// meeting is the first time at which the gap is gone.
func (p pair) meeting() (float64, bool) {
	if _, most := p.nearest(); most < p.gap {
		return 0, false
	}
	for _, q := range p.pieces() {
		left := p.gap - q.a
		root := q.b*q.b + 2*q.c*left
		if root < 0 {
			continue
		}
		// The first root of left = b·t + c·t²/2, in the form that stays exact when c is small.
		if t := 2 * left / (q.b + math.Sqrt(root)); t >= 0 && t <= q.length {
			return q.start + t, true
		}
	}
	at, _ := p.nearest() // the touch at the crest, missed by a rounding
	return at, true
}
