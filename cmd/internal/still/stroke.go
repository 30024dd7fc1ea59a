package still

import (
	"math"

	"github.com/go-text/typesetting/font/opentype"

	"example.org/gripleaf/calculators/figure"
)

// tolerance is how far the straight pieces of a curve may stray from it, in the path's unit. It is a fraction of what
// the eye tells apart in pixels.
const tolerance = 0.05

// flat gives the path's contours with curves made of straight pieces.
func (p path) flat() [][]figure.Point {
	var contours [][]figure.Point
	for i := range p {
		var a [3]figure.Point
		for k := range a {
			a[k] = point(p[i].Args[k])
		}
		if p[i].Op == opentype.SegmentOpMoveTo {
			contours = append(contours, []figure.Point{a[0]})
			continue
		}
		last := &contours[len(contours)-1]
		from := (*last)[len(*last)-1]
		switch p[i].Op {
		case opentype.SegmentOpLineTo:
			*last = append(*last, a[0])
		case opentype.SegmentOpQuadTo: // the same curve with four points
			third := func(p, q figure.Point) figure.Point {
				return figure.Point{X: p.X + (q.X-p.X)*2/3, Y: p.Y + (q.Y-p.Y)*2/3}
			}
			*last = curve(*last, from, third(from, a[0]), third(a[1], a[0]), a[1])
		case opentype.SegmentOpCubeTo:
			*last = curve(*last, from, a[0], a[1], a[2])
		}
	}
	return contours
}

// curve adds a Bézier curve in equal steps of its parameter. A curve strays from a chord by at most an eighth of its
// second derivative times the step squared, and the derivative by six times the bend of its points.
func curve(to []figure.Point, p, q, r, s figure.Point) []figure.Point {
	bend := max(math.Hypot(p.X-2*q.X+r.X, p.Y-2*q.Y+r.Y), math.Hypot(q.X-2*r.X+s.X, q.Y-2*r.Y+s.Y))
	n := math.Ceil(math.Sqrt(0.75 * bend / tolerance))
	for i := 1.0; i < n; i++ {
		t := i / n
		u := 1 - t
		a, b, c, d := u*u*u, 3*u*u*t, 3*u*t*t, t*t*t
		to = append(to, figure.Point{X: a*p.X + b*q.X + c*r.X + d*s.X, Y: a*p.Y + b*q.Y + c*r.Y + d*s.Y})
	}
	return append(to, s)
}

// outline is the area that a line of a width covers, with round ends and corners, as pieces that all turn the same way:
// where they meet their edges cancel, and where they overlap the non-zero rule makes them one.
func outline(contours [][]figure.Point, width float64) path {
	var p path
	for _, c := range contours {
		p.line(distinct(c), width/2)
	}
	return p
}

// distinct leaves out points that stand where the one before does.
func distinct(points []figure.Point) []figure.Point {
	list := points[:1:1]
	for _, q := range points[1:] {
		if q != list[len(list)-1] {
			list = append(list, q)
		}
	}
	return list
}

func (p *path) line(points []figure.Point, radius float64) {
	last := len(points) - 1
	if last == 0 {
		p.sector(points[0], 0, 2*math.Pi, radius)
		return
	}
	direction := func(i int) float64 {
		return math.Atan2(points[i+1].Y-points[i].Y, points[i+1].X-points[i].X)
	}
	p.sector(points[0], direction(0)+math.Pi/2, math.Pi, radius)
	for i := range last {
		a := direction(i)
		p.slab(points[i], points[i+1], a, radius)
		if i+1 < last {
			if turn := math.Remainder(direction(i+1)-a, 2*math.Pi); turn > 0 {
				p.sector(points[i+1], a-math.Pi/2, turn, radius)
			} else {
				p.sector(points[i+1], a+turn+math.Pi/2, -turn, radius)
			}
		}
	}
	p.sector(points[last], direction(last-1)-math.Pi/2, math.Pi, radius)
}

// slab is the straight part of a line.
func (p *path) slab(from, to figure.Point, angle, radius float64) {
	y, x := math.Sincos(angle + math.Pi/2)
	x, y = x*radius, y*radius
	*p = append(*p, polyline([]figure.Point{{X: from.X - x, Y: from.Y - y}, {X: to.X - x, Y: to.Y - y},
		{X: to.X + x, Y: to.Y + y}, {X: from.X + x, Y: from.Y + y}}, 0, 0)...)
}

// sector is a part of a disc, beginning at an angle.
func (p *path) sector(centre figure.Point, from, turn, radius float64) {
	step := 2 * math.Acos(1-min(1, tolerance/radius))
	n := math.Ceil(turn / step)
	if n == 0 {
		return
	}
	p.add(opentype.SegmentOpMoveTo, centre)
	for i := 0.0; i <= n; i++ {
		y, x := math.Sincos(from + turn*i/n)
		p.add(opentype.SegmentOpLineTo, figure.Point{X: centre.X + radius*x, Y: centre.Y + radius*y})
	}
}

// dashed cuts contours into dashes.
func dashed(contours [][]figure.Point, dashes []float64) [][]figure.Point {
	var cut [][]figure.Point
	for _, c := range contours {
		i, left := 0, dashes[0]
		piece := []figure.Point{c[0]}
		for k := 1; k < len(c); {
			from := piece[len(piece)-1]
			length := math.Hypot(c[k].X-from.X, c[k].Y-from.Y)
			if length <= left {
				piece, left = append(piece, c[k]), left-length
				k++
				continue
			}
			at := figure.Point{X: from.X + (c[k].X-from.X)*left/length, Y: from.Y + (c[k].Y-from.Y)*left/length}
			if i%2 == 0 {
				cut = append(cut, append(piece, at))
			}
			i++
			piece, left = []figure.Point{at}, dashes[i%len(dashes)]
		}
		if i%2 == 0 && len(piece) > 1 {
			cut = append(cut, piece)
		}
	}
	return cut
}
