package figure

import "slices"

// panel is a chart being drawn into its part of a scene.
type panel struct {
	Style
	chart       *Chart
	scene       *Scene
	x, y        scale
	top, bottom float64   // of the plot, scene units
	taken       []box     // where labels already stand
	lines       [][]Point // what labels must not cross
	drawn       [][]Point // the line of each series
	keys        []key     // the labels above the plot
	missing     []key     // those that found no place in it
}

func (p *panel) left() float64  { return p.x.start }
func (p *panel) right() float64 { return p.x.start + p.x.length }

func (p *panel) point(x, y float64) Point { return Point{p.x.at(x), p.y.at(y)} }

func (p *panel) add(m Mark) { p.scene.Marks = append(p.scene.Marks, m) }

func (p *panel) rule(role string, x0, y0, x1, y1 float64) {
	p.add(Mark{Shape: Line, Role: role, Points: []Point{{x0, y0}, {x1, y1}}})
}

func (p *panel) rectangle(role string, left, top, right, bottom float64) {
	p.add(Mark{Shape: Area, Role: role, Points: []Point{{left, top}, {right, top}, {right, bottom}, {left, bottom}}})
}

// text stands so many letters to the right of and below a place.
func (p *panel) text(role, text string, x, y, right, below float64, anchor Anchor) {
	at := Point{x + right*p.Letters, y + below*p.Letters}
	p.add(Mark{Shape: Letter, Role: role, Text: text, Points: []Point{at}, Anchor: anchor, Size: p.Letters, Shift: Point{right, below}})
}

func (p *panel) bands() {
	for _, b := range p.chart.Bands {
		p.rectangle(b.Role, p.x.at(b.From), p.top, p.x.at(b.To), p.bottom)
	}
}

// grid draws the upright axis' ticks with their numbers, and its name with the unit.
func (p *panel) grid() {
	em := p.Letters
	main := "grid"
	if p.Readable {
		main = "axis"
		p.x.between(func(x float64) { p.rule("grid", x, p.top, x, p.bottom) })
		p.y.between(func(y float64) { p.rule("grid", p.left(), y, p.right(), y) })
		p.x.ticks(func(v float64) {
			x := p.x.place(v)
			p.rule(main, x, p.top, x, p.bottom)
		})
	}
	p.y.ticks(func(v float64) {
		y := p.y.place(v)
		p.rule(main, p.left(), y, p.right(), y)
	})
	p.y.ticks(func(v float64) {
		y := p.y.place(v)
		p.text("tick", p.Reader.Locale.Format(v, p.y.decimals), p.left(), y, -p.aside(), 0.35, End)
	})
	p.rule("axis", p.left(), p.bottom, p.right(), p.bottom)
	p.text("name", p.axisName(p.chart.Y, p.y), em*0.3, p.top-p.head(), 0, -0.9, Start)
}

// aside is how far the numbers of the upright axis stand from it, in letters: past the handle if one moves along it.
func (p *panel) aside() float64 {
	for _, s := range p.chart.Spots {
		if s.Upright {
			return 1.2
		}
	}
	return 0.45
}

// tickRise is how long the marks of the level axis are, in letters.
const tickRise = 0.35

// foot draws the level axis below the last panel.
func (p *panel) foot() {
	em := p.Letters
	base := p.bottom + em*stripRise*float64(len(p.chart.Strips))
	p.rule("axis", p.left(), base, p.right(), base)
	for i, name := range p.chart.X.Names {
		p.text("tick", p.Reader.Say(name), p.x.at(float64(i)+0.5), base+em*tickRise, 0, 1, Middle)
	}
	if len(p.chart.X.Names) == 0 {
		p.x.ticks(func(v float64) { p.rule("axis", p.x.place(v), base, p.x.place(v), base+em*tickRise) })
		p.x.ticks(func(v float64) {
			x := p.x.place(v)
			number := p.Reader.Locale.Format(v, p.x.decimals)
			x = min(x, p.Width-runes(number)*em*0.3) // a long last number stays inside
			p.text("tick", number, x, base+em*tickRise, 0, 1, Middle)
		})
	}
	p.text("name", p.axisName(p.chart.X, p.x), p.right(), base, 0, 2.6, End)
}

func (p *panel) axisName(a Axis, s scale) string {
	if s.unit.Shown == "" {
		return p.Reader.Say(a.Label)
	}
	return p.Reader.Say("{}, {}", p.Reader.Say(a.Label), p.Reader.Say(s.unit.Shown))
}

func (p *panel) bars() {
	base := p.y.at(max(0, p.y.unit.SI(p.y.from)))
	for _, b := range p.chart.Bars {
		left, right, top := p.x.at(b.From), p.x.at(b.To), p.y.at(b.Height)
		p.rectangle(b.Role, left, top, right, base)
		p.lines = append(p.lines, []Point{{left, base}, {left, top}, {right, top}, {right, base}})
	}
}

