// Package replay shows a stop from the side, to scale: the bike on its road at any moment of a ride, wheels turned
// as far as they were, fork dived, rear wheel lifted as the simulation had it.
//
// It draws marks with roles, as every figure does; a film is one scene after another.
package replay

import (
	"math"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/physics/ride"
	"example.org/gripleaf/calculators/quantity"
)

// Replay is a recorded ride. Trace must hold the run of Setup.
type Replay struct {
	Setup    *ride.Setup
	Trace    *ride.Trace
	Reaction float64 // until the lever is touched, s
	Obstacle float64 // where one stands on the road, m; 0 for none
}

// Pose is what is to be seen at one moment; angles in rad, lengths in m.
type Pose struct {
	Time, Position, Speed float64 // s, m of the front tyre from the first touch of the lever, m/s
	FrontAngle, RearAngle float64 // that the wheels have turned
	Pitch, Heave          float64 // against the start: nose down, up
	Lift                  float64 // of the rear tyre above the ground
	Slip                  float64 // of the front wheel
	Locked                [2]bool // front, rear wheel
	Working               bool    // the controller releases or holds a brake
}

// lockedSlip is the slip from which a wheel is shown as locked, and crawl the speed below which none is.
const (
	lockedSlip = 0.95
	crawl      = 0.5 // m/s
)

// Duration is how long the recorded ride takes, s. One that comes to an obstacle ends there.
func (r *Replay) Duration() float64 {
	n := len(r.Trace.Time)
	if n == 0 {
		return 0
	}
	if r.Obstacle > 0 {
		for i, at := range r.Trace.Position {
			if at > r.Obstacle && i > 0 {
				before := r.Trace.Position[i-1]
				return r.Trace.Time[i-1] + (r.Trace.Time[i]-r.Trace.Time[i-1])*(r.Obstacle-before)/(at-before)
			}
		}
	}
	return r.Trace.Time[n-1]
}

// lever is where the brakes are first asked for, and whole where they will have stopped the bike, m.
func (r *Replay) lever() float64 { return r.At(r.Reaction).Position }
func (r *Replay) whole() float64 { return r.At(math.Inf(1)).Position }

// Position is how far along the road the front tyre is at a time, m.
func (r *Replay) Position(t float64) float64 { return r.At(t).Position }

// At gives the pose at a time, s; before the start it is the first, after the end the last. Between two recorded
// moments it lies on the straight line, save what is on or off.
func (r *Replay) At(t float64) Pose {
	tr := r.Trace
	if len(tr.Time) == 0 {
		return Pose{}
	}
	i, share := r.place(t)
	between := func(column []float64) float64 {
		if i+1 >= len(column) {
			return column[len(column)-1]
		}
		return column[i] + float64(share*(column[i+1]-column[i]))
	}
	p := Pose{
		Time: between(tr.Time), Position: between(tr.Position), Speed: between(tr.Speed),
		FrontAngle: between(tr.FrontAngle), RearAngle: between(tr.RearAngle),
		Pitch: between(tr.Pitch) - tr.Pitch[0], Heave: between(tr.Heave) - tr.Heave[0],
		Lift:    max(0, between(tr.Lift)),
		Slip:    between(tr.FrontSlip),
		Working: tr.FrontValve[i] != 0 || tr.RearValve[i] != 0,
	}
	p.Locked[0] = p.Speed > crawl && tr.FrontSlip[i] >= lockedSlip
	p.Locked[1] = p.Speed > crawl && tr.RearSlip[i] >= lockedSlip
	return p
}

// place finds the recorded moment at or before t, and how far t is on the way to the next.
func (r *Replay) place(t float64) (i int, share float64) {
	times := r.Trace.Time
	low, high := 0, len(times)-1
	for low < high {
		middle := (low + high + 1) / 2
		if times[middle] <= t {
			low = middle
		} else {
			high = middle - 1
		}
	}
	if low+1 < len(times) && t > times[low] {
		share = (t - times[low]) / (times[low+1] - times[low])
	}
	return low, share
}

// skid is a stretch of road on which a wheel was locked, m along the road.
type skid struct{ from, to float64 }

// skids lists them for the front (0) or the rear wheel (1), up to a time.
func (r *Replay) skids(wheel int, until float64) []skid {
	slip, back := r.Trace.FrontSlip, 0.0
	if wheel == 1 {
		slip, back = r.Trace.RearSlip, r.Setup.Bike.Wheelbase
	}
	var list []skid
	open := false
	for i, t := range r.Trace.Time {
		locked := t <= until && slip[i] >= lockedSlip && r.Trace.Speed[i] > crawl
		at := r.Trace.Position[i] - back
		switch {
		case locked && !open:
			list = append(list, skid{at, at})
		case locked:
			list[len(list)-1].to = at
		}
		open = locked
	}
	return list
}

var (
	speed    = quantity.Shown{Kind: quantity.Speed, Metric: "km/h", Imperial: "mph"}
	distance = quantity.Shown{Kind: quantity.Length, Metric: "m", Imperial: "ft", MetricDecimals: 1}
	duration = quantity.Shown{Kind: quantity.Time, Metric: "s", MetricDecimals: 2}
)

