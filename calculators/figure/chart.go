package figure

import (
	"math"

	"example.org/gripleaf/calculators/quantity"
)

// Axis is one side of a chart. Its range grows to hold the data; From and To are always inside it.
type Axis struct {
	Label    string // English
	Shown    quantity.Shown
	From, To float64 // SI
}

// Series is a line through data, or the area below it. X and Y are SI and of one length, X ascending unless it is a path.
type Series struct {
	Role, Label string
	X, Y        []float64
	Fill        bool // down to nought
	Dashed      bool
	LabelAt     float64 // where along the line its label stands: 0 is its end, otherwise a share of its points
}

// Spot is a single marked place with its label.
type Spot struct {
	Role, Label string
	X, Y        float64
	Below       bool // the label stands below it
}

// Guide is a straight line across the plot at one value, with its label.
type Guide struct {
	Role, Label string
	At          float64
	Level       bool // at a value of Y; otherwise at a value of X
}

// Band is a span of X shaded over the whole height.
type Band struct {
	Role, Label string
	From, To    float64
}

// Chart is a figure with two axes, in SI and in English. Labels may hold {} for nothing: they are said as they stand.
type Chart struct {
	Name, Title, Alt string
	Runs             string // see Plot
	X, Y             Axis
	Bands            []Band
	Guides           []Guide
	Series           []Series
	Spots            []Spot
	Table            Table // without columns, the series make it
}

// layout is a chart being drawn for one style.
type layout struct {
	Style
	chart *Chart
	scene Scene
	x, y  scale
	taken []box // where labels already stand
}

// scale maps SI values of one axis to scene units, by way of the reader's unit.
type scale struct {
	unit           *quantity.Unit
	from, to, step float64 // in the reader's unit
	decimals       int
	start, length  float64 // scene units; length is negative upwards
}

func (s scale) at(si float64) float64 {
	return s.start + s.length*(s.unit.From(si)-s.from)/(s.to-s.from)
}

type box struct{ left, top, right, bottom float64 }

func (a box) meets(b box) bool {
	return a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom
}

// Scene lays the chart out for a style.
func (c *Chart) Scene(style Style) Scene {
	l := &layout{Style: style.withDefaults(), chart: c}
	l.scene = Scene{Name: c.Name, Title: l.Reader.Say(c.Title), Alt: c.Alt, Width: l.Width, Height: l.Height}
	l.axes()
	l.bands()
	l.grid()
	l.series()
	l.guides()
	l.spots()
	l.labels()
	l.scene.Table = c.Table
	if len(c.Table.Columns) == 0 {
		l.scene.Table = c.table()
	}
	return l.scene
}

// table joins all series that share the X of the first one.
func (c *Chart) table() Table {
	if len(c.Series) == 0 {
		return Table{}
	}
	x := c.Series[0].X
	t := Table{Columns: []Column{{Label: c.X.Label, Shown: c.X.Shown, Values: x}}}
	for _, s := range c.Series {
		if len(s.X) == len(x) && &s.X[0] == &x[0] {
			t.Columns = append(t.Columns, Column{Label: orElse(s.Label, c.Y.Label), Shown: c.Y.Shown, Values: s.Y})
		}
	}
	return t
}

func orElse(a, b string) string {
	if a == "" {
		return b
	}
	return a
}

func (l *layout) axes() {
	c, em := l.chart, l.Letters
	x0, x1, y0, y1 := c.X.From, c.X.To, c.Y.From, c.Y.To
	for _, s := range c.Series {
		for i := range s.X {
			x0, x1, y0, y1 = min(x0, s.X[i]), max(x1, s.X[i]), min(y0, s.Y[i]), max(y1, s.Y[i])
		}
	}
	for _, s := range c.Spots {
		x0, x1, y0, y1 = min(x0, s.X), max(x1, s.X), min(y0, s.Y), max(y1, s.Y)
	}
	for _, g := range c.Guides {
		if g.Level {
			y0, y1 = min(y0, g.At), max(y1, g.At)
		} else {
			x0, x1 = min(x0, g.At), max(x1, g.At)
		}
	}
	top := em * 1.7 // room for the name of the upright axis, which stands level above it
	bottom := l.Height - em*2.9
	l.y = l.fit(c.Y.Shown, y0, y1, max(2, int((bottom-top)/(em*2.6))))
	left := l.widest(l.y)*em*0.6 + em*0.9
	right := l.Width - em*0.9
	l.x = l.fit(c.X.Shown, x0, x1, max(2, int((right-left)/(em*4))))
	l.x.start, l.x.length = left, right-left
	l.y.start, l.y.length = bottom, top-bottom
	l.scene.Plot = Plot{Left: left, Top: top, Width: right - left, Height: bottom - top,
		From: l.x.unit.SI(l.x.from), To: l.x.unit.SI(l.x.to), Runs: c.Runs}
}

