// Package replay shows a stop from the side, to scale: the bike on its road at any moment of a ride, wheels turned
// as far as they were, fork dived, rear wheel lifted as the simulation had it.
//
// It draws marks with roles, as every figure does; a film is one scene after another.
package replay

import (
	"math"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/physics/ride"
	"example.org/gripleaf/calculators/quantity"
)

// Replay is a recorded ride. Trace must hold the run of Setup.
type Replay struct {
	Setup    *ride.Setup
	Trace    *ride.Trace
	Result   ride.Result // what it came to: whether, when and how the bike goes down
	Reaction float64     // until the lever is touched, s
	Obstacle float64     // where one stands on the road, m; 0 for none

	Rests, Lifts kit.Band // where nine of ten such stops end and how high nine of ten lift the rear tyre, m; zero if unknown
}

// Pose is what is to be seen at one moment; angles in rad, lengths in m.
type Pose struct {
	Time, Position, Speed float64 // s, m of the front tyre from the first touch of the lever, m/s
	FrontAngle, RearAngle float64 // that the wheels have turned
	Pitch, Heave          float64 // against the start: nose down, up
	Lift                  float64 // of the rear tyre above the ground
	Roll                  float64 // over to the side
	Slip                  float64 // of the front wheel
	Locked                [2]bool // front, rear wheel
	Down                  bool    // it has begun to fall
	Working               bool    // the controller releases or holds a brake
}

// lockedSlip is the slip from which a wheel is shown as locked, and crawl the speed below which none is.
const (
	lockedSlip = 0.95
	crawl      = 0.5 // m/s
)

// Duration is how long the recorded ride takes, s. One that comes to an obstacle ends there.
func (r *Replay) Duration() float64 {
	end := r.recorded()
	if r.Result.Fall == ride.OverTheFront {
		end = max(end, r.Result.BrakingTime)
	}
	if r.Obstacle <= 0 || r.Position(end) <= r.Obstacle {
		return end
	}
	low, high := 0.0, end
	for range 50 {
		if middle := (low + high) / 2; r.Position(middle) < r.Obstacle {
			low = middle
		} else {
			high = middle
		}
	}
	return high
}

// recorded is the last moment of the record, s.
func (r *Replay) recorded() float64 {
	if n := len(r.Trace.Time); n > 0 {
		return r.Trace.Time[n-1]
	}
	return 0
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
	if len(tr.Lean) > 0 {
		p.Roll = between(tr.Lean)
	}
	r.fall(&p, t)
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
	v := &view{Style: s, replay: r, pose: p, named: true}
	v.scene = figure.Scene{
		Name: "replay", Title: s.Reader.Say("The stop from the side"), Width: s.Width, Height: s.Height, Letters: s.Letters, Alt: r.alt(p, s.Reader),
	}
	v.aim()
	v.road()
	v.bike()
	v.dials()
	v.overview()
	return v.scene
}

func (r *Replay) alt(p Pose, reader *quantity.Reader) string {
	text := reader.Say("After {} the bike has come {} and still rides {}.",
		reader.Quantity(p.Time, duration), reader.Quantity(p.Position, distance), reader.Quantity(p.Speed, speed))
	also := ""
	for _, one := range [...]struct {
		is   bool
		says string
	}{{p.Locked[0], "the front wheel is locked"}, {p.Locked[1], "the rear wheel is locked"}, {p.Lift > 0.005, "the rear wheel is in the air"}, {p.Down, "A fall is likely"}} {
		switch {
		case one.is && also == "":
			also = " – " + reader.Say(one.says)
		case one.is:
			also = reader.Say("{}, {}", also, reader.Say(one.says))
		}
	}
	return text + also
}

// view is a moment being drawn.
type view struct {
	figure.Style
	replay *Replay
	pose   Pose
	scene  figure.Scene
	scale  float64 // scene units a metre
	ground float64 // scene units from the top
	named  bool    // what stands on the road has room for its words
	centre float64 // place along the road, m, that is in the middle of the scene
}

// aim sets the scale so that bike and rider, dials to their left and right, fill the height above the road, and follows
// them along it.
func (v *view) aim() {
	em := v.Letters
	top, bottom := em*0.6, em*4
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

// say writes a text so many of its own letters to the right of and below a place; a size of 1 is that of all letters.
func (v *view) say(role, text string, at figure.Point, right, below, size float64, a figure.Anchor) {
	em := size * v.Letters
	v.add(figure.Mark{Shape: figure.Letter, Role: role, Text: text, Points: []figure.Point{{X: at.X + right*em, Y: at.Y + below*em}},
		Size: em, Shift: figure.Point{X: right, Y: below}, Anchor: a})
}

// dials says speed, time and distance, and what is happening.
func (v *view) dials() {
	p, r := v.pose, v.Reader
	corner := figure.Point{}
	v.say("now", r.Quantity(p.Speed, speed), corner, 0.15, 0.95, 2, figure.Start)
	v.say("name", r.Quantity(p.Time, duration), corner, 0.3, 3.2, 1, figure.Start)
	v.say("name", r.Quantity(p.Position, distance), corner, 4.4, 3.2, 1, figure.Start)
	switch {
	case p.Time < v.replay.Reaction:
		v.say("reaction", r.Say("reaction"), corner, 0.3, 4.5, 1, figure.Start)
	case p.Speed > 0.1:
		v.say("braking", r.Say("braking"), corner, 0.3, 4.5, 1, figure.Start)
	}
	v.lamp()
	if p.Down {
		v.say("locked", r.Say("A fall is likely"), figure.Point{X: v.Width}, -0.4, 5, 1, figure.End)
	}
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
	at := figure.Point{X: v.Width - em*0.9, Y: em * 0.9}
	v.add(figure.Mark{Shape: figure.Dot, Role: role, Points: []figure.Point{at}, Radius: em * 0.55})
	v.say("name", v.Reader.Say("controller"), figure.Point{X: at.X - em*0.6, Y: at.Y}, -0.3, 0.35, 1, figure.End)
}

// overview is the whole road of the stop below the picture, with the bike's place on it.
func (v *view) overview() {
	if len(v.replay.Trace.Position) == 0 {
		return
	}
	o := v.wholeRoad(max(v.replay.whole(), v.replay.Rests.High))
	if set := v.replay.Setup; set.Patch != nil {
		o.box("surface", set.PatchStart, set.PatchStart+set.PatchLength, 0.3)
	}
	o.ride(v.replay, "now", v.pose, 0)
	if at := v.replay.Obstacle; at > 0 && at < o.whole {
		x := o.x(at)
		v.line("obstacle", figure.Point{X: x, Y: o.y - v.Letters*0.7}, figure.Point{X: x, Y: o.y + v.Letters*0.7})
	}
}
