package replay

import (
	"math"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/quantity"
)

// Together is several rides on one road and one clock, each in a lane of its own. The first one is the one that is
// asked about; each begins at the same place and time.
type Together struct {
	rides []*Replay
	names []string
}

// Beside puts other rides beside this one.
func (r *Replay) Beside(others []kit.Film, names []string) kit.Film {
	t := &Together{rides: []*Replay{r}, names: names}
	for _, o := range others {
		if other, ok := o.(*Replay); ok {
			t.rides = append(t.rides, other)
		}
	}
	return t
}

// Beside is never asked of several rides.
func (t *Together) Beside([]kit.Film, []string) kit.Film { return t }

// Duration is that of the longest ride, s.
func (t *Together) Duration() float64 {
	longest := 0.0
	for _, r := range t.rides {
		longest = max(longest, r.Duration())
	}
	return longest
}

// Places, Time and Sound are the first ride's.
func (t *Together) Places(at float64) []kit.Point {
	list := t.rides[0].Places(at)
	list[0].At = at // the clock goes on when the first one stands
	return list
}

// Time is the first ride's.
func (t *Together) Time(at kit.Point) float64 { return t.rides[0].Time(at) }

// Sound is the first ride's.
func (t *Together) Sound(at float64) (pulse, skid float64) { return t.rides[0].Sound(at) }

// Cycle is the first ride's.
func (t *Together) Cycle(at float64) (from, to float64, ok bool) { return t.rides[0].Cycle(at) }

// Scene draws the moment at, with all bikes in view: the farther they are apart, the smaller they are.
func (t *Together) Scene(at float64, s figure.Style) figure.Scene {
	if s.Reader == nil {
		s.Reader = &quantity.Reader{}
	}
	scene := figure.Scene{Name: "replay", Title: s.Reader.Say("The stops on one road"), Width: s.Width, Height: s.Height, Letters: s.Letters}
	em, lanes := s.Letters, float64(len(t.rides))
	top, bottom := em*1.7, em*2.2
	lane := (s.Height - top - bottom) / lanes
	poses, first, last := make([]Pose, len(t.rides)), math.Inf(1), math.Inf(-1)
	scale := math.Inf(1)
	for i, r := range t.rides {
		poses[i] = r.At(min(at, r.Duration()))
		length := r.Setup.Bike.Wheelbase
		first, last = min(first, poses[i].Position-1.5*length), max(last, poses[i].Position+0.6*length)
		scale = min(scale, (lane-em*2.6)/(length*1.36))
	}
	scale = min(scale, s.Width/(last-first))
	for i, r := range t.rides {
		v := &view{Style: s, replay: r, pose: poses[i], scale: scale, ground: top + lane*float64(i+1) - em*0.8, centre: (first + last) / 2}
		v.lane(t.names[i], i, top+lane*float64(i)+em*1.2)
		scene.Marks = append(scene.Marks, v.scene.Marks...)
		if i > 0 {
			scene.Alt += " "
		}
		scene.Alt += t.names[i] + ": " + r.alt(poses[i], s.Reader)
	}
	v := &view{Style: s, scene: scene}
	v.say("now", s.Reader.Quantity(at, duration), figure.Point{}, 0.25, 1.05, 1.2, figure.Start)
	t.overview(v, poses)
	return v.scene
}

// lane draws one of several rides: its road, its bike, and above both, on a baseline, what it is called and does.
func (v *view) lane(name string, i int, baseline float64) {
	em := v.Letters
	v.rests()
	v.strip("asphalt", v.centre-1e4, v.centre+1e4, v.ground, v.ground+em*0.45)
	v.phases(v.ground, v.ground+em*0.16)
	if set := v.replay.Setup; set.Patch != nil {
		v.strip("surface", set.PatchStart, set.PatchStart+set.PatchLength, v.ground+em*0.16, v.ground+em*0.45)
	}
	v.skidMarks()
	v.obstacle()
	v.bike()
	role, p, r := "now", v.pose, v.Reader
	if i > 0 {
		role = "kept"
	}
	v.say(role, name, figure.Point{Y: baseline}, 0.3, 0, 1, figure.Start)
	does := r.Quantity(p.Speed, speed)
	switch {
	case p.Speed < 0.05:
		does = r.Quantity(p.Position, distance)
	case p.Down:
		role, does = "locked", r.Say("{}, {}", r.Say("A fall is likely"), does)
	}
	v.say(role, does, figure.Point{X: v.Width, Y: baseline}, -0.3, 0, 1, figure.End)
}

// overview is the whole road below all lanes, with every bike's place on it and where it will stand.
func (t *Together) overview(v *view, poses []Pose) {
	whole := 1.0
	for _, r := range t.rides {
		whole = max(whole, r.whole(), r.Rests.High)
	}
	o := v.wholeRoad(whole)
	for i := len(t.rides) - 1; i >= 0; i-- {
		role := "now"
		if i > 0 {
			role = "kept"
		}
		o.ride(t.rides[i], role, poses[i], 0.4*(float64(i)-float64(len(t.rides)-1)/2)) // each has a line of its own
	}
}
