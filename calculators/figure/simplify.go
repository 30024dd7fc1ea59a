package figure

import "math"

// Simplify drops the points of a line that lie within tolerance (scene units) of the straight way past them
// (Douglas and Peucker, 1973). It keeps the ends, and makes a line of thousands of samples small enough for a page.
func Simplify(points []Point, tolerance float64) []Point {
	if len(points) < 3 {
		return points
	}
	keep := make([]bool, len(points))
	keep[0], keep[len(points)-1] = true, true
	spans := [][2]int{{0, len(points) - 1}}
	for len(spans) > 0 {
		span := spans[len(spans)-1]
		spans = spans[:len(spans)-1]
		if far, at := farthest(points, span[0], span[1]); far > tolerance {
			keep[at] = true
			spans = append(spans, [2]int{span[0], at}, [2]int{at, span[1]})
		}
	}
	kept := make([]Point, 0, len(points)/4)
	for i, p := range points {
		if keep[i] {
			kept = append(kept, p)
		}
	}
	return kept
}

func farthest(points []Point, from, to int) (far float64, at int) {
	a, b := points[from], points[to]
	dx, dy := b.X-a.X, b.Y-a.Y
	length := distance(dx, dy)
	for i := from + 1; i < to; i++ {
		p := points[i]
		d := distance(p.X-a.X, p.Y-a.Y)
		if length > 0 {
			d = math.Abs(dx*(p.Y-a.Y)-dy*(p.X-a.X)) / length
		}
		if d > far {
			far, at = d, i
		}
	}
	return far, at
}

// distance is written out, because math.Hypot has other last bits on some machines than in WebAssembly.
func distance(dx, dy float64) float64 { return math.Sqrt(float64(dx*dx) + float64(dy*dy)) }
