package replay

import (
	"math"

	"example.org/gripleaf/calculators/figure"
)

// spot is a place on a standing bike: metres ahead of the rear axle and above the ground, for a wheelbase of 1.4 m.
// Longer bikes are drawn in proportion.
type spot struct{ x, y float64 }

// shape is the outline of one part of bike or rider.
type shape struct {
	role   string
	points []spot
}

// silhouette is how one of the school's bikes looks from the side, with its rider; the parts behind come first.
type silhouette struct {
	parts         []shape
	head          spot // where the fork meets the frame
	helmet        spot
	pivot         spot // of the swinging arm
	shoulder, hip spot
	hand, foot    spot
	elbow, knee   spot
	tail          spot // the brake light
}

// silhouetteOf knows the school's bikes; any other is drawn as the roadster.
func silhouetteOf(id string) *silhouette {
	switch id {
	case "scooter":
		return &scooter
	case "tourer":
		return &tourer
	case "sport":
		return &sport
	}
	return &roadster
}

var roadster = silhouette{
	parts: []shape{
		{"engine", []spot{{0.42, 0.28}, {0.92, 0.28}, {1.02, 0.44}, {0.92, 0.66}, {0.5, 0.66}, {0.38, 0.5}}},
		{"body", []spot{{-0.12, 0.78}, {0.1, 0.74}, {0.42, 0.7}, {0.98, 0.68}, {1.12, 0.82}, {1.06, 0.93}, {0.78, 1.0}, {0.58, 0.96}, {0.46, 0.84}, {0.2, 0.84}, {-0.14, 0.86}}},
		{"lamp", []spot{{1.16, 0.86}, {1.26, 0.88}, {1.27, 0.98}, {1.16, 1.0}}},
	},
	head: spot{1.1, 0.93}, pivot: spot{0.46, 0.42},
	helmet: spot{0.66, 1.6}, shoulder: spot{0.52, 1.38}, hip: spot{0.32, 0.92},
	elbow: spot{0.76, 1.16}, hand: spot{1.0, 1.06}, knee: spot{0.74, 0.84}, foot: spot{0.5, 0.4},
	tail: spot{-0.13, 0.82},
}

var scooter = silhouette{
	parts: []shape{
		{"engine", []spot{{-0.02, 0.24}, {0.34, 0.26}, {0.36, 0.42}, {0.02, 0.42}}},
		{"body", []spot{{-0.24, 0.6}, {0.1, 0.42}, {0.4, 0.3}, {0.95, 0.26}, {1.1, 0.42}, {1.18, 0.98}, {1.08, 1.0}, {1.0, 0.52}, {0.9, 0.4}, {0.6, 0.42}, {0.52, 0.74}, {0.1, 0.82}, {-0.26, 0.78}}},
		{"lamp", []spot{{1.16, 0.86}, {1.24, 0.86}, {1.22, 0.98}, {1.14, 0.98}}},
	},
	head: spot{1.13, 0.92}, pivot: spot{0.3, 0.36},
	helmet: spot{0.34, 1.56}, shoulder: spot{0.28, 1.32}, hip: spot{0.2, 0.88},
	elbow: spot{0.58, 1.12}, hand: spot{0.98, 1.04}, knee: spot{0.66, 0.8}, foot: spot{0.82, 0.4},
	tail: spot{-0.26, 0.69},
}

var tourer = silhouette{
	parts: []shape{
		{"engine", []spot{{0.42, 0.26}, {0.96, 0.26}, {1.04, 0.44}, {0.94, 0.64}, {0.5, 0.64}, {0.4, 0.46}}},
		{"body", []spot{{-0.28, 0.5}, {0.2, 0.46}, {0.26, 0.68}, {0.5, 0.62}, {0.94, 0.5}, {1.08, 0.6}, {1.2, 0.82}, {1.16, 0.98}, {1.0, 1.06}, {0.72, 0.98}, {0.52, 0.84}, {0.1, 0.84}, {-0.3, 0.84}}},
		{"screen", []spot{{1.08, 1.02}, {1.16, 0.98}, {0.98, 1.34}, {0.94, 1.32}}},
		{"lamp", []spot{{1.18, 0.84}, {1.26, 0.84}, {1.22, 0.96}, {1.16, 0.96}}},
	},
	head: spot{1.1, 0.9}, pivot: spot{0.44, 0.42},
	helmet: spot{0.5, 1.58}, shoulder: spot{0.4, 1.36}, hip: spot{0.28, 0.9},
	elbow: spot{0.66, 1.16}, hand: spot{0.92, 1.06}, knee: spot{0.7, 0.82}, foot: spot{0.58, 0.38},
	tail: spot{-0.3, 0.74},
}

