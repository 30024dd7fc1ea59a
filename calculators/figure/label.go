package figure

import (
	"math"
	"slices"
)

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
		p.place(key{role: s.Role, text: s.Label, dot: true}, p.spotSeats(s), []Point{p.point(s.X, s.Y)})
	}
	for _, g := range p.chart.Guides {
		p.place(key{role: g.Role, text: g.Label, dashed: true}, p.guideSeats(g), p.across(g))
	}
	em := p.Letters
	for _, b := range p.chart.Bands {
		x := p.x.at(b.From) + em*0.3
		p.place(key{role: b.Role, text: b.Label, dot: true}, []seat{{Point{x, p.top + em*1.1}, Start}, {Point{x, p.bottom - em*0.6}, Start}, {Point{x, p.top + em*2.3}, Start}, {Point{x, p.top + em*3.5}, Start}},
			[]Point{{(p.x.at(b.From) + p.x.at(b.To)) / 2, p.top}, {(p.x.at(b.From) + p.x.at(b.To)) / 2, p.bottom}})
	}
	for _, b := range p.chart.Bars {
		middle := Point{(p.x.at(b.From) + p.x.at(b.To)) / 2, p.y.at(b.Height)}
		p.place(key{role: b.Role, text: b.Label, dot: true}, []seat{{Point{middle.X, middle.Y - em*0.4}, Middle}}, []Point{middle})
	}
	for i, s := range p.chart.Series {
		p.place(key{role: s.Role, text: s.Label, dashed: s.Dashed, dotted: s.Dotted}, p.seriesSeats(s, p.drawn[i]), p.drawn[i])
	}
}