func (p *panel) series() {
	for _, s := range p.chart.Series {
		p.limits(s)
		points := Simplify(p.points(s), 0.15)
		p.drawn = append(p.drawn, points)
		if s.Fill && len(points) > 0 {
			base := p.y.at(0)
			closed := append([]Point{{points[0].X, base}}, points...)
			closed = append(closed, Point{points[len(points)-1].X, base})
			p.add(Mark{Shape: Area, Role: s.Role, Points: closed})
		}
		p.add(Mark{Shape: Line, Role: s.Role, Points: points, Dashed: s.Dashed, Dotted: s.Dotted})
		p.lines = append(p.lines, points)
	}
}

// points are those of a series that have a place.
func (p *panel) points(s Series) []Point {
	points := make([]Point, 0, len(s.X))
	for i := range s.X {
		if drawable(s.X[i]) && drawable(s.Y[i]) {
			points = append(points, p.point(s.X[i], s.Y[i]))
		}
	}
	return points
}

// limits shades the band of a series: there along the upper limit and back along the lower one.
func (p *panel) limits(s Series) {
	if len(s.Low) != len(s.X) || len(s.High) != len(s.X) {
		return
	}
	var upper, lower []Point
	for i, x := range s.X {
		if drawable(x) && drawable(s.Low[i]) && drawable(s.High[i]) {
			upper, lower = append(upper, p.point(x, s.High[i])), append(lower, p.point(x, s.Low[i]))
		}
	}
	upper, lower = Simplify(upper, 0.15), Simplify(lower, 0.15)
	slices.Reverse(lower)
	p.add(Mark{Shape: Area, Role: s.Role, Points: append(upper, lower...)})
}

func (p *panel) guides() {
	for _, g := range p.chart.Guides {
		points := p.across(g)
		p.add(Mark{Shape: Line, Role: g.Role, Points: points, Dashed: true, Handle: p.handle(g.Input, g.Level)})
		p.lines = append(p.lines, points)
		p.grasp(g.Input, g.Level, Point{(points[0].X + points[1].X) / 2, (points[0].Y + points[1].Y) / 2})
	}
}

func (p *panel) spots() {
	for _, s := range p.chart.Spots {
		at := p.point(s.X, s.Y)
		p.add(Mark{Shape: Dot, Role: s.Role, Points: []Point{at}, Radius: p.Letters * 0.36, Handle: p.handle(s.Input, s.Upright)})
		p.taken = append(p.taken, around(at, p.Letters*0.4))
		p.grasp(s.Input, s.Upright, at)
	}
}

// grasp keeps the room of the ring and the arrows with which a page shows that a mark can be dragged.
func (p *panel) grasp(input string, upright bool, at Point) {
	if input == "" {
		return
	}
	em := p.Letters
	wide, high := em*1.35, em*0.4
	if upright {
		wide, high = high, wide
	}
	p.taken = append(p.taken, around(at, em), box{at.X - wide, at.Y - high, at.X + wide, at.Y + high})
}

// handle is that of a mark whose X, or Y if it is upright, is an input.
func (p *panel) handle(input string, upright bool) *Handle {
	if input == "" {
		return nil
	}
	s := p.x
	if upright {
		s = p.y
	}
	return &Handle{Input: input, Upright: upright, From: s.start, To: s.start + s.length, Low: s.unit.SI(s.from), High: s.unit.SI(s.to)}
}

// leastSpan is the width in scene units that every span is drawn with.
const leastSpan = 1.6

// stripRise is the height of a strip with its label, in letters.
const stripRise = 1.9

// strips draws rows of spans below the plot. What is too short to be seen gets the least width, and spans that touch
// at that width become one. Spans have a role of their own, since they are as strong as a line and not a wash.
func (p *panel) strips() {
	em := p.Letters
	for i, s := range p.chart.Strips {
		top := p.bottom + em*stripRise*float64(i)
		p.text(s.Role, p.Reader.Say(s.Label), p.left()+em*0.3, top+em*1.25, 0, -0.2, Start)
		row := func(from, to float64) { p.rectangle(s.Role+"-span", from, top+em*1.25, to, top+em*1.75) }
		p.rule("grid", p.left(), top+em*1.5, p.right(), top+em*1.5)
		from, to := 0.0, -1.0
		for _, of := range s.Spans {
			left, right := p.x.at(of[0]), p.x.at(of[1])
			if to >= from && left > to+1 {
				row(from, to)
			}
			if to < from || left > to+1 {
				from = left
			}
			to = max(right, left+leastSpan)
		}
		if to >= from {
			row(from, to)
		}
	}
}