// Scene draws the moment t.
func (r *Replay) Scene(t float64, s figure.Style) figure.Scene {
	if s.Reader == nil {
		s.Reader = &quantity.Reader{}
	}
	if s.Width == 0 {
		s.Width, s.Height = 440, 250
	}
	if s.Letters == 0 {
		s.Letters = 15
	}
	p := r.At(t)
	v := &view{Style: s, replay: r, pose: p}
	v.scene = figure.Scene{
		Name: "replay", Title: s.Reader.Say("The stop from the side"), Width: s.Width, Height: s.Height, Alt: r.alt(p, s.Reader),
	}
	v.aim()
	v.road()
	v.bike()
	v.dials()
	v.overview()
	return v.scene
}

func (r *Replay) alt(p Pose, reader *quantity.Reader) string {
	return reader.Say("After {} the bike has come {} and still rides {}.",
		reader.Quantity(p.Time, duration), reader.Quantity(p.Position, distance), reader.Quantity(p.Speed, speed))
}

// view is a moment being drawn.
type view struct {
	figure.Style
	replay *Replay
	pose   Pose
	scene  figure.Scene
	scale  float64 // scene units a metre
	ground float64 // scene units from the top
	centre float64 // place along the road, m, that is in the middle of the scene
}

// aim sets the scale so that bike and rider, dials to their left and right, fill the height above the road, and follows
// them along it.
func (v *view) aim() {
	em := v.Letters
	top, bottom := em*0.6, em*5.2
	b := &v.replay.Setup.Bike
	v.scale = min((v.Height-top-bottom)/(b.Wheelbase*1.36), v.Width/(b.Wheelbase*2.6))
	v.ground = v.Height - bottom
	v.centre = v.pose.Position - b.Wheelbase*0.5
}

func (v *view) at(x, y float64) figure.Point {
	return figure.Point{X: v.Width/2 + (x-v.centre)*v.scale, Y: v.ground - y*v.scale}
}

func (v *view) add(m figure.Mark) { v.scene.Marks = append(v.scene.Marks, m) }

func (v *view) area(role string, points ...figure.Point) {
	v.add(figure.Mark{Shape: figure.Area, Role: role, Points: points})
}

func (v *view) line(role string, points ...figure.Point) {
	v.add(figure.Mark{Shape: figure.Line, Role: role, Points: points})
}

func (v *view) text(role, text string, x, y, size float64, a figure.Anchor) {
	v.add(figure.Mark{Shape: figure.Letter, Role: role, Text: text, Points: []figure.Point{{X: x, Y: y}}, Size: size, Anchor: a})
}

// strip is a rectangle between two places along the road, cut to what is in view.
func (v *view) strip(role string, from, to, top, bottom float64) {
	left, right := max(0, v.at(from, 0).X), min(v.Width, v.at(to, 0).X)
	if left < right {
		v.area(role, figure.Point{X: left, Y: top}, figure.Point{X: right, Y: top}, figure.Point{X: right, Y: bottom}, figure.Point{X: left, Y: bottom})
	}
}

// road draws the ground, a patch of another surface, what locked wheels left behind, and marks along it.
func (v *view) road() {
	em, thick := v.Letters, v.Letters*0.8
	v.strip("asphalt", v.centre-1e3, v.centre+1e3, v.ground, v.ground+thick)
	v.marks()
	set := v.replay.Setup
	if set.Patch != nil {
		v.strip("surface", set.PatchStart, set.PatchStart+set.PatchLength, v.ground, v.ground+thick)
	}
	v.phases(v.ground, v.ground+em*0.16)
	for wheel := range 2 {
		for _, s := range v.replay.skids(wheel, v.pose.Time) {
			v.strip("skid", s.from, max(s.to, s.from+0.05), v.ground, v.ground+em*0.18)
		}
	}
	unit, _ := distance.In(v.Reader.System)
	step := 1.0
	if unit.Symbol == "ft" {
		step = 5
	}
	half := v.Width / 2 / v.scale
	for n := math.Ceil(unit.From(v.centre-half) / step); unit.SI(n*step) <= v.centre+half; n++ {
		x := v.at(unit.SI(n*step), 0).X
		if n >= 0 && x > em*1.4 && x < v.Width-em*1.4 {
			v.line("marking", figure.Point{X: x, Y: v.ground + thick*0.3}, figure.Point{X: x, Y: v.ground + thick*0.75})
			v.text("tick", quantity.Join(v.Reader.Locale.Format(n*step, 0), v.Reader.Say(unit.Shown)), x, v.ground+thick+em*1.15, em, figure.Middle)
		}
	}
}

// phases colours the road by what is done on it: nothing yet, then braking.
func (v *view) phases(top, bottom float64) {
	lever := v.replay.lever()
	v.strip("reaction-span", 0, lever, top, bottom)
	v.strip("braking-span", lever, v.replay.whole(), top, bottom)
}

