package replay

import (
	"math"
	"strings"
	"testing"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/physics/bike"
	"example.org/gripleaf/calculators/physics/hydraulics"
	"example.org/gripleaf/calculators/physics/ride"
	"example.org/gripleaf/calculators/quantity"
)

func roadsterBike(t *testing.T) bike.Bike {
	b, ok := bike.Find("roadster")
	if !ok {
		t.Fatal("there is no roadster")
	}
	return b
}

// The stop is the one of the braking lesson: v·t_r + v²/(2a) (any physics book).
func TestSteadyComesToRestWhereTheFormulaSays(t *testing.T) {
	const v, reaction, a = 60 / 3.6, 1.0, 7.85
	r := Steady(roadsterBike(t), v, reaction, a)
	if got, want := r.Duration(), reaction+v/a; math.Abs(got-want) > 1e-12 {
		t.Errorf("it takes %v s, want %v", got, want)
	}
	end := r.At(r.Duration())
	if want := v*reaction + v*v/(2*a); math.Abs(end.Position-want) > 1e-9 || end.Speed > 1e-9 {
		t.Errorf("it ends at %v m with %v m/s, want %v and 0", end.Position, end.Speed, want)
	}
	middle := r.At(reaction / 2)
	if middle.Speed != v || math.Abs(middle.Position-v*reaction/2) > 1e-9 {
		t.Errorf("while reacting it is at %v m with %v m/s", middle.Position, middle.Speed)
	}
	if want := middle.Position / r.Setup.Bike.Front.Radius; math.Abs(middle.FrontAngle-want) > 1e-9 {
		t.Errorf("the front wheel has turned %v rad, want %v: it rolls", middle.FrontAngle, want)
	}
}

// rocking is a made-up ride: the front wheel locks for a while, the rear lifts, the controller works now and then.
func rocking(b bike.Bike) *Replay {
	t := &ride.Trace{}
	for i := range 201 {
		s := float64(i) / 100
		t.Time, t.Position, t.Speed = append(t.Time, s), append(t.Position, 16*s-4*s*s), append(t.Speed, 16-8*s)
		t.FrontAngle, t.RearAngle = append(t.FrontAngle, 40*s), append(t.RearAngle, 40*s)
		t.Pitch, t.Heave = append(t.Pitch, 0.3+0.1*s), append(t.Heave, -0.02)
		t.Lift = append(t.Lift, max(0, 0.2*math.Sin(s*3)))
		slip, valve := 0.0, hydraulics.Build
		if i >= 50 && i < 100 {
			slip, valve = 1, hydraulics.Dump
		}
		t.FrontSlip, t.FrontValve = append(t.FrontSlip, slip), append(t.FrontValve, valve)
		t.RearSlip, t.RearValve = append(t.RearSlip, 0), append(t.RearValve, 0)
	}
	return &Replay{Setup: &ride.Setup{Bike: b, Channels: ride.Both}, Trace: t}
}

func TestAt(t *testing.T) {
	r := rocking(roadsterBike(t))
	if p := r.At(0); p.Pitch != 0 || p.Locked[0] || p.Working {
		t.Errorf("at the start the bike stands as it was: %+v", p)
	}
	p := r.At(0.755)
	if math.Abs(p.Speed-(16-8*0.755)) > 1e-9 || !p.Locked[0] || p.Locked[1] || !p.Working {
		t.Errorf("between two moments: %+v", p)
	}
	if before, first := r.At(-1), r.At(0); before != first {
		t.Errorf("before the start it is %+v, not %+v", before, first)
	}
	if after, last := r.At(99), r.At(2); after != last {
		t.Errorf("after the end it is %+v, not %+v", after, last)
	}
	if s := r.skids(0, 0.75); len(s) != 1 || math.Abs(s[0].from-7) > 1e-9 || math.Abs(s[0].to-(12-4*0.5625)) > 1e-9 {
		t.Errorf("up to 0.75 s the front tyre has left %v", s)
	}
}

