package still

import (
	"image/color"
	"math"

	"github.com/go-text/typesetting/font/opentype"

	"example.org/gripleaf/calculators/figure"
)

// A path is a row of contours as fonts have them, in units from the top left corner, y downwards. A contour that is
// filled is closed without a segment of its own.
type path []opentype.Segment

func (p *path) add(op opentype.SegmentOp, points ...figure.Point) {
	s := opentype.Segment{Op: op}
	for i, q := range points {
		s.Args[i] = opentype.SegmentPoint{X: float32(q.X), Y: float32(q.Y)}
	}
	*p = append(*p, s)
}

// moved is the path shifted, after it was enlarged.
func (p path) moved(x, y, scale float64) path {
	return p.mapped(func(q figure.Point) figure.Point { return figure.Point{X: x + q.X*scale, Y: y + q.Y*scale} })
}

// upright is a path of words turned by a quarter, so that they read from bottom to top.
func (p path) upright() path {
	return p.mapped(func(q figure.Point) figure.Point { return figure.Point{X: q.Y, Y: -q.X} })
}

func (p path) mapped(to func(figure.Point) figure.Point) path {
	mapped := make(path, 0, len(p))
	for _, s := range p {
		arguments := s.ArgsSlice()
		points := make([]figure.Point, len(arguments))
		for i, a := range arguments {
			points[i] = to(point(a))
		}
		mapped.add(s.Op, points...)
	}
	return mapped
}

func point(p opentype.SegmentPoint) figure.Point {
	return figure.Point{X: float64(p.X), Y: float64(p.Y)}
}

// bounds is how far the path's points reach.
func (p path) bounds() box {
	b := box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for i := range p {
		for _, q := range p[i].ArgsSlice() {
			b.left, b.right = min(b.left, float64(q.X)), max(b.right, float64(q.X))
			b.top, b.bottom = min(b.top, float64(q.Y)), max(b.bottom, float64(q.Y))
		}
	}
	return b
}

func polyline(points []figure.Point, x, y float64) path {
	var p path
	op := opentype.SegmentOpMoveTo
	for _, q := range points {
		p.add(op, figure.Point{X: x + q.X, Y: y + q.Y})
		op = opentype.SegmentOpLineTo
	}
	return p
}

func rectangle(b box) path {
	return polyline([]figure.Point{{X: b.left, Y: b.top}, {X: b.right, Y: b.top}, {X: b.right, Y: b.bottom}, {X: b.left, Y: b.bottom}}, 0, 0)
}

// circle is made of four curves; each strays from the true one by less than a three thousandth of the radius.
func circle(x, y, radius float64) path {
	const handle = 0.5522847498
	var p path
	p.add(opentype.SegmentOpMoveTo, figure.Point{X: x + radius, Y: y})
	for _, d := range [][2]float64{{0, 1}, {-1, 0}, {0, -1}, {1, 0}} {
		from := figure.Point{X: d[1], Y: -d[0]} // a quarter back
		at := func(a, b float64) figure.Point {
			return figure.Point{X: x + radius*(a*from.X+b*d[0]), Y: y + radius*(a*from.Y+b*d[1])}
		}
		p.add(opentype.SegmentOpCubeTo, at(1, handle), at(handle, 1), at(0, 1))
	}
	return p
}

// A shape is a path in one colour: filled, or drawn as a line with round ends and corners.
type shape struct {
	path
	colour color.RGBA
	width  float64   // of the line; 0 fills
	dashes []float64 // of the line, by turns drawn and left out
	words  string    // that the path shows
	size   float64   // of their letters
}

// A drawing is shapes one over the other, on paper or on nothing.
type drawing struct {
	width, height float64
	paper         color.RGBA
	shapes        []shape
}

func (d *drawing) fill(p path, c color.RGBA) { d.shapes = append(d.shapes, shape{path: p, colour: c}) }

func (d *drawing) stroke(p path, c color.RGBA, width float64, dashes ...float64) {
	d.shapes = append(d.shapes, shape{path: p, colour: c, width: width, dashes: dashes})
}