// fit chooses round ticks in the reader's unit that cover from..to.
func (l *layout) fit(shown quantity.Shown, from, to float64, most int) scale {
	unit, _ := shown.In(l.Reader.System)
	a, b := unit.From(from), unit.From(to)
	if b-a < 1e-9 {
		b = a + 1
	}
	step, decimals := niceStep((b-a)/float64(most), shown.Kind)
	s := scale{unit: unit, step: step, decimals: decimals}
	s.from = math.Floor(a/step+1e-9) * step
	s.to = math.Ceil(b/step-1e-9) * step
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

func (s scale) ticks(visit func(value float64)) {
	n := int(math.Round((s.to - s.from) / s.step))
	for i := 0; i <= n; i++ {
		visit(s.from + float64(i)*s.step)
	}
}

func (l *layout) widest(s scale) float64 {
	widest := 0.0
	s.ticks(func(v float64) { widest = max(widest, runes(l.Reader.Locale.Format(v, s.decimals))) })
	return widest
}

func runes(text string) float64 {
	n := 0
	for range text {
		n++
	}
	return float64(n)
}

func (l *layout) add(m Mark) { l.scene.Marks = append(l.scene.Marks, m) }

func (l *layout) rule(role string, x0, y0, x1, y1 float64) {
	l.add(Mark{Shape: Line, Role: role, Points: []Point{{x0, y0}, {x1, y1}}})
}

func (l *layout) bands() {
	for _, b := range l.chart.Bands {
		x0, x1 := l.x.at(b.From), l.x.at(b.To)
		top, bottom := l.y.start+l.y.length, l.y.start
		l.add(Mark{Shape: Area, Role: b.Role, Points: []Point{{x0, top}, {x1, top}, {x1, bottom}, {x0, bottom}}})
	}
}

// grid draws ticks with their numbers, and each axis' name with the unit.
func (l *layout) grid() {
	em, p := l.Letters, l.scene.Plot
	bottom, right := p.Top+p.Height, p.Left+p.Width
	l.y.ticks(func(v float64) {
		y := l.y.at(l.y.unit.SI(v))
		l.rule("grid", p.Left, y, right, y)
		l.text("tick", l.Reader.Locale.Format(v, l.y.decimals), p.Left-em*0.45, y+em*0.35, End, em)
	})
	l.x.ticks(func(v float64) {
		x := l.x.at(l.x.unit.SI(v))
		l.rule("axis", x, bottom, x, bottom+em*0.35)
		l.text("tick", l.Reader.Locale.Format(v, l.x.decimals), x, bottom+em*1.35, Middle, em)
	})
	l.rule("axis", p.Left, bottom, right, bottom)
	l.text("name", l.axisName(l.chart.Y, l.y), em*0.3, em, Start, em)
	l.text("name", l.axisName(l.chart.X, l.x), right, bottom+em*2.6, End, em)
}

func (l *layout) axisName(a Axis, s scale) string {
	if s.unit.Shown == "" {
		return l.Reader.Say(a.Label)
	}
	return l.Reader.Say(a.Label) + ", " + l.Reader.Say(s.unit.Shown)
}

func (l *layout) text(role, text string, x, y float64, anchor Anchor, size float64) {
	l.add(Mark{Shape: Letter, Role: role, Text: text, Points: []Point{{x, y}}, Anchor: anchor, Size: size})
}

func (l *layout) series() {
	for _, s := range l.chart.Series {
		points := make([]Point, len(s.X))
		for i := range s.X {
			points[i] = Point{l.x.at(s.X[i]), l.y.at(s.Y[i])}
		}
		points = Simplify(points, 0.12)
		if s.Fill && len(points) > 0 {
			base := l.y.at(0)
			closed := append([]Point{{points[0].X, base}}, points...)
			closed = append(closed, Point{points[len(points)-1].X, base})
			l.add(Mark{Shape: Area, Role: s.Role, Points: closed})
		}
		l.add(Mark{Shape: Line, Role: s.Role, Points: points, Dashed: s.Dashed})
	}
}

func (l *layout) guides() {
	p := l.scene.Plot
	for _, g := range l.chart.Guides {
		points := []Point{{l.x.at(g.At), p.Top}, {l.x.at(g.At), p.Top + p.Height}}
		if g.Level {
			points = []Point{{p.Left, l.y.at(g.At)}, {p.Left + p.Width, l.y.at(g.At)}}
		}
		l.add(Mark{Shape: Line, Role: g.Role, Points: points, Dashed: true})
	}
}

func (l *layout) spots() {
	for _, s := range l.chart.Spots {
		l.add(Mark{Shape: Dot, Role: s.Role, Points: []Point{{l.x.at(s.X), l.y.at(s.Y)}}, Radius: l.Letters * 0.36})
	}
}