// dots finds the marks of a role.
func marks(s *figure.Scene, role string) (list []figure.Mark) {
	for _, m := range s.Marks {
		if m.Role == role {
			list = append(list, m)
		}
	}
	return list
}

func bounds(points []figure.Point) (left, top, right, bottom float64) {
	left, top, right, bottom = math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, p := range points {
		left, right = min(left, p.X), max(right, p.X)
		top, bottom = min(top, p.Y), max(bottom, p.Y)
	}
	return
}

func TestSceneIsToScale(t *testing.T) {
	for _, b := range bike.Presets() {
		r := rocking(b)
		scene := r.Scene(0.5, figure.Style{Width: 1800, Height: 700, Letters: 40})
		tyres := marks(&scene, "tyre")
		if len(tyres) != 2 {
			t.Fatalf("%s has %d tyres", b.ID, len(tyres))
		}
		rl, _, rr, rb := bounds(tyres[0].Points)
		fl, _, fr, fb := bounds(tyres[1].Points)
		scale := ((fl + fr) - (rl + rr)) / 2 / b.Wheelbase
		if got := (fr - fl) / 2 / scale; math.Abs(got-b.Front.Radius) > 1e-6 {
			t.Errorf("%s: the front tyre is %v m, want %v", b.ID, got, b.Front.Radius)
		}
		if got, want := (fb-rb)/scale, r.At(0.5).Lift; math.Abs(got-want) > 1e-6 {
			t.Errorf("%s: the rear tyre is %v m in the air, want %v", b.ID, got, want)
		}
		numbers := marks(&scene, "marking")
		if got := (numbers[1].Points[0].X - numbers[0].Points[0].X) / scale; math.Abs(got-1) > 1e-6 {
			t.Errorf("%s: marks on the road stand %v m apart, want 1", b.ID, got)
		}
	}
}

func TestSceneStaysInside(t *testing.T) {
	for _, size := range [][2]float64{{440, 250}, {1800, 700}, {960, 700}, {960, 1100}} {
		for _, b := range bike.Presets() {
			r := rocking(b)
			for _, at := range []float64{0, 0.75, 2} {
				scene := r.Scene(at, figure.Style{Width: size[0], Height: size[1], Letters: size[0] / 30})
				for _, m := range scene.Marks {
					l, top, right, bottom := bounds(m.Points)
					if l < -0.01 || top < 0 || right > size[0]+0.01 || bottom > size[1] {
						t.Errorf("%s at %v s in %v: %s reaches %v %v %v %v", b.ID, at, size, m.Role, l, top, right, bottom)
					}
				}
			}
		}
	}
}

func TestSceneSpeaksTheReadersLanguageAndUnits(t *testing.T) {
	r := rocking(roadsterBike(t))
	reader := &quantity.Reader{System: quantity.Imperial, Words: map[string]string{"the front wheel is locked": "das Vorderrad blockiert"}}
	scene := r.Scene(0.75, figure.Style{Reader: reader})
	var words []string
	for _, m := range scene.Marks {
		words = append(words, m.Text)
	}
	all := strings.Join(words, "|") + scene.Alt
	for _, want := range []string{"das Vorderrad blockiert", "22\u00a0mph", "controller", "25\u00a0ft"} {
		if !strings.Contains(all, want) {
			t.Errorf("%q is not in %q", want, all)
		}
	}
}

