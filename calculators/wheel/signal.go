package wheel

import (
	"math"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/quantity"
)

// How strong a signal is, as a multiple of what it takes to count a tooth. All of it is invented, but for the shape:
// the field of a toothed ring dies away with the gap by exp(-2π·gap/pitch), and a coil's voltage grows with the rate of
// the teeth, while a chip measures the field itself.
const (
	ringRadius = 0.05  // m
	usualGap   = 0.001 // m, at which the strengths below hold
	coilRate   = 30    // Hz at which a coil's signal is just enough
	chipSignal = 4
	dirtLeaves = 0.1 // of a tooth's signal
)

// ring is what passes the sensor.
type ring struct {
	teeth, dirty        int
	rate                float64 // teeth a second
	strength            float64 // at the usual gap
	gap, runout, perGap float64 // m, m, 1/m
	counted, worst      int     // teeth that count; the longest run of those that do not
}

func passing(w *kit.Work) *ring {
	g := &ring{teeth: int(w.Number("teeth")), dirty: int(w.Number("dirt")), rate: w.Output("pulse-rate"),
		gap: w.Number("air-gap"), runout: w.Number("runout"), strength: chipSignal}
	g.perGap = float64(g.teeth) / ringRadius // 2π over the pitch
	if w.Word("sensor") == "coil" {
		g.strength = g.rate / coilRate
	}
	g.dirty = min(g.dirty, g.teeth)
	g.count()
	return g
}

// signal is how strong a tooth is; its number need not be whole, and the ring sways once a turn.
func (g *ring) signal(tooth float64) float64 {
	gap := max(0, g.gap+g.runout*math.Sin(2*math.Pi*tooth/float64(g.teeth)))
	s := g.strength * (1 + math.Expm1(-g.perGap*(gap-usualGap)))
	if g.covered(tooth) {
		s *= dirtLeaves
	}
	return s
}

// covered reports whether dirt fills the gaps about a tooth: about that one which the sway carries farthest away.
func (g *ring) covered(tooth float64) bool {
	first := g.farthest() - g.dirty/2
	at := (int(math.Round(tooth)) - first) % g.teeth
	if at < 0 {
		at += g.teeth
	}
	return at < g.dirty
}

func (g *ring) farthest() int { return g.teeth / 4 }

// count goes round twice, so that a run over the ring's beginning is seen whole.
func (g *ring) count() {
	run := 0
	for i := range 2 * g.teeth {
		if g.signal(float64(i)) < 1 {
			run++
			g.worst = max(g.worst, min(run, g.teeth))
			continue
		}
		run = 0
		if i < g.teeth {
			g.counted++
		}
	}
}

// weakest is the least signal of a turn.
func (g *ring) weakest() float64 {
	least := math.Inf(1)
	for i := range g.teeth {
		least = min(least, g.signal(float64(i)))
	}
	return least
}

func (g *ring) work(w *kit.Work) {
	w.Put("weakest-signal", g.weakest())
	w.Put("teeth-counted", float64(g.counted))
	if g.counted > 0 {
		w.Put("worst-reading", 1/float64(g.worst+1)-1)
	} else {
		w.Put("worst-reading", -1)
	}
	if w.Word("sensor") == "coil" {
		w.Put("silent-below", w.Number("speed")/(g.strength*(1+math.Expm1(-g.perGap*(g.gap-usualGap)))))
	} else {
		w.Void("silent-below")
	}
}

var (
	blink     = quantity.Shown{Kind: quantity.Time, Metric: "ms"}
	multiples = quantity.Shown{Kind: quantity.Number, MetricDecimals: 1}
	tenths    = quantity.Shown{Kind: quantity.Length, Metric: "mm", Imperial: "in", MetricDecimals: 1, ImperialDecimals: 3}
)

// drawSignal shows up to two dozen teeth, about those with the weakest signal: the signal, and below it what is
// counted.
func drawSignal(w *kit.Work, s figure.Style) figure.Scene {
	g, r := w.Data.(*ring), s.Reader
	const perTooth = 12
	shown := min(g.teeth, 24)
	first := float64(g.farthest()) - float64(shown)/2
	x, y := make([]float64, shown*perTooth+1), make([]float64, shown*perTooth+1)
	for i := range x {
		tooth := float64(i) / perTooth
		x[i] = tooth / g.rate
		y[i] = g.signal(first+tooth-0.25) * math.Sin(2*math.Pi*tooth)
	}
	var counted [][2]float64
	for i := range shown {
		if g.signal(math.Round(first)+float64(i)) >= 1 {
			counted = append(counted, [2]float64{float64(i) / g.rate, (float64(i) + 0.5) / g.rate})
		}
	}
	c := figure.Chart{
		Runs:   "time",
		Alt:    r.Say("In each turn {} teeth are counted.", w.Tell("teeth-counted", r)),
		X:      figure.Axis{Label: "Time", Shown: blink},
		Y:      figure.Axis{Label: "Signal, 1 counts a tooth", Shown: multiples},
		Series: []figure.Series{{Role: "speed", X: x, Y: y}},
		Guides: []figure.Guide{{Role: "limit", Label: "counts from here", At: 1, Level: true}},
		Strips: []figure.Strip{{Role: "front", Label: "teeth counted", Spans: counted}},
	}
	return c.Scene(s)
}
