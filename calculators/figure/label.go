package figure

import "math"

// box is an upright rectangle in scene units.
type box struct{ left, top, right, bottom float64 }

func (a box) meets(b box) bool {
	return a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom
}

func around(p Point, r float64) box { return box{p.X - r, p.Y - r, p.X + r, p.Y + r} }

// crossed reports whether the way from a to b enters the box (Liang and Barsky, 1984). Most ways lie wholly to one side
// of it, which is found out first.
func (x box) crossed(a, b Point) bool {
	if a.X < x.left && b.X < x.left || a.X > x.right && b.X > x.right || a.Y < x.top && b.Y < x.top || a.Y > x.bottom && b.Y > x.bottom {
		return false
	}
	from, to := 0.0, 1.0
	dx, dy := b.X-a.X, b.Y-a.Y
	for _, edge := range [...][2]float64{{-dx, a.X - x.left}, {dx, x.right - a.X}, {-dy, a.Y - x.top}, {dy, x.bottom - a.Y}} {
		slope, room := edge[0], edge[1]
		switch {
		case slope == 0:
			if room < 0 {
				return false
			}
		case slope < 0:
			from = max(from, room/slope)
		default:
			to = min(to, room/slope)
		}
	}
	return from < to
}

// seat is a place where a label could stand.
type seat struct {
	Point
	anchor Anchor
}

// labels seats the labels of spots, guides, bands, bars and series, in that order of claim.
func (p *panel) labels() {
	for _, s := range p.chart.Spots {
		p.place(s.Role, s.Label, p.spotSeats(s))
	}
	for _, g := range p.chart.Guides {
		p.place(g.Role, g.Label, p.guideSeats(g))
	}
	em := p.Letters
	for _, b := range p.chart.Bands {
		x := p.x.at(b.From) + em*0.3
		p.place(b.Role, b.Label, []seat{{Point{x, p.top + em*1.1}, Start}, {Point{x, p.bottom - em*0.6}, Start}, {Point{x, p.top + em*2.3}, Start}, {Point{x, p.top + em*3.5}, Start}})
	}
	for _, b := range p.chart.Bars {
		middle := (p.x.at(b.From) + p.x.at(b.To)) / 2
		p.place(b.Role, b.Label, []seat{{Point{middle, p.y.at(b.Height) - em*0.4}, Middle}})
	}
	for _, s := range p.chart.Series {
		p.place(s.Role, s.Label, p.seriesSeats(s))
	}
}

func (p *panel) spotSeats(s Spot) []seat {
	at, em := p.point(s.X, s.Y), p.Letters
	rise, fall := at.Y-em*0.7, at.Y+em*1.4
	if s.Below {
		rise, fall = fall, rise
	}
	near, far := Start, End
	if at.X > p.left()+(p.right()-p.left())*0.6 {
		near, far = End, Start
	}
	aside := em * 0.7
	if near == End {
		aside = -aside
	}
	return []seat{
		{Point{at.X, rise}, near}, {Point{at.X, rise}, far}, {Point{at.X, rise}, Middle},
		{Point{at.X + aside, at.Y + em*0.35}, near}, {Point{at.X - aside, at.Y + em*0.35}, far},
		{Point{at.X, fall}, near}, {Point{at.X, fall}, far}, {Point{at.X, fall}, Middle},
		{Point{at.X + aside, at.Y + em*2.3}, near}, {Point{at.X + aside, at.Y - em*1.7}, near},
		{Point{at.X - aside, at.Y - em*1.7}, far}, {Point{at.X, at.Y - em*2.9}, near}, {Point{at.X, at.Y - em*2.9}, far},
	}
}

func (p *panel) guideSeats(g Guide) []seat {
	em := p.Letters
	var seats []seat
	if g.Level {
		y := p.y.at(g.At)
		for _, height := range [...]float64{-0.4, 1.1} {
			for _, x := range [...]seat{{Point{X: p.left() + em*0.5}, Start}, {Point{X: p.right()}, End}, {Point{X: (p.left() + p.right()) / 2}, Middle}} {
				seats = append(seats, seat{Point{x.X, y + em*height}, x.anchor})
			}
		}
		return seats
	}
	x := p.x.at(g.At)
	for y := p.top + em; y < p.bottom-em*0.5; y += em * 1.2 {
		seats = append(seats, seat{Point{x + em*0.4, y}, Start}, seat{Point{x - em*0.4, y}, End})
	}
	return seats
}

