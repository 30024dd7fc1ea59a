package figure

import "math"

// labels places the labels of spots, guides, bands and series, in that order of claim, where they meet no other.
func (l *layout) labels() {
	for _, s := range l.chart.Spots {
		l.taken = append(l.taken, around(Point{l.x.at(s.X), l.y.at(s.Y)}, l.Letters*0.4))
	}
	for _, s := range l.chart.Spots {
		x, y, em := l.x.at(s.X), l.y.at(s.Y), l.Letters
		rise := -em * 0.7
		if s.Below {
			rise = em * 1.4
		}
		l.place(s.Role, s.Label, []Point{{x, y + rise}, {x + em*0.8, y + em*0.3}, {x, y + em*0.7 - rise}}, x < l.scene.Plot.Left+l.scene.Plot.Width*0.6)
	}
	p := l.scene.Plot
	for _, g := range l.chart.Guides {
		at := []Point{{l.x.at(g.At) + l.Letters*0.4, p.Top + l.Letters}, {l.x.at(g.At) + l.Letters*0.4, p.Top + l.Letters*2.2}}
		if g.Level {
			y := l.y.at(g.At)
			at = []Point{{p.Left + l.Letters*0.5, y - l.Letters*0.4}, {p.Left + p.Width*0.5, y - l.Letters*0.4}, {p.Left + l.Letters*0.5, y + l.Letters*1.1}}
		}
		l.place(g.Role, g.Label, at, true)
	}
	for _, b := range l.chart.Bands {
		l.place(b.Role, b.Label, []Point{{l.x.at(b.From) + l.Letters*0.3, p.Top + l.Letters*1.1}, {l.x.at(b.From) + l.Letters*0.3, p.Top + p.Height - l.Letters*0.6}}, true)
	}
	for _, s := range l.chart.Series {
		l.seriesLabel(s)
	}
}

func around(p Point, r float64) box { return box{p.X - r, p.Y - r, p.X + r, p.Y + r} }

// seriesLabel stands above its line, at the place asked for or the first free one of several along it.
func (l *layout) seriesLabel(s Series) {
	if s.Label == "" || len(s.X) == 0 {
		return
	}
	var at []Point
	for _, share := range [...]float64{s.LabelAt, 0.85, 0.7, 0.55, 0.4, 0.25} {
		if share == 0 {
			share = 1
		}
		i := int(math.Round(share * float64(len(s.X)-1)))
		x, y := l.x.at(s.X[i]), l.y.at(s.Y[i])
		at = append(at, Point{x, y - l.Letters*0.55}, Point{x, y + l.Letters*1.2})
	}
	l.place(s.Role, s.Label, at, false)
}

// place puts a label at the first of the points where it fits; where none does, it takes the first, kept inside.
func (l *layout) place(role, english string, at []Point, rightwards bool) {
	if english == "" {
		return
	}
	text := l.Reader.Say(english)
	anchor := End
	if rightwards {
		anchor = Start
	}
	width := runes(text) * l.Letters * 0.54
	best := l.inside(at[0], width, anchor)
	for _, p := range at {
		p = l.inside(p, width, anchor)
		if l.free(l.boxOf(p, width, anchor)) {
			best = p
			break
		}
	}
	l.taken = append(l.taken, l.boxOf(best, width, anchor))
	l.add(Mark{Shape: Letter, Role: role, Text: text, Points: []Point{best}, Anchor: anchor, Size: l.Letters, Halo: true})
}

func (l *layout) boxOf(p Point, width float64, anchor Anchor) box {
	left := p.X
	if anchor == End {
		left -= width
	}
	return box{left, p.Y - l.Letters*0.85, left + width, p.Y + l.Letters*0.25}
}

// inside moves a label so that it stays within the plot.
func (l *layout) inside(p Point, width float64, anchor Anchor) Point {
	plot := l.scene.Plot
	b := l.boxOf(p, width, anchor)
	p.X += max(0, plot.Left+2-b.left)
	p.X -= max(0, b.right-plot.Left-plot.Width)
	p.Y += max(0, plot.Top-b.top)
	p.Y -= max(0, b.bottom-plot.Top-plot.Height)
	return p
}

func (l *layout) free(b box) bool {
	for _, t := range l.taken {
		if b.meets(t) {
			return false
		}
	}
	return true
}