var sport = silhouette{
	parts: []shape{
		{"engine", []spot{{0.46, 0.26}, {0.9, 0.24}, {0.98, 0.4}, {0.5, 0.6}}},
		{"body", []spot{{-0.2, 0.94}, {0.12, 0.8}, {0.42, 0.7}, {0.56, 0.34}, {0.94, 0.26}, {1.08, 0.5}, {1.3, 0.78}, {1.2, 0.96}, {1.02, 0.96}, {0.74, 0.98}, {0.56, 0.88}, {0.3, 0.88}, {-0.18, 1.02}}},
		{"screen", []spot{{1.02, 0.97}, {1.2, 0.95}, {1.02, 1.16}}},
	},
	head: spot{1.1, 0.86}, pivot: spot{0.48, 0.42},
	helmet: spot{0.82, 1.4}, shoulder: spot{0.66, 1.24}, hip: spot{0.26, 0.98},
	elbow: spot{0.82, 0.98}, hand: spot{1.02, 0.9}, knee: spot{0.66, 0.82}, foot: spot{0.36, 0.5},
	tail: spot{-0.19, 0.97},
}

// bike draws wheels where they stand, and chassis and rider turned about the centre of mass by pitch and heave.
func (v *view) bike() {
	b := &v.replay.Setup.Bike
	look := silhouetteOf(b.ID)
	rear, front := v.wheels()
	v.wheel("rear", rear, b.Rear.Radius)
	v.wheel("front", front, b.Front.Radius)
	pivot, head := v.onChassis(look.pivot), v.onChassis(look.head)
	v.limb("frame", rear, pivot, 0.06)
	v.limb("frame", front, head, 0.07)
	for _, s := range look.parts {
		points := make([]figure.Point, len(s.points))
		for i, q := range s.points {
			q = v.onChassis(q)
			points[i] = v.on(q)
		}
		v.area(s.role, points...)
	}
	v.light(v.onChassis(look.tail))
	v.rider(look)
}

// light draws the brake light, which shines from the first touch of the lever on.
func (v *view) light(at spot) {
	below := spot{at.x, at.y - 0.05}
	if v.pose.Time < v.replay.Reaction {
		v.limb("rim", at, below, 0.07)
		return
	}
	v.limb("braking", at, below, 0.3) // its glow
	v.limb("braking-span", at, below, 0.1)
}

// wheels are where the hubs of the rear and the front wheel are.
func (v *view) wheels() (rear, front spot) {
	b, p := &v.replay.Setup.Bike, v.pose
	return spot{p.Position - b.Wheelbase, b.Rear.Radius + p.Lift}, spot{p.Position, b.Front.Radius}
}

// on is the place in the scene of a part of the bike: one that is over to the side has lower heights.
func (v *view) on(s spot) figure.Point { return v.at(s.x, s.y*v.pose.upright()) }

// onChassis moves a place of the standing bike with pitch and heave.
func (v *view) onChassis(s spot) spot {
	b, p := &v.replay.Setup.Bike, v.pose
	k := b.Wheelbase / 1.4
	x, y := s.x*k, s.y*k
	cgX, cgY := b.Wheelbase*b.FrontShare, b.CGHeight // ahead of the rear axle, above the ground
	sin, cos := math.Sincos(p.Pitch)
	dx, dy := x-cgX, y-cgY
	return spot{
		x: p.Position - b.Wheelbase + cgX + dx*cos + dy*sin,
		y: cgY + p.Heave - dx*sin + dy*cos,
	}
}

