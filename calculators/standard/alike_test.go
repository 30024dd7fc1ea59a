package standard_test

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/quantity"
)

// seen is one axis as a reader sees it: its name, the range that its numbers tell, and the roles of the lines drawn over it.
type seen struct {
	name     string
	level    bool
	from, to float64 // in the unit of its name
	roles    []string
}

// axes reads the axes off a drawing: numbers and where they stand tell a scale, and the plot's edges its ends.
func axes(t *testing.T, s *figure.Scene) (list []seen) {
	t.Helper()
	var values, places []float64
	bottom, top, lines := 0.0, 0.0, []string(nil)
	read := func(name string, a, b float64) {
		if n := len(values); n < 2 {
			t.Errorf("%s: %s has %d numbers", s.Title, name, n)
		} else {
			per := (values[n-1] - values[0]) / (places[n-1] - places[0])
			list = append(list, seen{name: name, from: values[0] + (a-places[0])*per, to: values[0] + (b-places[0])*per})
		}
		values, places = nil, nil
	}
	for _, m := range s.Marks {
		switch {
		case m.Shape == figure.Letter && m.Role == "tick":
			v, err := strconv.ParseFloat(strings.NewReplacer("−", "-", ",", "").Replace(m.Text), 64)
			if err != nil {
				return nil // names of stations instead of numbers
			}
			place := m.Points[0].Y - m.Shift.Y*m.Size
			if m.Anchor == figure.Middle {
				place = m.Points[0].X
			}
			values, places = append(values, v), append(places, place)
		case m.Shape == figure.Letter && m.Role == "name" && m.Anchor == figure.Start:
			top = m.Points[0].Y - m.Shift.Y*m.Size
			read(m.Text, bottom, top+rows(s)*1.4*m.Size)
			lines = nil
		case m.Shape == figure.Letter && m.Role == "name":
			read(m.Text, s.Plot.Left, s.Plot.Left+s.Plot.Width)
			list[len(list)-1].level = true
		case m.Shape == figure.Line && m.Role == "axis" && len(m.Points) == 2 && m.Points[0].Y == m.Points[1].Y && len(values) > 0:
			bottom = m.Points[0].Y
		case m.Shape == figure.Line && m.Role != "axis" && m.Role != "grid" && !m.Dashed && len(list) > 0:
			if lines = append(lines, m.Role); len(list) > 0 {
				list[len(list)-1].roles = lines
			}
		}
	}
	return list
}

// rows is how many rows of labels stand between an axis' name and its plot, each of which begins at the left edge. Of figures
// one below the other only one has such a row in these states.
func rows(s *figure.Scene) (n float64) {
	for _, m := range s.Marks {
		if m.Halo && math.Abs(m.Points[0].X-1.6*m.Size) < 1e-9 {
			n++
		}
	}
	return n
}

// In all figures of a calculator the same quantity has the same scale: axes that bear the same name, and run the same way,
// reach from the same to the same. And it has the same colour: a label means the same role wherever it stands, and a line
// that stands alone over an axis has a role that lines over that axis have in the other figures.
func TestTheSameQuantityLooksAlike(t *testing.T) {
	eachAnswer(t, 10, func(t *testing.T, _ int, c *kit.Calculator, w *kit.Work) {
		v, named, before := &kit.View{Now: w}, map[string]string{}, []seen(nil)
		for i := range c.Figures {
			scene := v.Scene(i, kit.PageStyle(&quantity.Reader{}))
			for _, m := range scene.Marks {
				if m.Shape != figure.Letter || !m.Halo || strings.ContainsAny(m.Text, "0123456789") {
					continue
				}
				if role, ok := named[m.Text]; ok && role != m.Role {
					t.Errorf("%s: %q is %s and %s", w.Canonical(), m.Text, role, m.Role)
				}
				named[m.Text] = m.Role
			}
			now := axes(t, &scene)
			for _, a := range now {
				for _, b := range before {
					if a.name != b.name || a.level != b.level {
						continue
					}
					if slack := 0.02 * (a.to - a.from); math.Abs(a.from-b.from) > slack || math.Abs(a.to-b.to) > slack {
						t.Errorf("%s: %s from %.3g to %.3g and from %.3g to %.3g", w.Canonical(), a.name, b.from, b.to, a.from, a.to)
					}
					if len(a.roles) == 1 && len(b.roles) > 0 && !slices.Contains(b.roles, a.roles[0]) || len(b.roles) == 1 && len(a.roles) > 0 && !slices.Contains(a.roles, b.roles[0]) {
						t.Errorf("%s: %s is %v and %v", w.Canonical(), a.name, b.roles, a.roles)
					}
				}
			}
			before = append(before, now...)
		}
	})
}
