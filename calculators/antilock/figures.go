package antilock

import (
	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/physics/hydraulics"
	"example.org/gripleaf/calculators/physics/ride"
	"example.org/gripleaf/calculators/preset"
	"example.org/gripleaf/calculators/quantity"
)

// spans are the times at which something held, from a recorded column.
func spans(times []float64, holds func(i int) bool) [][2]float64 {
	var list [][2]float64
	open := false
	for i, t := range times {
		switch on := holds(i); {
		case on && !open:
			list = append(list, [2]float64{t, t})
			open = true
		case on:
			list[len(list)-1][1] = t
		case open:
			list[len(list)-1][1] = t
			open = false
		}
	}
	return list
}

func scaled(values []float64, by float64) []float64 {
	out := make([]float64, len(values))
	for i, v := range values {
		out[i] = v * by
	}
	return out
}

// treads is the speed at which a wheel's tread passes. A wheel that rocks back as the bike stands is not shown.
func treads(spin []float64, radius float64) []float64 {
	out := scaled(spin, radius)
	for i := range out {
		out[i] = max(0, out[i])
	}
	return out
}

// walking is the speed below which slip says little: a hand's breadth of tread is then all of it.
const walking = 10 / 3.6

// speeds is the axis of both figures of speeds, with room for the handle at the speed that is ridden.
func speeds(d *Ridden) figure.Axis {
	return figure.Axis{Label: "Speed", Shown: preset.Speed, To: 1.1 * d.Setup.Speed}
}

func drawSpeeds(w *kit.Work, s figure.Style) figure.Scene {
	d, r := ridden(w), s.Reader
	t := d.Trace
	c := figure.Chart{
		Runs: "time",
		Alt: r.Say("The bike has stopped after {}. The front wheel was locked for {}, the rear wheel for {}; the controller released {} times.",
			r.Quantity(d.Result.BrakingTime, preset.Time), r.Quantity(d.Result.FrontLockedTime, preset.Time),
			r.Quantity(d.Result.RearLockedTime, preset.Time), r.Number(float64(d.Result.Cycles), preset.Whole)),
		X: figure.Axis{Label: "Time from the first touch", Shown: seconds},
		Y: speeds(d),
		Series: []figure.Series{
			{Role: "speed", Label: "bike", X: t.Time, Y: t.Speed, LabelAt: 0.45},
			{Role: "rear", Label: "rear wheel", X: t.Time, Y: treads(t.RearSpin, d.Setup.Bike.Rear.Radius), LabelAt: 0.75},
			{Role: "front", Label: "front wheel", X: t.Time, Y: treads(t.FrontSpin, d.Setup.Bike.Front.Radius), LabelAt: 0.25},
		},
	}
	if d.Setup.Channels != ride.None {
		c.Strips = append(c.Strips, valves("front", "front brake released", t.Time, t.FrontValve))
	}
	if d.Setup.Channels == ride.Both {
		c.Strips = append(c.Strips, valves("rear", "rear brake released", t.Time, t.RearValve))
	}
	c.Bands = patch(d, t.Time, t.Position)
	return c.Scene(s)
}

func valves(role, label string, times []float64, positions []hydraulics.Valve) figure.Strip {
	return figure.Strip{Role: role, Label: label, Spans: spans(times, func(i int) bool { return positions[i] == hydraulics.Dump })}
}

// patch is the band in which the front tyre was on the other surface; along says what the chart runs over.
func patch(d *Ridden, along, position []float64) []figure.Band {
	if d.Setup.Patch == nil {
		return nil
	}
	over := spans(along, func(i int) bool {
		at := position[i] - d.Setup.PatchStart
		return 0 <= at && at < d.Setup.PatchLength
	})
	if len(over) == 0 {
		return nil
	}
	return []figure.Band{{Role: "patch", Label: preset.SurfaceLabel(d.Setup.Patch.ID), From: over[0][0], To: over[len(over)-1][1]}}
}

// drawPath draws the first surface's curve and, over it, slip and use of grip of the front wheel from moment to moment
// while the bike is faster than a walk.
// The way leaves the curve because the tread takes time to follow the wheel.
func drawPath(w *kit.Work, s figure.Style) figure.Scene {
	d, r := ridden(w), s.Reader
	t, surface := d.Trace, &d.Setup.Surface
	slip, grip := surface.Peak()
	var x, y []float64
	for i := range 101 {
		// Twice as dense near nought, where firm curves rise steeply.
		k := float64(i) / 100
		k = float64(k*k)*0.5 + k*0.5
		x, y = append(x, k), append(y, surface.Grip(k))
	}
	var px, py []float64
	least := 0.05 * d.Setup.Bike.Mass * ride.Gravity
	for i := range t.Time {
		if t.Speed[i] > walking && t.FrontLoad[i] > least {
			px, py = append(px, min(1, max(0, t.FrontSlip[i]))), append(py, min(2.5, max(0, t.FrontForce[i]/t.FrontLoad[i])))
		}
	}
	share := quantity.Shown{Kind: quantity.Share, Metric: "%"}
	c := figure.Chart{
		Runs: "slip",
		Alt: r.Say("The surface grips best, {}, at {} of slip. The front wheel went up to {} of slip.",
			r.Quantity(grip, preset.Grip), r.Quantity(slip, share), r.Quantity(most(px), share)),
		X: figure.Axis{Label: "Slip", Shown: share},
		Y: figure.Axis{Label: "Grip", Shown: preset.Grip},
		Series: []figure.Series{
			{Role: "grip", Label: "what the surface gives", X: x, Y: y, LabelAt: 0.8},
			{Role: "path", Label: "the wheel's path", X: px, Y: py, LabelAt: 0.5},
		},
	}
	return c.Scene(s)
}