func (v *view) rider(look *silhouette) {
	hip, shoulder := v.onChassis(look.hip), v.onChassis(look.shoulder)
	elbow, hand := v.onChassis(look.elbow), v.onChassis(look.hand)
	knee, foot := v.onChassis(look.knee), v.onChassis(look.foot)
	v.limb("frame", v.onChassis(look.head), hand, 0.04)
	v.limb("rider", hip, knee, 0.17)
	v.limb("rider", knee, foot, 0.13)
	v.limb("rider", hip, shoulder, 0.26)
	v.limb("sleeve", shoulder, elbow, 0.11)
	v.limb("sleeve", elbow, hand, 0.09)
	head := v.onChassis(look.helmet)
	v.add(figure.Mark{Shape: figure.Dot, Role: "helmet", Points: []figure.Point{v.on(head)}, Radius: 0.15 * v.scale})
	v.limb("screen", spot{head.x + 0.05, head.y + 0.01}, spot{head.x + 0.11, head.y}, 0.08)
}

// limb is a bar with round ends.
func (v *view) limb(role string, a, b spot, width float64) {
	angle := math.Atan2(b.y-a.y, b.x-a.x)
	const steps = 8
	points := make([]figure.Point, 0, 2*steps+2)
	for i := range 2*steps + 2 {
		end, turn := b, angle-math.Pi/2+math.Pi*float64(i)/steps
		if i > steps {
			end, turn = a, angle+math.Pi/2+math.Pi*float64(i-steps-1)/steps
		}
		sin, cos := math.Sincos(turn)
		points = append(points, v.on(spot{end.x + cos*width/2, end.y + sin*width/2}))
	}
	v.area(role, points...)
}

// wheel is a tyre with five spokes that show how far it has turned; one of them is marked. A locked one has a rim of
// another colour, drags a cloud behind it, and says so; one in the air says that, above the heights to which nine of
// ten are lifted.
func (v *view) wheel(name string, hub spot, radius float64) {
	p, tyre, is, turned, aside := v.pose, "tyre", 0, v.pose.FrontAngle, 1.0
	if name == "rear" {
		is, turned, aside = 1, p.RearAngle, -1
	}
	if p.Locked[is] {
		tyre = "locked-span"
		v.cloud(spot{hub.x, 0})
	}
	v.ring("tyre", hub, radius, radius*0.74)
	if p.Locked[is] {
		v.ring(tyre, hub, radius*0.92, radius*0.8)
	}
	v.ring("rim", hub, radius*0.74, radius*0.66)
	v.ring("rim", hub, radius*0.42, radius*0.36) // the disc
	for i := range 5 {
		role := "rim"
		if i == 0 {
			role = name + "-spoke"
		}
		sin, cos := math.Sincos(-turned + 2*math.Pi*float64(i)/5)
		v.limb(role, hub, spot{hub.x + cos*radius*0.68, hub.y + sin*radius*0.68}, radius*0.07)
	}
	v.limb("rim", hub, hub, radius*0.2)
	if !v.named {
		return
	}
	beside, anchor := v.on(spot{hub.x + aside*(radius+0.08), hub.y}), [2]figure.Anchor{figure.Start, figure.End}[is]
	switch {
	case p.Locked[is] && !p.Down:
		v.say("locked", v.Reader.Say("locked"), beside, 0, 0.35, 1, anchor)
	case is == 1 && p.Lift > 0.005 && !p.Down:
		v.lifts(hub.x)
		v.say("rear", v.Reader.Say("in the air"), beside, 0, 0.35, 1, anchor)
	}
}

// cloud is what a sliding tyre throws up behind it.
func (v *view) cloud(contact spot) {
	for i := range 3 {
		back := 0.2 + 0.22*float64(i)
		v.add(figure.Mark{Shape: figure.Dot, Role: "dust", Points: []figure.Point{v.at(contact.x-back, 0.07+0.1*back)}, Radius: (0.06 + 0.08*back) * v.scale})
	}
}

// lifts shades how high nine of ten such stops lift the rear tyre at most, below it.
func (v *view) lifts(x float64) {
	if low, high := v.replay.Lifts.Low, v.replay.Lifts.High; high > 0 {
		v.strip("range", x-0.3, x+0.3, v.at(x, high).Y, v.at(x, low).Y)
	}
}

// ring is the area between two circles, as one outline with a seam.
func (v *view) ring(role string, hub spot, outer, inner float64) {
	const steps = 40
	points := make([]figure.Point, 0, 2*steps+2)
	for i := range 2*steps + 2 {
		r, k := outer, i
		if i > steps {
			r, k = inner, 2*steps+1-i
		}
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / steps)
		points = append(points, v.on(spot{hub.x + cos*r, hub.y + sin*r}))
	}
	v.area(role, points...)
}
