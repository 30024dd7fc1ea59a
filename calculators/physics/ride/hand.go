package ride

import (
	"math"

	"example.org/gripleaf/calculators/physics/extremum"
)

// Hand is how a human holds the lever about the demand: a few slow waves whose
// phases a seed draws, and a reaction to a front wheel that locks. The zero
// Hand is perfectly steady and holds on whatever happens.
type Hand struct {
	Waves    [5]Wave
	Reaction float64 // from a locked front wheel to letting go, s; 0 to hold on
}

// Wave is one swing of an unsteady hand over time, Share·sin(Rate·t + Phase), or
// of the grip over the way.
type Wave struct {
	Share float64 // of the demand, or of the grip
	Rate  float64 // rad/s, or rad/m
	Phase float64 // rad
}

// letGo is the time a hand takes to open after it has noticed, s, and relearn
// the share of its demand that it comes back to. Invented, demo.
const (
	letGo   = 0.1
	relearn = 0.9
)

// Unsteady returns a hand whose force has a spread (standard deviation over
// mean) about its aim, with swings of 0.4 to 3 Hz; the same seed gives the same
// hand. The slowest swing is half of a misjudged aim: a rider does not know how
// hard the road will hold.
func Unsteady(spread, reaction float64, seed uint64) Hand {
	h := Hand{Reaction: reaction}
	// Powers of the waves, slow ones most; a wave of share s has variance s²/2.
	power := [5]float64{0.46, 0.24, 0.14, 0.10, 0.06}
	rate := [5]float64{0.4, 0.9, 1.4, 2.1, 3}
	for i := range h.Waves {
		h.Waves[i] = Wave{
			Share: spread * math.Sqrt(2*power[i]),
			Rate:  2 * math.Pi * rate[i] * (0.85 + 0.3*draw(&seed)),
			Phase: 2 * math.Pi * draw(&seed),
		}
	}
	return h
}

// draw returns a number from 0 to 1 and moves the seed on (Steele, Lea and
// Flood's SplitMix, 2014).
func draw(seed *uint64) float64 {
	*seed += 0x9e3779b97f4a7c15
	z := *seed
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return float64((z^z>>31)>>11) / (1 << 53)
}

// grip is a hand at work on the levers.
type grip struct {
	hand   *Hand
	rise   float64
	share  float64 // of the demand it aims at
	since  float64 // when it began to squeeze, s
	noted  float64 // for how long the front has been locked, s
	opened float64 // when it began to let go, s; below 0 while it squeezes
	from   float64 // what it held when it began to let go
	held   float64 // over the demand, at the start of the tick
}

// squeeze returns the force at time t over the demand.
func (g *grip) squeeze(t float64) float64 {
	if g.opened >= 0 {
		return extremum.Max(0, g.from*(1-(t-g.opened)/letGo))
	}
	up := 1.0
	if x := t - g.since; x < g.rise {
		up = x / g.rise
	}
	swing := 1.0
	for i := range g.hand.Waves {
		if w := &g.hand.Waves[i]; w.Share != 0 {
			swing += w.Share * math.Sin(w.Rate*t+w.Phase)
		}
	}
	return extremum.Max(0, g.share*up*swing)
}

// notice lets a human feel the front wheel during the tick from t.
func (g *grip) notice(t, tick float64, locked bool) {
	if g.hand.Reaction == 0 {
		return
	}
	if g.opened >= 0 {
		if t-g.opened >= letGo && !locked {
			g.share *= relearn
			g.since, g.opened, g.noted, g.held = t, -1, 0, 0
		}
		return
	}
	if !locked {
		g.noted = 0
		return
	}
	if g.noted += tick; g.noted >= g.hand.Reaction {
		g.opened, g.from = t, g.squeeze(t)
	}
}