// A locked wheel is told apart from one that turns, and says so beside it; one in the air as well.
func TestWhatAWheelDoesIsSeen(t *testing.T) {
	r := rocking(roadsterBike(t))
	said := func(at float64, role string) string {
		scene, text := r.Scene(at, figure.Style{}), ""
		for _, m := range marks(&scene, role) {
			text += m.Text
		}
		return text
	}
	locked := r.Scene(0.75, figure.Style{})
	if rims := marks(&locked, "locked-span"); len(rims) != 1 || len(marks(&locked, "dust")) == 0 || len(marks(&locked, "skid")) != 1 {
		t.Errorf("%d rims of locked wheels", len(rims))
	}
	turning := r.Scene(0.3, figure.Style{})
	if rims := marks(&turning, "locked-span"); len(rims) != 0 || len(marks(&turning, "dust")) != 0 {
		t.Errorf("%d rims of locked wheels while both turn", len(rims))
	}
	if a, b := said(0.75, "locked"), said(0.3, "locked"); a != "locked" || b != "" {
		t.Errorf("it says %q and %q", a, b)
	}
	if a := said(0.5, "rear"); a != "in the air" {
		t.Errorf("of the wheel in the air it says %q", a)
	}
}

// From the moment of a likely fall on the bike goes down to its side, and the picture says so. One that goes over its front
// wheel goes on to where it comes to rest.
func TestAFallIsSeen(t *testing.T) {
	r := rocking(roadsterBike(t))
	height := func(at float64) float64 {
		scene := r.Scene(at, figure.Style{})
		_, top, _, _ := bounds(marks(&scene, "helmet")[0].Points)
		return scene.Height - top
	}
	upright := height(1.5)
	r.Result = ride.Result{Fall: ride.FrontLocked, FallTime: 0.8}
	if p := r.At(0.79); p.Down || p.Roll != 0 || r.At(1.5).Roll < 1 || !r.At(1.5).Down {
		t.Errorf("before it falls: %+v", p)
	}
	if down := height(1.5); down > 0.7*upright || math.Abs(height(0.7)-height(0.79)) > 10 {
		t.Errorf("the helmet is at %v, upright at %v", down, upright)
	}
	scene := r.Scene(1, figure.Style{})
	if words := marks(&scene, "locked"); len(words) != 1 || words[0].Text != "A fall is likely" || !strings.Contains(scene.Alt, "A fall is likely") {
		t.Errorf("it says %v", words)
	}
	r.Result = ride.Result{Fall: ride.OverTheFront, FallTime: 2, BrakingTime: 4, StoppingDistance: 20}
	if end := r.At(r.Duration()); r.Duration() != 4 || math.Abs(end.Position-20) > 1e-9 || math.Abs(end.Speed) > 1e-9 {
		t.Errorf("after %v s it lies at %v m and still goes %v m/s", r.Duration(), end.Position, end.Speed)
	}
	if before, after := r.At(2), r.At(2.001); math.Abs(before.Position-after.Position) > 0.02 {
		t.Errorf("it jumps from %v m to %v m", before.Position, after.Position)
	}
	if r.Obstacle = 18; math.Abs(r.Position(r.Duration())-18) > 1e-6 {
		t.Errorf("scraping along it stops at %v m, not at the obstacle", r.Position(r.Duration()))
	}
}

// Where nine of ten such stops end is shaded on the road and in the line below it, to scale.
func TestBandOfStopsOnTheRoad(t *testing.T) {
	r := rocking(roadsterBike(t))
	r.Rests, r.Lifts = kit.Band{Low: 15.5, High: 16.5}, kit.Band{Low: 0.1, High: 0.2}
	scene := r.Scene(2, figure.Style{Width: 1800, Height: 700, Letters: 40})
	bands, tyres := marks(&scene, "range"), marks(&scene, "tyre")
	if len(bands) != 3 { // on the road, beside its words and in the line below
		t.Fatalf("%d areas", len(bands))
	}
	rl, _, rr, _ := bounds(tyres[0].Points)
	fl, _, fr, _ := bounds(tyres[1].Points)
	scale := ((fl + fr) - (rl + rr)) / 2 / r.Setup.Bike.Wheelbase
	left, _, right, bottom := bounds(bands[0].Points)
	_, _, _, ground := bounds(tyres[1].Points)
	if math.Abs((right-left)/scale-1) > 1e-6 || math.Abs((left+right)/2-(fl+fr)/2) > 1e-6 || math.Abs(bottom-ground) > 1 {
		t.Errorf("the band goes from %v to %v, a metre is %v and the front tyre at %v", left, right, scale, (fl+fr)/2)
	}
	lifted := r.Scene(0.5, figure.Style{Width: 1800, Height: 700, Letters: 40})
	_, top, _, low := bounds(marks(&lifted, "range")[0].Points)
	if math.Abs((low-top)/scale-0.1) > 1e-6 {
		t.Errorf("lifts of 0.1 to 0.2 m are shaded %v m high", (low-top)/scale)
	}
	both := r.Beside([]kit.Film{rocking(roadsterBike(t))}, []string{"a", "b"}).Scene(2, figure.Style{Width: 440, Height: 300, Letters: 18})
	if n := len(marks(&both, "range")); n != 2 {
		t.Errorf("in a lane and in the line below both: %d areas", n)
	}
}

