package lever

import (
	"math"

	"example.org/gripleaf/calculators/kit"
)

const (
	clearance  = 0.1e-3  // of each pad from the disc, m: invented
	filling    = 20e-6   // of the whole brake with fluid, m³: invented
	room       = 0.07    // travel of the lever in m until it meets the grip: invented
	atmosphere = 1.013e5 // Pa
)

// lever is how far the fingers move: to bring the pads to the disc, and to squeeze what can be squeezed.
type lever struct {
	perVolume float64 // travel of the fingers in m for each m³ that leaves the master cylinder
	pads      float64 // m³ that bring the pads to the disc
	bubbles   float64 // m³ of gas in the line while nobody pulls
}

func stroke(w *kit.Work) lever {
	area := func(diameter string) float64 { return math.Pi / 4 * w.Number(diameter) * w.Number(diameter) }
	return lever{
		perVolume: w.Number("lever-ratio") / area("master-diameter"),
		pads:      2 * w.Number("discs") * w.Number("pistons") * area("piston-diameter") * clearance,
		bubbles:   w.Number("bubbles") * filling,
	}
}

// travel is that of the fingers in m at a pressure in Pa. Gas gives way by p/(p + p0) of its volume.
func (l *lever) travel(pressure float64) float64 {
	if pressure <= 0 {
		return 0
	}
	return min(room, l.perVolume*(l.pads+l.bubbles*pressure/(pressure+atmosphere)))
}

// most is the pressure in Pa at which the lever meets the grip. Without enough to squeeze it never does.
func (l *lever) most() float64 {
	left := room/l.perVolume - l.pads
	switch {
	case left <= 0:
		return 0
	case left >= l.bubbles:
		return math.Inf(1)
	}
	return atmosphere * left / (l.bubbles - left)
}
