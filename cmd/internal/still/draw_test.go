package still

import (
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"testing"

	"example.org/gripleaf/calculators/figure"
)

// sample has marks of every kind, as figures have them.
func sample() figure.Scene {
	wave := func(y float64) (points []figure.Point) {
		for x := 0.0; x <= 280; x += 4 {
			points = append(points, figure.Point{X: 20 + x, Y: y + 20*math.Sin(x/25)})
		}
		return points
	}
	at := func(x, y float64) []figure.Point { return []figure.Point{{X: x, Y: y}} }
	return figure.Scene{Width: 320, Height: 240, Marks: []figure.Mark{
		{Shape: figure.Area, Role: "reaction", Points: append(wave(60), figure.Point{X: 300, Y: 100}, figure.Point{X: 20, Y: 100})},
		{Shape: figure.Area, Role: "words-span", Points: []figure.Point{{X: 20, Y: 200}, {X: 150, Y: 200}, {X: 150, Y: 212}, {X: 20, Y: 212}}},
		{Shape: figure.Line, Role: "grid", Points: []figure.Point{{X: 20, Y: 100}, {X: 300, Y: 100}}},
		{Shape: figure.Line, Role: "front", Points: wave(60)},
		{Shape: figure.Line, Role: "rear", Points: wave(120)},
		{Shape: figure.Line, Role: "locked", Points: wave(150)},
		{Shape: figure.Line, Role: "braking", Points: []figure.Point{{X: 30, Y: 230}, {X: 60, Y: 180}, {X: 62, Y: 230}, {X: 64, Y: 180}, {X: 120, Y: 230}}},
		{Shape: figure.Line, Role: "controller", Dashed: true, Points: []figure.Point{{X: 170, Y: 230}, {X: 300, Y: 190}}},
		{Shape: figure.Dot, Role: "now", Points: at(160, 62), Radius: 6},
		{Shape: figure.Dot, Role: "peak", Points: at(220, 110), Radius: 9.5},
		{Shape: figure.Letter, Role: "front", Text: "AV To 34.4\u00a0m", Size: 24, Points: at(20, 30)},
		{Shape: figure.Letter, Role: "rear", Text: "rear wheel", Size: 18, Points: at(160, 128), Anchor: figure.Middle, Halo: true},
		{Shape: figure.Letter, Role: "name", Text: "ΔΣ Скорость", Size: 16, Points: at(300, 176), Anchor: figure.End},
		{Shape: figure.Letter, Role: "tick", Text: "upwards", Size: 16, Points: at(314, 120), Anchor: figure.Middle, Vertical: true},
	}}
}

// The pictures in testdata were drawn by two other libraries, one that made strokes into areas and one that filled
// them, before this package did both itself. What is drawn must look like them: on average, and in every square of 8 by
// 8 pixels, where a line that is one pixel off is an eighth of full scale.
func TestDrawsAsOtherLibrariesDid(t *testing.T) {
	for _, g := range []Background{Light, Transparent} {
		file, err := os.Open("testdata/scene-" + string(g) + ".png")
		if err != nil {
			t.Fatal(err)
		}
		defer file.Close()
		theirs, err := png.Decode(file)
		if err != nil {
			t.Fatal(err)
		}
		scene := sample()
		s := newPen(t, g).sheet(scene.Width, scene.Height)
		s.line = 4
		s.scene(&scene, 0, 0)
		ours := s.image(1)
		if s.err != nil || ours.Bounds() != theirs.Bounds() {
			t.Fatalf("the picture is %v: %v", ours.Bounds(), s.err)
		}
		if d := difference(ours, theirs); d > 0.004 {
			t.Errorf("on %s the pictures differ by %.4f of full scale on average", g, d)
		}
		for y := 0; y < ours.Rect.Dy(); y += 8 {
			for x := 0; x < ours.Rect.Dx(); x += 8 {
				square := image.Rect(x, y, x+8, y+8)
				if d := math.Abs(brightness(ours, square) - brightness(theirs, square)); d > 1./8 {
					t.Errorf("on %s, at %v they differ by %.3f", g, square.Min, d)
				}
			}
		}
	}
}

// brightness is the mean over the pixels of a square as they look on white.
func brightness(of image.Image, square image.Rectangle) float64 {
	sum := 0.0
	for y := square.Min.Y; y < square.Max.Y; y++ {
		for x := square.Min.X; x < square.Max.X; x++ {
			c := color.RGBAModel.Convert(of.At(x, y)).(color.RGBA)
			sum += float64(c.R) + float64(c.G) + float64(c.B) + 3*(255-float64(c.A))
		}
	}
	return sum / 3 / 255 / float64(square.Dx()*square.Dy())
}
