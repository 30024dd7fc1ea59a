package replay

import (
	"math"
	"strings"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/quantity"
)

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

// strip is a rectangle between two places along the road, cut to what is in view.
func (v *view) strip(role string, from, to, top, bottom float64) {
	left, right := max(0, v.at(from, 0).X), min(v.Width, v.at(to, 0).X)
	if left < right {
		v.area(role, figure.Point{X: left, Y: top}, figure.Point{X: right, Y: top}, figure.Point{X: right, Y: bottom}, figure.Point{X: left, Y: bottom})
	}
}

// road draws the ground, a patch of another surface, what locked wheels left behind, where such stops end, and marks
// along it.
func (v *view) road() {
	em, thick := v.Letters, v.Letters*0.7
	v.rests()
	v.strip("asphalt", v.centre-1e3, v.centre+1e3, v.ground, v.ground+thick)
	v.marks()
	set := v.replay.Setup
	if set.Patch != nil {
		v.strip("surface", set.PatchStart, set.PatchStart+set.PatchLength, v.ground, v.ground+thick)
	}
	v.phases(v.ground, v.ground+em*0.16)
	v.skidMarks()
	unit, _ := distance.In(v.Reader.System)
	step := 1.0
	if unit.Symbol == "ft" {
		step = 5
	}
	half := v.Width / 2 / v.scale
	for n := math.Ceil(unit.From(v.centre-half) / step); unit.SI(n*step) <= v.centre+half; n++ {
		x := v.at(unit.SI(n*step), 0).X
		if n >= 0 && x > em*1.8 && x < v.Width-em*1.8 {
			v.line("marking", figure.Point{X: x, Y: v.ground + thick*0.3}, figure.Point{X: x, Y: v.ground + thick*0.75})
			v.say("tick", quantity.Join(v.Reader.Locale.Format(n*step, 0), v.Reader.Say(unit.Shown)), figure.Point{X: x, Y: v.ground + thick}, 0, 1.05, 1, figure.Middle)
		}
	}
}

// rests shades where nine of ten such stops end.
func (v *view) rests() {
	const height = 1.2 // m
	low, high := v.replay.Rests.Low, v.replay.Rests.High
	if high <= 0 {
		return
	}
	v.strip("range", low, max(high, low+2/v.scale), v.at(0, height).Y, v.ground)
	if v.named && v.at(high, 0).X > 0 && v.at(low, 0).X < v.Width {
		v.key("range", v.Reader.Say("nine of ten stop here"), 2.6)
	}
}

// key says in the upper right corner, in two lines and so many letters below its edge, what an area stands for.
func (v *view) key(role, text string, below float64) {
	em, middle := v.Letters, len(text)/2
	for i := range text { // the space that is nearest to the middle
		if text[i] == ' ' && (text[middle] != ' ' || math.Abs(float64(i-len(text)/2)) < math.Abs(float64(middle-len(text)/2))) {
			middle = i
		}
	}
	right := figure.Point{X: v.Width - 1.3*em}
	v.say("name", text[:middle], right, -0.4, below, 1, figure.End)
	v.say("name", strings.TrimSpace(text[middle:]), right, -0.4, below+1.1, 1, figure.End)
	left, top := right.X, (below-0.7)*em
	v.area(role, figure.Point{X: left, Y: top}, figure.Point{X: left + em, Y: top}, figure.Point{X: left + em, Y: top + 1.8*em}, figure.Point{X: left, Y: top + 1.8*em})
}

// skidMarks are what locked wheels and a bike that slides on its side leave on the road.
func (v *view) skidMarks() {
	deep := v.ground + v.Letters*0.24
	for wheel := range 2 {
		for _, s := range v.replay.skids(wheel, v.pose.Time) {
			v.strip("skid", s.from, max(s.to, s.from+0.05), v.ground, deep)
		}
	}
	if v.pose.Down {
		v.strip("skid", v.replay.Position(v.replay.Result.FallTime), v.pose.Position, v.ground, deep)
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
		if p, b := v.pose.Position, v.replay.Setup.Bike.Wheelbase; lever < p-2*b || lever > p+b { // behind the bike nobody could read it
			v.say("braking", v.Reader.Say("braking"), v.at(lever, pole), 0, -0.4, 1, figure.Middle)
		}
	}
	v.obstacle()
}

// obstacle draws what stands on the road. Places are those of the front tyre's contact; its wheel reaches a radius
// ahead.
func (v *view) obstacle() {
	const height, depth = 0.95, 0.3 // m
	at := v.replay.Obstacle + v.replay.Setup.Bike.Front.Radius
	if v.replay.Obstacle <= 0 || !v.sees(at) {
		return
	}
	v.area("obstacle-span", v.at(at, 0), v.at(at, height), v.at(at+depth, height), v.at(at+depth, 0))
	if v.named {
		top := v.at(at+depth/2, height)
		v.say("obstacle", v.Reader.Say("obstacle"), top, 0, -0.4, 1, figure.Middle)
	}
}

// sees reports whether a mark on the road, with its words, has room in the scene.
func (v *view) sees(at float64) bool {
	x := v.at(at, 0).X
	return x > v.Letters*2.4 && x < v.Width-v.Letters*2.4
}

// wholeRoad is a line below the picture for all of the road, with its two ends named beside it.
type wholeRoad struct {
	*view
	whole, left, right, y float64
}

func (v *view) wholeRoad(whole float64) *wholeRoad {
	em := v.Letters
	o := &wholeRoad{v, whole, em * 3.2, v.Width - em*4.2, v.Height - em*0.9}
	v.say("tick", v.Reader.Quantity(0, distance), figure.Point{X: o.left, Y: o.y}, -0.5, 0.35, 1, figure.End)
	v.say("tick", v.Reader.Quantity(whole, distance), figure.Point{X: o.right, Y: o.y}, 0.5, 0.35, 1, figure.Start)
	return o
}

func (o *wholeRoad) x(at float64) float64 {
	return o.left + (o.right-o.left)*min(1, max(0, at/o.whole))
}

// box covers a stretch of the road, so many letters to each side of it.
func (o *wholeRoad) box(role string, from, to, half float64) {
	top, bottom := o.y-half*o.Letters, o.y+half*o.Letters
	a, b := o.x(from), max(o.x(to), o.x(from)+2)
	o.area(role, figure.Point{X: a, Y: top}, figure.Point{X: b, Y: top}, figure.Point{X: b, Y: bottom}, figure.Point{X: a, Y: bottom})
}

// ride draws one of the rides so many letters below the line: where nine of ten end, what is done on the way, and the
// bike.
func (o *wholeRoad) ride(r *Replay, role string, p Pose, below float64) {
	line := *o
	line.y += below * o.Letters
	if r.Rests.High > 0 {
		line.box("range", r.Rests.Low, r.Rests.High, 0.45)
	}
	from, lever, end := o.x(0), o.x(r.lever()), o.x(r.whole())
	if lever > from {
		o.line("reaction", figure.Point{X: from, Y: line.y}, figure.Point{X: lever, Y: line.y})
	}
	o.line("braking", figure.Point{X: lever, Y: line.y}, figure.Point{X: end, Y: line.y})
	o.add(figure.Mark{Shape: figure.Dot, Role: role, Points: []figure.Point{{X: o.x(p.Position), Y: line.y}}, Radius: o.Letters * 0.3})
}