// seriesSeats lie above, below and beside the line, at the place asked for and at several along it.
func (p *panel) seriesSeats(s Series) []seat {
	if s.Label == "" || len(s.X) == 0 {
		return nil
	}
	em := p.Letters
	var seats []seat
	line := make([]Point, len(s.X))
	for i := range line {
		line[i] = p.point(s.X[i], s.Y[i])
	}
	for _, share := range [...]float64{s.LabelAt, 0.9, 0.8, 0.7, 0.6, 0.5, 0.4, 0.3, 0.2} {
		if share == 0 {
			share = 1
		}
		at := along(line, share)
		seats = append(seats,
			seat{Point{at.X, at.Y - em*0.55}, End}, seat{Point{at.X, at.Y + em*1.2}, End},
			seat{Point{at.X, at.Y - em*0.55}, Start}, seat{Point{at.X, at.Y + em*1.2}, Start},
			seat{Point{at.X + em*0.6, at.Y + em*0.35}, Start}, seat{Point{at.X - em*0.6, at.Y + em*0.35}, End},
			seat{Point{at.X, at.Y - em*1.8}, End})
	}
	for _, share := range [...]float64{0.9, 0.7, 0.5, 0.3, 0.1} { // a line that swings has most of its length there
		at := line[int(share*float64(len(line)-1))]
		seats = append(seats, seat{Point{at.X, at.Y - em*0.55}, Start}, seat{Point{at.X, at.Y + em*1.2}, Start})
	}
	return seats
}

// along is the point at a share of a line's length.
func along(line []Point, share float64) Point {
	length := 0.0
	for i := 1; i < len(line); i++ {
		length += distance(line[i].X-line[i-1].X, line[i].Y-line[i-1].Y)
	}
	left := share * length
	for i := 1; i < len(line); i++ {
		dx, dy := line[i].X-line[i-1].X, line[i].Y-line[i-1].Y
		if step := distance(dx, dy); step >= left && step > 0 {
			return Point{line[i-1].X + dx*left/step, line[i-1].Y + dy*left/step}
		} else {
			left -= step
		}
	}
	return line[len(line)-1]
}

// What a seat costs. The first of several equal seats is taken.
const (
	costLabel = 100 // it covers another label or a spot
	costLine  = 12  // a line runs through it
	costMoved = 4   // for each em that it had to be moved to stay inside the plot
	costOrder = 0.4 // for each better seat passed over
)

// place puts a label on the cheapest of its seats.
func (p *panel) place(role, english string, seats []seat) {
	if english == "" || len(seats) == 0 {
		return
	}
	text := p.Reader.Say(english)
	width := runes(text) * p.Letters * 0.54
	var best seat
	least := math.Inf(1)
	for i, s := range seats {
		moved := p.inside(s, width)
		cost := costOrder*float64(i) + costMoved*(math.Abs(moved.X-s.X)+math.Abs(moved.Y-s.Y))/p.Letters
		if cost >= least-1e-6 {
			continue // no need to look for what it would hide
		}
		if cost += p.cost(p.boxOf(moved, width)); cost < least-1e-6 {
			best, least = moved, cost
		}
	}
	taken, gap := p.boxOf(best, width), p.Letters*0.25 // so that two names do not read as one
	p.taken = append(p.taken, box{taken.left - gap, taken.top - gap/2, taken.right + gap, taken.bottom + gap/2})
	p.add(Mark{Shape: Letter, Role: role, Text: text, Points: []Point{best.Point}, Anchor: best.anchor, Size: p.Letters, Halo: true})
}

// cost is what a label in a box would hide.
func (p *panel) cost(b box) float64 {
	cost := 0.0
	for _, t := range p.taken {
		if b.meets(t) {
			cost += costLabel
		}
	}
	for _, line := range p.lines {
		for i := 1; i < len(line); i++ {
			if b.crossed(line[i-1], line[i]) {
				cost += costLine
				break
			}
		}
	}
	return cost
}

func (p *panel) boxOf(s seat, width float64) box {
	left := s.X
	switch s.anchor {
	case Middle:
		left -= width / 2
	case End:
		left -= width
	}
	return box{left, s.Y - p.Letters*0.85, left + width, s.Y + p.Letters*0.25}
}

// inside moves a label so that it stays within the plot.
func (p *panel) inside(s seat, width float64) seat {
	b := p.boxOf(s, width)
	s.X += max(0, p.left()+2-b.left)
	s.X -= max(0, b.right-p.right())
	s.Y += max(0, p.top-b.top)
	s.Y -= max(0, b.bottom-p.bottom)
	return s
}