func most(values []float64) float64 {
	top := 0.0
	for _, v := range values {
		top = max(top, v)
	}
	return top
}

func drawPressure(w *kit.Work, s figure.Style) figure.Scene {
	d, r := ridden(w), s.Reader
	t := d.Trace
	time := figure.Axis{Label: "Time from the first touch", Shown: seconds}
	pressure := quantity.Shown{Kind: quantity.Pressure, Metric: "bar", Imperial: "psi"}
	top := figure.Chart{
		Runs: "time", X: time,
		Alt: r.Say("The hand asks for up to {} in front, the caliper gets up to {}. The lever pulses by {} of that.",
			r.Quantity(most(t.FrontMaster), preset.Pressure), r.Quantity(most(t.FrontPressure), preset.Pressure), r.Quantity(d.Result.LeverPulse, preset.FineShare)),
		Y: figure.Axis{Label: "Pressure in front", Shown: pressure},
		Series: []figure.Series{
			{Role: "hand", Label: "hand", X: t.Time, Y: t.FrontMaster, Dashed: true, LabelAt: 0.9},
			{Role: "front", Label: "caliper", X: t.Time, Y: t.FrontPressure, LabelAt: 0.9},
		},
	}
	if d.Setup.Channels == ride.None {
		return top.Scene(s)
	}
	asked := max(most(t.FrontMaster), 1)
	below := figure.Chart{X: time, Y: figure.Axis{Label: "Pulse at the lever", Shown: preset.Share},
		Series: []figure.Series{{Role: "lever", X: t.Time, Y: scaled(t.Lever, 1/asked)}}}
	return figure.Stack(s, &top, &below)
}

func drawLoads(w *kit.Work, s figure.Style) figure.Scene {
	d, r := ridden(w), s.Reader
	t := d.Trace
	time := figure.Axis{Label: "Time from the first touch", Shown: seconds}
	top := figure.Chart{
		Runs: "time", X: time,
		Alt: r.Say("The front tyre carries up to {}. The rear wheel was in the air for {}, at most {} high.",
			r.Quantity(d.Result.PeakFrontLoad, preset.Force), r.Quantity(d.Result.LiftTime, preset.Time), r.Quantity(d.Result.LiftHeight, preset.Part)),
		Y: figure.Axis{Label: "Load", Shown: preset.Force},
		Series: []figure.Series{
			{Role: "front", Label: "front tyre", X: t.Time, Y: t.FrontLoad, LabelAt: 0.5},
			{Role: "rear", Label: "rear tyre", X: t.Time, Y: t.RearLoad, LabelAt: 0.5},
		},
	}
	below := figure.Chart{X: time, Y: figure.Axis{Label: "Pitch, nose down", Shown: preset.Angle},
		Series: []figure.Series{{Role: "pitch", X: t.Time, Y: t.Pitch}}}
	air := spans(t.Time, func(i int) bool { return t.Lift[i] > 1e-4 })
	below.Strips = []figure.Strip{{Role: "lift", Label: "rear wheel in the air", Spans: air}}
	if len(air) > 0 {
		top.Guides = append(top.Guides, figure.Guide{Role: "lift", Label: "rear wheel lifts", At: air[0][0]})
	}
	return figure.Stack(s, &top, &below)
}

func drawRoad(w *kit.Work, s figure.Style) figure.Scene {
	d, r := ridden(w), s.Reader
	t := d.Trace
	end := d.Result.StoppingDistance
	c := figure.Chart{
		Runs: "distance",
		Alt: r.Say("The speed falls from {} to zero at {}; a perfect stop would end at {}.", r.Quantity(d.Setup.Speed, preset.Speed),
			r.Quantity(end, preset.Distance), r.Quantity(d.Result.IdealDistance, preset.Distance)),
		X:      figure.Axis{Label: "Distance from the first touch", Tells: "stopping-distance", Shown: preset.Road},
		Y:      speeds(d),
		Series: []figure.Series{{Role: "speed", X: t.Position, Y: t.Speed}},
		Spots: []figure.Spot{
			{Role: "now", Y: d.Setup.Speed, Input: "speed", Upright: true},
			{Role: "now", Label: r.Quantity(end, preset.Distance), X: end},
			{Role: "limit", Label: r.Say("perfect") + " " + r.Quantity(d.Result.IdealDistance, preset.Distance), X: d.Result.IdealDistance},
		},
		Bands: patch(d, t.Position, t.Position),
	}
	if d.Spread != nil {
		of := results["stopping-distance"]
		c.Bands = append(c.Bands, figure.Band{Role: "range", Label: "nine of ten stop here", From: d.Spread.Quantile(0.05, of), To: d.Spread.Quantile(0.95, of)})
	}
	return c.Scene(s)
}