// marks puts on the road a pole where the lever is first touched, and the obstacle.
func (v *view) marks() {
	const pole = 0.7 // m
	if lever := v.replay.lever(); v.sees(lever) {
		v.line("braking", v.at(lever, 0), v.at(lever, pole))
		top := v.at(lever, pole)
		v.text("braking", v.Reader.Say("braking"), top.X, top.Y-v.Letters*0.4, v.Letters, figure.Middle)
	}
	v.obstacle(true)
}

// obstacle draws what stands on the road. Places are those of the front tyre's contact; its wheel reaches a radius ahead.
func (v *view) obstacle(named bool) {
	const height, depth = 0.95, 0.3 // m
	at := v.replay.Obstacle + v.replay.Setup.Bike.Front.Radius
	if v.replay.Obstacle <= 0 || !v.sees(at) {
		return
	}
	v.area("obstacle-span", v.at(at, 0), v.at(at, height), v.at(at+depth, height), v.at(at+depth, 0))
	if named {
		top := v.at(at+depth/2, height)
		v.text("obstacle", v.Reader.Say("obstacle"), top.X, top.Y-v.Letters*0.4, v.Letters, figure.Middle)
	}
}

// sees reports whether a mark on the road, with its words, has room in the scene.
func (v *view) sees(at float64) bool {
	x := v.at(at, 0).X
	return x > v.Letters*2.4 && x < v.Width-v.Letters*2.4
}

// dials says speed, time and distance, and what is happening.
func (v *view) dials() {
	em, p, r := v.Letters, v.pose, v.Reader
	v.text("now", r.Quantity(p.Speed, speed), em*0.3, em*1.9, em*2, figure.Start)
	v.text("name", r.Quantity(p.Time, duration), em*0.3, em*3.4, em, figure.Start)
	v.text("name", r.Quantity(p.Position, distance), em*5.2, em*3.4, em, figure.Start)
	switch {
	case p.Time < v.replay.Reaction:
		v.text("reaction", r.Say("reaction"), em*0.3, em*4.8, em, figure.Start)
	case p.Speed > 0.1:
		v.text("braking", r.Say("braking"), em*0.3, em*4.8, em, figure.Start)
	}
	v.lamp()
	y := em * 3.4
	say := func(is bool, role, text string) {
		if is {
			v.text(role, text, v.Width-em*0.4, y, em, figure.End)
			y += em * 1.2
		}
	}
	say(p.Lift > 0.005, "rear", r.Say("the rear wheel is in the air"))
	say(p.Locked[0], "locked", r.Say("the front wheel is locked"))
	say(p.Locked[1], "locked", r.Say("the rear wheel is locked"))
}

// lamp is lit while the controller works; a bike without one has none.
func (v *view) lamp() {
	if v.replay.Setup.Channels == ride.None {
		return
	}
	em, role := v.Letters, "hair"
	if v.pose.Working {
		role = "controller"
	}
	at := figure.Point{X: v.Width - em*1.1, Y: em * 1.2}
	v.add(figure.Mark{Shape: figure.Dot, Role: role, Points: []figure.Point{at}, Radius: em * 0.7})
	v.text("name", v.Reader.Say("controller"), at.X-em*1.1, at.Y+em*0.35, em, figure.End)
}

// overview is the whole road of the stop below the picture, with the bike's place on it.
func (v *view) overview() {
	em, tr := v.Letters, v.replay.Trace
	if len(tr.Position) == 0 {
		return
	}
	whole := tr.Position[len(tr.Position)-1]
	left, right, y := em*0.6, v.Width-em*0.6, v.Height-em*1.7
	x := func(at float64) float64 { return left + (right-left)*min(1, max(0, at/whole)) }
	if set := v.replay.Setup; set.Patch != nil {
		a, b := x(set.PatchStart), x(set.PatchStart+set.PatchLength)
		v.area("surface", figure.Point{X: a, Y: y - em*0.3}, figure.Point{X: b, Y: y - em*0.3}, figure.Point{X: b, Y: y + em*0.3}, figure.Point{X: a, Y: y + em*0.3})
	}
	lever := x(v.replay.lever())
	if lever > left {
		v.line("reaction", figure.Point{X: left, Y: y}, figure.Point{X: lever, Y: y})
	}
	v.line("braking", figure.Point{X: lever, Y: y}, figure.Point{X: right, Y: y})
	if at := v.replay.Obstacle; at > 0 && at < whole {
		v.line("obstacle", figure.Point{X: x(at), Y: y - em*0.7}, figure.Point{X: x(at), Y: y + em*0.7})
	}
	v.add(figure.Mark{Shape: figure.Dot, Role: "now", Points: []figure.Point{{X: x(v.pose.Position), Y: y}}, Radius: em * 0.4})
	v.text("tick", v.Reader.Quantity(0, distance), left, y+em*1.4, em, figure.Start)
	v.text("tick", v.Reader.Quantity(whole, distance), right, y+em*1.4, em, figure.End)
}
