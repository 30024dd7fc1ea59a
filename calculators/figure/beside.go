package figure

// Named is a figure of another state, with what it is called beside this one.
type Named struct {
	Name  string
	Scene Scene
}

// Beside draws other states of a figure into its axes, on one scale: their lines dashed, the second one's dotted, the
// first line of each named. A scene that no charts made stays as it is.
func (s Scene) Beside(style Style, name string, others []Named) Scene {
	if len(others) == 0 || len(s.Charts) == 0 {
		return s
	}
	charts := make([]*Chart, len(s.Charts))
	for i, c := range s.Charts {
		joined := *c
		joined.Series = append([]Series(nil), c.Series...)
		joined.Spots = append([]Spot(nil), c.Spots...)
		if i == 0 && len(joined.Series) > 0 {
			joined.Series[0].Label = named(style, joined.Series[0].Label, name)
		}
		for k, other := range others {
			if i < len(other.Scene.Charts) {
				joined.add(other.Scene.Charts[i], other.Name, k > 0)
			}
			if i == 0 {
				joined.Alt += " " + other.Name + ": " + other.Scene.Alt
			}
		}
		charts[i] = &joined
	}
	charts[0].Title = s.Title
	charts[0].Name = s.Name
	return Stack(style, charts...)
}

// add puts the lines of another state into a chart, and where it ends or stands now.
func (c *Chart) add(other *Chart, name string, dotted bool) {
	for i, s := range other.Series {
		label := ""
		if i == 0 {
			label = name
		}
		c.Series = append(c.Series, Series{Role: s.Role, Label: label, X: s.X, Y: s.Y, Low: s.Low, High: s.High, Dashed: true, Dotted: dotted, LabelAt: s.LabelAt})
	}
	for _, s := range other.Spots {
		if s.Role == "now" && s.Label != "" {
			c.Spots = append(c.Spots, Spot{Role: "kept", Label: s.Label, X: s.X, Y: s.Y, Below: true})
		}
	}
	c.X.hold(other.X)
	c.Y.hold(other.Y)
}

// hold widens an axis so that another one's range fits.
func (a *Axis) hold(other Axis) { a.From, a.To = min(a.From, other.From), max(a.To, other.To) }

func named(style Style, label, name string) string {
	if label == "" || name == "" {
		return label + name
	}
	r := style.withDefaults().Reader
	return r.Say("{}, {}", r.Say(label), name)
}

// Expect draws what the reader has bet on an output into the figure, if one of its axes tells that output.
func (s Scene) Expect(style Style, output string, value float64) Scene {
	told := false
	charts := make([]*Chart, len(s.Charts))
	for i, c := range s.Charts {
		betted := *c
		for level, axis := range []Axis{c.X, c.Y} {
			if axis.Tells == output && output != "" {
				told = true
				label := style.withDefaults().Reader.Say("your bet {}", style.withDefaults().Reader.Quantity(value, axis.Shown))
				betted.Guides = append(append([]Guide(nil), betted.Guides...), Guide{Role: "bet", Label: label, At: value, Level: level == 1})
			}
		}
		charts[i] = &betted
	}
	if !told {
		return s
	}
	charts[0].Title, charts[0].Name = s.Title, s.Name
	return Stack(style, charts...)
}

// Handle is the input behind a mark: who drags the mark sets it. Along the way that it runs, From and To (scene units)
// stand for Low and High (SI).
type Handle struct {
	Input     string
	Upright   bool // it runs up and down
	From, To  float64
	Low, High float64
}