// across is a guide's line through the plot.
func (p *panel) across(g Guide) []Point {
	if g.Level {
		return []Point{{p.left(), p.y.at(g.At)}, {p.right(), p.y.at(g.At)}}
	}
	return []Point{{p.x.at(g.At), p.top}, {p.x.at(g.At), p.bottom}}
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
func (p *panel) seriesSeats(s Series, line []Point) []seat {
	if s.Label == "" || len(line) == 0 {
		return nil
	}
	em := p.Letters
	var seats []seat
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

func length(line []Point) (sum float64) {
	for i := 1; i < len(line); i++ {
		sum += distance(line[i].X-line[i-1].X, line[i].Y-line[i-1].Y)
	}
	return sum
}

// along is the point at a share of a line's length.
func along(line []Point, share float64) Point {
	left := share * length(line)
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
	costMoved   = 4   // for each em that it had to be moved to stay inside the plot
	costOrder   = 0.4 // for each better seat passed over
	costSevered = 3   // in letters, if another line lies between it and what it names
	widest      = 0.8 // of a plot's width that a label in it may have
	mostSteps   = 30  // in which a line is walked to find what is near to it
	farAway     = 7   // letters that a label may stand from what it names, with a line between them
)

// place puts a label on the cheapest of its seats that hides nothing; if there is none, on the place next to what it
// names that does, with a line between them; and if there is none in the plot, above it.
func (p *panel) place(k key, seats []seat, home []Point) {
	if k.text == "" || len(home) == 0 {
		return
	}
	k.text = p.Reader.Say(k.text)
	broken := p.broken(k)
	if slices.Contains(p.keys, broken[0]) || slices.Contains(p.missing, broken[0]) {
		return
	}
	width, near := p.width(k.text), walked(home, max(p.Letters, length(home)/mostSteps))
	if width > widest*(p.right()-p.left()) {
		p.missing = append(p.missing, broken...)
		return
	}
	best, least := seat{}, math.Inf(1)
	for i, s := range seats {
		moved := p.inside(s, width)
		cost := costOrder*float64(i) + costMoved*(math.Abs(moved.X-s.X)+math.Abs(moved.Y-s.Y))/p.Letters
		if cost >= least-1e-6 {
			continue // no need to look for what it would hide
		}
		if b := p.boxOf(moved, width); !p.hides(b) && (k.dot || p.own(b, home, near)) {
			best, least = moved, cost
		}
	}
	if math.IsInf(least, 1) {
		var free bool
		if best, free = p.nearby(width, home, near); !free {
			p.missing = append(p.missing, broken...)
			return
		}
	}
	p.take(p.boxOf(best, width))
	p.add(Mark{Shape: Letter, Role: k.role, Text: k.text, Points: []Point{best.Point}, Anchor: best.anchor, Size: p.Letters, Halo: true})
}

// take keeps a box, with a rim so that two names do not read as one.
func (p *panel) take(b box) {
	gap := p.Letters * 0.25
	p.taken = append(p.taken, box{b.left - gap, b.top - gap/2, b.right + gap, b.bottom + gap/2})
}

// own reports whether no other line is nearer to a label than the one that it names.
func (p *panel) own(b box, home, near []Point) bool {
	_, far := b.from(near)
	far *= 0.9
	return !p.crossing(box{b.left - far, b.top - far, b.right + far, b.bottom + far}, home)
}

// nearest is the point of a box that is nearest to another one.
func (x box) nearest(p Point) Point {
	return Point{max(x.left, min(x.right, p.X)), max(x.top, min(x.bottom, p.Y))}
}

// from is which of some points is nearest to a box, and how far away.
func (x box) from(points []Point) (at Point, far float64) {
	least := math.Inf(1) // of the square
	for _, p := range points {
		edge := x.nearest(p)
		if d := float64((p.X-edge.X)*(p.X-edge.X)) + float64((p.Y-edge.Y)*(p.Y-edge.Y)); d < least {
			at, least = p, d
		}
	}
	return at, math.Sqrt(least)
}

// nearby is the free place nearest to a line. If it is not beside it, a thin line is drawn from the one to the other.
func (p *panel) nearby(width float64, home, near []Point) (best seat, ok bool) {
	em := p.Letters
	least, from, to := farAway*em, Point{}, Point{}
	for y := p.top + em; y < p.bottom-em*0.3; y += em * 0.7 {
		for x := p.left() + em*0.3; x+width < p.right(); x += em {
			s := seat{Point{x, y}, Start}
			b := p.boxOf(s, width)
			at, far := b.from(near)
			if rim := em * 0.15; far >= least || p.hides(box{b.left - rim, b.top, b.right + rim, b.bottom}) {
				continue
			}
			edge := b.nearest(at)
			if p.severed(at, edge, home) {
				far += costSevered * em
			}
			if far < least && !p.blocked(at, edge) {
				best, ok, least, from, to = s, true, far, at, edge
			}
		}
	}
	if ok && least > em*0.9 {
		p.rule("axis", from.X, from.Y, to.X, to.Y)
		p.lines = append(p.lines, []Point{from, to})
	}
	return best, ok
}

// severed reports whether another line lies between a place on a line and a label.
func (p *panel) severed(at, edge Point, home []Point) bool {
	return p.crossing(box{min(at.X, edge.X), min(at.Y, edge.Y), max(at.X, edge.X), max(at.Y, edge.Y)}, home)
}

// blocked reports whether a label lies on the way from a place to another one. What stands about the first is its own.
func (p *panel) blocked(from, to Point) bool {
	for _, t := range p.taken {
		if !t.meets(around(from, 1)) && t.crossed(from, to) {
			return true
		}
	}
	return false
}

// walked is points along a line, no farther apart than a step where it is straight.
func walked(line []Point, step float64) []Point {
	list := line[:1:1]
	for i, b := range line[1:] {
		a := line[i]
		for n, k := min(math.Ceil(distance(b.X-a.X, b.Y-a.Y)/step), 1000), 1.0; k <= n; k++ {
			list = append(list, Point{a.X + (b.X-a.X)*k/n, a.Y + (b.Y-a.Y)*k/n})
		}
	}
	return list
}

// hides reports whether a label in a box would cover another one, a spot or a line.
func (p *panel) hides(b box) bool {
	for _, t := range p.taken {
		if b.meets(t) {
			return true
		}
	}
	return p.crossing(b, nil)
}

// crossing reports whether a line, other than one's own, runs through a box.
func (p *panel) crossing(b box, own []Point) bool {
	for _, line := range p.lines {
		if len(own) > 0 && len(line) > 0 && line[0] == own[0] && len(line) == len(own) {
			continue
		}
		for i := 1; i < len(line); i++ {
			if b.crossed(line[i-1], line[i]) {
				return true
			}
		}
	}
	return false
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

// letterWidths are how wide small letters are, from a on, in twentieths of an em: those of a wide semibold type, so
// that a reader's own takes no more room.
const letterWidths = "\x0c\x0d\x0a\x0d\x0c\x08\x0d\x0d\x06\x06\x0d\x06\x14\x0d\x0d\x0d\x0d\x09\x0a\x09\x0d\x0c\x12\x0c\x0c\x0a"

// width is how long a label is.
func (p *panel) width(text string) float64 {
	wide := 0.0
	for _, r := range text {
		switch {
		case 'a' <= r && r <= 'z':
			wide += float64(letterWidths[r-'a']) / 20
		case r == 'M' || r == 'W' || r == '%':
			wide += 0.95
		case r == 'I' || r == ' ' || r == '\u00a0' || r == '.' || r == ',' || r == '/' || r == '(' || r == ')' || r == '\'' || r == '²' || r == '°':
			wide += 0.36
		case 0x0900 <= r && r <= 0x0902 || r == 0x093c || 0x0941 <= r && r <= 0x0948 || r == 0x094d || 0x064b <= r && r <= 0x0652: // marks above and below a letter
		default:
			wide += 0.62
		}
	}
	return 1.05 * wide * p.Letters
}
