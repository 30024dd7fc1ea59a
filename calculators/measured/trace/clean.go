package trace

import (
	"math"
	"slices"
)

// What is odd in a log is found before anything is worked out from it.

// A piece is a part of a log without breaks: times rise, every value is there.
// Its values are speeds in m/s or, of a log without them, distances in m.
type piece struct {
	t, y     []float64
	row      []int
	step     float64 // the usual one between times, s
	grid     float64 // between values
	distance bool
}

// pieces parts a log where its clock or its distance was set back, and leaves
// out what cannot be right. Every such place is noted.
func pieces(log Log) ([]piece, []Note) {
	y, distance := log.Speed, false
	if y == nil {
		y, distance = log.Distance, true
	}
	var list []piece
	var notes []Note
	p := piece{distance: distance, grid: log.Grid}
	for i, t := range log.Time {
		if math.IsNaN(t) || math.IsNaN(y[i]) {
			continue
		}
		if n := len(p.t) - 1; n >= 0 {
			if note, ok := p.odd(n, t, y[i]); ok {
				if after := log.after(y, i); note.Kind == Reset && after >= 0 && log.Time[after] > p.t[n] && !(distance && y[after] < p.y[n]) {
					note = Note{Kind: Doubled, Says: "the row steps back and is left out; the next one goes on"}
				}
				note.Row = log.Row[i]
				notes = append(notes, note)
				if note.Kind == Doubled {
					continue
				}
				list = append(list, p)
				p = piece{distance: distance, grid: log.Grid}
			}
		}
		p.t, p.y, p.row = append(p.t, t), append(p.y, y[i]), append(p.row, log.Row[i])
	}
	list = append(list, p)
	for i := range list {
		notes = append(notes, list[i].clean()...)
	}
	slices.SortStableFunc(notes, func(a, b Note) int { return a.Row - b.Row })
	return list, notes
}

// after returns the next sample that has its values; -1 if all others lack one.
func (log *Log) after(y []float64, i int) int {
	for i++; i < len(y); i++ {
		if !math.IsNaN(log.Time[i]) && !math.IsNaN(y[i]) {
			return i
		}
	}
	return -1
}

// odd says why a sample cannot follow sample n, if it cannot: it is Doubled or a Reset.
func (p *piece) odd(n int, t, y float64) (note Note, odd bool) {
	before := []float64{float64(p.row[n])}
	switch {
	case t == p.t[n] && y == p.y[n]:
		return Note{Kind: Doubled, Says: "the row repeats row {} and is left out", Numbers: before}, true
	case t == p.t[n]:
		return Note{Kind: Doubled, Says: "the time is that of row {}, with another value; the row is left out", Numbers: before}, true
	case t < p.t[n]:
		return Note{Kind: Reset, Says: "the time runs backwards, by {} s; what follows is taken as another log", Numbers: []float64{p.t[n] - t}}, true
	case p.distance && y < p.y[n]-5:
		return Note{Kind: Reset, Says: "the distance falls by {} m; what follows is taken as another log", Numbers: []float64{p.y[n] - y}}, true
	}
	return Note{}, false
}

// clean leaves out spikes and notes gaps.
func (p *piece) clean() (notes []Note) {
	p.step = usual(steps(p.t))
	spikes := p.spikes()
	for _, i := range spikes {
		notes = append(notes, p.spike(i))
	}
	p.without(spikes)
	for i := 1; i < len(p.t); i++ {
		if dt := p.t[i] - p.t[i-1]; dt > 2.5*p.step && dt > 0.05 {
			notes = append(notes, Note{Row: p.row[i], Kind: Gap, Numbers: []float64{dt, p.step},
				Says: "there is nothing for {} s before this row; the usual step is {} s"})
		}
	}
	return notes
}

func (p *piece) spike(i int) Note {
	if p.distance {
		return Note{Row: p.row[i], Kind: Spike, Says: "the distance is far off its neighbours ({} m); the row is left out", Numbers: []float64{p.y[i]}}
	}
	return Note{Row: p.row[i], Kind: Spike, Says: "the speed is far off its neighbours ({} km/h); the row is left out",
		Numbers: []float64{p.y[i] * 3.6}}
}

// spikes returns the samples that lie off both neighbours, to the same side,
// by more than a motorcycle can and by much more than samples here usually do.
func (p *piece) spikes() []int {
	if len(p.t) < 5 {
		return nil
	}
	off := make([]float64, len(p.t))
	for i := 1; i+1 < len(p.t); i++ {
		share := (p.t[i] - p.t[i-1]) / (p.t[i+1] - p.t[i-1])
		off[i] = p.y[i] - (p.y[i-1] + share*(p.y[i+1]-p.y[i-1]))
	}
	sizes := make([]float64, 0, len(off))
	for _, o := range off[1 : len(off)-1] {
		sizes = append(sizes, math.Abs(o))
	}
	common := usual(sizes)
	var list []int
	for i := 1; i+1 < len(p.t); i++ {
		span := p.t[i+1] - p.t[i-1]
		least := 8*common + 1 + 3*span // m/s: no brake changes speed by 3 g from one sample to the next
		if p.distance {
			least = 8*common + 0.5 + 3*span*span
		}
		if math.Abs(off[i]) > least && math.Abs(off[i]) > math.Abs(off[i-1]) && math.Abs(off[i]) >= math.Abs(off[i+1]) {
			list = append(list, i)
		}
	}
	return list
}

func (p *piece) without(indices []int) {
	keep := 0
	for i := range p.t {
		if len(indices) > 0 && indices[0] == i {
			indices = indices[1:]
			continue
		}
		p.t[keep], p.y[keep], p.row[keep] = p.t[i], p.y[i], p.row[i]
		keep++
	}
	p.t, p.y, p.row = p.t[:keep], p.y[:keep], p.row[:keep]
}

func steps(t []float64) []float64 {
	var list []float64
	for i := 1; i < len(t); i++ {
		list = append(list, t[i]-t[i-1])
	}
	return list
}

// usual returns the median, 0 of nothing.
func usual(list []float64) float64 {
	if len(list) == 0 {
		return 0
	}
	sorted := slices.Clone(list)
	slices.Sort(sorted)
	return sorted[len(sorted)/2]
}
