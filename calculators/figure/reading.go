package figure

import "example.org/gripleaf/calculators/quantity"

// Along is the level axis of a figure that is read along it for an output, such as the road on which a bike stops;
// false if there is none. runs is what runs along it, as in Plot.
func (s *Scene) Along(output string) (axis Axis, runs string, ok bool) {
	for _, c := range s.Charts {
		if output != "" && c.X.Tells == output {
			return c.X, c.Runs, true
		}
	}
	return Axis{}, "", false
}

// Said is one quantity at one place of a figure, as a reader is told it.
type Said struct{ Label, Text string }

// At says what a figure shows where its level axis has the SI value x: first where that is, then each quantity there.
// Of a figure whose lines do not run along that axis, such as an outline, it says nothing.
func (s *Scene) At(x float64, r *quantity.Reader) []Said {
	var said []Said
	for _, c := range s.Charts {
		said = append(said, c.at(x, r)...)
	}
	if len(said) == 0 {
		return nil
	}
	axis := s.Charts[0].X
	place := r.Quantity(x, axis.Shown)
	if n := len(axis.Names); n > 0 {
		place = r.Say(axis.Names[max(0, min(int(x), n-1))])
	}
	return append([]Said{{r.Say(axis.Label), place}}, said...)
}

func (c *Chart) at(x float64, r *quantity.Reader) (said []Said) {
	yes := func(is bool) string {
		if is {
			return r.Quantity(1, quantity.Shown{Kind: quantity.YesNo})
		}
		return r.Quantity(0, quantity.Shown{Kind: quantity.YesNo})
	}
	for _, s := range c.Series {
		if y, ok := s.at(s.Y, x); ok {
			text := r.Quantity(y, c.Y.Shown)
			if len(s.Low) == len(s.X) && len(s.High) == len(s.X) {
				low, _ := s.at(s.Low, x)
				high, _ := s.at(s.High, x)
				text = r.Say("{}, {}", text, r.Say("{} to {} in nine of ten", r.Number(low, c.Y.Shown), r.Number(high, c.Y.Shown)))
			}
			said = append(said, Said{r.Say(orElse(s.Label, c.Y.Label)), text})
		}
	}
	for _, b := range c.Bars {
		if slack := 0.2 * (b.To - b.From); b.From <= x && x < b.To+slack { // the gap to the next bar belongs to this one
			said = append(said, Said{r.Say(orElse(b.Label, c.Y.Label)), r.Quantity(b.Height, c.Y.Shown)})
			break
		}
	}
	for _, b := range c.Bands {
		if b.Label != "" && b.From <= x && x < b.To {
			said = append(said, Said{Label: r.Say(b.Label)})
		}
	}
	for _, s := range c.Strips {
		on := false
		for _, span := range s.Spans {
			on = on || span[0] <= x && x <= span[1]
		}
		said = append(said, Said{r.Say(s.Label), yes(on)})
	}
	return said
}

// at is the height that the line, or a limit of its band, has at x. A line that turns back has no one height.
func (s *Series) at(heights []float64, x float64) (y float64, ok bool) {
	n := len(s.X)
	if n == 0 || !(s.X[0] <= x && x <= s.X[n-1]) {
		return 0, false
	}
	for i := 1; i < n; i++ {
		if s.X[i] < s.X[i-1] {
			return 0, false
		}
	}
	from, to := 0, n-1
	for to-from > 1 {
		if middle := (from + to) / 2; s.X[middle] <= x {
			from = middle
		} else {
			to = middle
		}
	}
	if y = heights[from]; s.X[to] > s.X[from] {
		y += (heights[to] - y) * (x - s.X[from]) / (s.X[to] - s.X[from])
	}
	return y, drawable(y)
}
