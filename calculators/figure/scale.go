package figure

import (
	"math"

	"example.org/gripleaf/calculators/quantity"
)

// scale maps SI values of one axis to scene units, by way of the reader's unit. Its range depends on the values alone
// and not on the room that a figure has: where figures show the same values, they show them on the same scale. How many
// numbers stand along it depends on the room.
type scale struct {
	unit           *quantity.Unit
	from, to, step float64 // in the reader's unit; numbers stand at the multiples of step
	decimals       int
	start, length  float64 // scene units; length is negative upwards
}

func (s scale) at(si float64) float64 { return s.place(s.unit.From(si)) }

// place is where a value in the reader's unit is.
func (s scale) place(value float64) float64 {
	return s.start + s.length*(value-s.from)/(s.to-s.from)
}

// bounds are the multiples of a step that lie within the scale: the first and the last.
func (s scale) bounds(step float64) (first, last float64) {
	return math.Ceil(s.from/step - 1e-9), math.Floor(s.to/step + 1e-9)
}

func (s scale) ticks(visit func(value float64)) {
	first, last := s.bounds(s.step)
	for n := first; n <= last; n++ {
		visit(n * s.step)
	}
}

// between visits the places, in scene units, that cut each step between two numbers into ten, five or two: as many as
// leave five units between them.
func (s scale) between(visit func(at float64)) {
	for _, parts := range []float64{10, 5, 2} {
		fine := s.step / parts
		if math.Abs(s.length)*fine/(s.to-s.from) < 5 {
			continue
		}
		first, last := s.bounds(fine)
		for n := first; n <= last; n++ {
			if math.Mod(n, parts) != 0 {
				visit(s.place(n * fine))
			}
		}
		return
	}
}

// span is a range of SI values that grows; what cannot be drawn does not count.
type span struct{ from, to float64 }

func (s *span) hold(values ...float64) {
	for _, v := range values {
		if drawable(v) {
			s.from, s.to = min(s.from, v), max(s.to, v)
		}
	}
}

// span is the range that an axis asks for.
func (a Axis) span() span {
	if !drawable(a.From) || !drawable(a.To) {
		return span{}
	}
	return span{min(a.From, a.To), max(a.From, a.To)}
}

// drawable reports whether a value can have a place on an axis: no number that calculators give is larger.
func drawable(v float64) bool { return math.Abs(v) < 1e12 }

// spans are the ranges that hold all of a chart's data, with room above for what stands on spots and bars.
func (c *Chart) spans() (x, y span) {
	x, y = c.X.span(), c.Y.span()
	if n := len(c.X.Names); n > 0 {
		x.hold(0, float64(n))
	}
	for _, s := range c.Series {
		x.hold(s.X...)
		y.hold(s.Y...)
		y.hold(s.Low...)
		y.hold(s.High...)
	}
	for _, s := range c.Spots {
		x.hold(s.X)
		y.hold(s.Y)
	}
	for _, b := range c.Bars {
		x.hold(b.From, b.To)
		y.hold(b.Height)
	}
	for _, g := range c.Guides {
		if g.Level {
			y.hold(g.At)
		} else {
			x.hold(g.At)
		}
	}
	room := 0.08 * (y.to - y.from)
	for _, s := range c.Spots {
		if s.Label != "" && !s.Below || s.Upright {
			y.hold(s.Y + room)
		}
	}
	for _, b := range c.Bars {
		if b.Label != "" {
			y.hold(b.Height + room)
		}
	}
	return x, y
}