func BenchmarkScene(b *testing.B) {
	bike, _ := bike.Find("roadster")
	r := rocking(bike)
	for b.Loop() {
		r.Scene(1, figure.Style{})
	}
}

// The springs give way as their rates say: under 7.85 m/s² the roadster's front goes down and its tail up by the load that
// moves, m·a·h/L, over each rate (statics, any physics book). Half a second is more than two periods of its pitch.
func TestTheNoseDivesAsTheSpringsHaveIt(t *testing.T) {
	b := roadsterBike(t)
	const reaction, a = 1.0, 7.85
	r := Steady(b, 60/3.6, reaction, a)
	if p := r.At(reaction); p.Pitch != 0 || p.Heave != 0 {
		t.Errorf("before the lever is touched the nose is down by %v", p.Pitch)
	}
	moved := b.Mass * a * b.CGHeight / b.Wheelbase
	down, up := moved/b.Front.Suspension.Rate, moved/b.Rear.Suspension.Rate
	p := r.At(r.Duration())
	if want := (down + up) / b.Wheelbase; math.Abs(p.Pitch-want) > 1e-3*want {
		t.Errorf("the nose is down by %v rad, want %v", p.Pitch, want)
	}
	if want := up*(1-b.FrontShare) - down*b.FrontShare; math.Abs(p.Heave-want) > 1e-5 {
		t.Errorf("the centre of mass is up by %v m, want %v", p.Heave, want)
	}
}

func TestTheFilmEndsAtTheObstacle(t *testing.T) {
	r := Steady(roadsterBike(t), 60/3.6, 1, 7.85)
	r.Obstacle = 30
	if end := r.At(r.Duration()); math.Abs(end.Position-30) > 1e-6 || end.Speed < 5 {
		t.Errorf("it ends at %v m with %v m/s", end.Position, end.Speed)
	}
	scene := r.Scene(r.Duration(), figure.Style{Width: 1800, Height: 700, Letters: 40})
	if len(marks(&scene, "obstacle-span")) != 1 {
		t.Error("the obstacle is not to be seen")
	}
	if r.Obstacle = 40; r.Duration() != Steady(r.Setup.Bike, 60/3.6, 1, 7.85).Duration() {
		t.Error("an obstacle behind the stop cuts the film short")
	}
}

func TestColoursOfReactionAndBraking(t *testing.T) {
	r := Steady(roadsterBike(t), 60/3.6, 1, 7.85)
	for at, want := range map[float64]string{0: "reaction", 0.5: "reaction", 1.01: "braking", 2: "braking"} {
		scene := r.Scene(at, figure.Style{})
		said := ""
		for _, role := range []string{"reaction", "braking"} {
			for _, m := range marks(&scene, role) {
				if m.Text == role && m.Anchor == figure.Start {
					said += role
				}
			}
		}
		if said != want {
			t.Errorf("at %v s it says %q", at, said)
		}
		if lit := len(marks(&scene, "braking-span")) > 1; at == 0 && (lit || len(marks(&scene, "reaction-span")) != 1) || at == 2 && !lit {
			t.Errorf("at %v s the brake light shines: %v", at, lit)
		}
	}
}