// arrange gives each chart its share of the height and one scale of X to all.
func arrange(style Style, scene *Scene, charts []*Chart, keys [][]key) []*panel {
	em, n := style.Letters, float64(len(charts))
	foot := em * 2.9
	each := (style.Height - foot) / n
	var panels []*panel
	var x span
	left := 0.0
	for i, c := range charts {
		p := &panel{Style: style, chart: c, scene: scene, keys: keys[i]}
		cx, cy := c.spans()
		if i == 0 {
			x = cx
		}
		x.hold(cx.from, cx.to)
		p.top = each*float64(i) + em*1.9 // room for the name of the upright axis, which stands level above it
		p.top += p.head()
		p.bottom = each * float64(i+1)
		p.bottom -= em * stripRise * float64(len(c.Strips))
		if i+1 < len(charts) {
			p.bottom -= em * 0.5
		}
		p.y = fit(style.Reader, c.Y.Shown, cy, max(1, int((p.bottom-p.top)/(em*2.4))))
		left = max(left, p.y.widest(style.Reader)*em*0.6+em*(0.45+p.aside()))
		panels = append(panels, p)
	}
	right := style.Width - em*1.3
	across := level(style, charts[0].X.Shown, x, right-left)
	across.start = left
	for _, p := range panels {
		p.y.start, p.y.length = p.bottom, p.top-p.bottom
		p.x = across
		if p.chart.Square {
			p.square(x)
		}
	}
	scene.Plot = Plot{Left: panels[0].x.start, Top: panels[0].top, Width: panels[0].x.length,
		Height: panels[len(panels)-1].bottom - panels[0].top,
		From:   across.unit.SI(panels[0].x.from), To: across.unit.SI(panels[0].x.to), Runs: charts[0].Runs}
	return panels
}

// level fits a scale into a length so that the numbers below it keep apart.
func level(style Style, shown quantity.Shown, x span, length float64) scale {
	for most := max(2, int(length/(style.Letters*4))); ; most-- {
		s := fit(style.Reader, shown, x, most)
		s.length = length
		apart := length * s.step / (s.to - s.from)
		if most <= 1 || s.widest(style.Reader)*0.6+0.6 <= apart/style.Letters {
			return s
		}
	}
}

// square shortens the longer side: across, what is left is centred, with as many numbers as have room there; upwards,
// the scene becomes lower.
func (p *panel) square(x span) {
	up := -p.y.length / (p.y.to - p.y.from)
	s := level(p.Style, p.chart.X.Shown, x, min(p.x.length, up*(p.x.to-p.x.from)))
	s.start, s.length = p.x.start, min(p.x.length, up*(s.to-s.from))
	s.start += (p.x.length - s.length) / 2
	p.x = s
	across := s.length / (s.to - s.from)
	spare := p.y.length*across/up - p.y.length
	p.y.length += spare
	p.y.start -= spare
	p.bottom -= spare
	p.scene.Height -= spare
}

// rounded is how many parts a span is thought of when its ends are rounded: to the least round number that is no
// smaller.
const rounded = 6

// fit rounds a span to a range in the reader's unit, with at most so many steps between its numbers.
func fit(r *quantity.Reader, shown quantity.Shown, si span, most int) scale {
	unit, _ := shown.In(r.System)
	a, b := unit.From(si.from), unit.From(si.to)
	if b-a < 1e-9 {
		b = a + 1
	}
	step, _ := niceStep((b-a)/rounded, shown.Kind)
	s := scale{unit: unit, from: math.Floor(a/step+1e-9) * step, to: math.Ceil(b/step-1e-9) * step}
	s.step, s.decimals = niceStep((s.to-s.from)/float64(most), shown.Kind)
	for first, last := s.bounds(s.step); last-first < 1 && s.step > step; first, last = s.bounds(s.step) { // two numbers at least
		s.step, s.decimals = niceStep(s.step*0.4, shown.Kind)
	}
	return s
}

// niceStep is the least of 1, 2, 5 times a power of ten that is not below least, and the decimals its multiples need.
func niceStep(least float64, kind quantity.Kind) (step float64, decimals int) {
	if kind == quantity.Whole {
		least = max(least, 1)
	}
	magnitude := 1.0
	for magnitude > least {
		magnitude /= 10
		decimals++
	}
	for magnitude*10 <= least {
		magnitude *= 10
	}
	for _, m := range [...]float64{1, 2, 5, 10} {
		if step = m * magnitude; step >= least*(1-1e-9) {
			if m == 10 && decimals > 0 {
				decimals--
			}
			return step, decimals
		}
	}
	return step, decimals
}

// widest is how many letters the longest number of a scale has: it is the first or the last.
func (s scale) widest(r *quantity.Reader) float64 {
	first, last := s.bounds(s.step)
	return max(runes(r.Locale.Format(first*s.step, s.decimals)), runes(r.Locale.Format(last*s.step, s.decimals)))
}

func runes(text string) float64 {
	n := 0
	for range text {
		n++
	}
	return float64(n)
}
