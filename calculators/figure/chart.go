package figure

import "example.org/gripleaf/calculators/quantity"

// Axis is one side of a chart. Its range grows to hold the data; From and To are always inside it.
type Axis struct {
	Label    string // English
	Shown    quantity.Shown
	From, To float64  // SI
	Tells    string   // the output that is read along it, for what a reader has bet; may be empty
	Names    []string // of the level axis: what stands below 0 to 1, 1 to 2 and so on, instead of numbers
}

// Series is a line through data, or the area below it. X and Y are SI and of one length, X ascending unless it is a
// path.
type Series struct {
	Role, Label string
	X, Y        []float64
	Low, High   []float64 // the limits of its band, parallel to X; nil without one
	Fill        bool      // down to nought
	Dashed      bool
	Dotted      bool    // shorter dashes
	LabelAt     float64 // where along the line its label stands: 0 is its end, otherwise a share of its length
}

// Spot is a single marked place with its label.
type Spot struct {
	Role, Label string
	X, Y        float64
	Below       bool   // the label stands below it
	Input       string // the input that is its X, if it can be dragged
	Upright     bool   // its Y is the input
}

// Guide is a straight line across the plot at one value, with its label.
type Guide struct {
	Role, Label string
	At          float64
	Level       bool   // at a value of Y; otherwise at a value of X
	Input       string // the input that it stands for, if it can be dragged
}

// Band is a span of X shaded over the whole height.
type Band struct {
	Role, Label string
	From, To    float64
}

// Bar stands on nought over a span of X.
type Bar struct {
	Role, Label      string
	From, To, Height float64
}

// Strip is a row of spans of X below the plot, under its own label: when a valve was open, when a wheel was in the air.
type Strip struct {
	Role, Label string
	Spans       [][2]float64
}

// Chart is a figure with two axes, in SI and in English. Labels may hold {} for nothing: they are said as they stand.
type Chart struct {
	Name, Title, Alt string
	Runs             string // see Plot
	X, Y             Axis
	Square           bool // a step of X is as long as the same step of Y, so that a circle is round
	Bands            []Band
	Guides           []Guide
	Bars             []Bar
	Series           []Series
	Spots            []Spot
	Strips           []Strip
	Table            Table // without columns, the series make it
}

// Scene lays the chart out for a style.
func (c *Chart) Scene(style Style) Scene { return Stack(style, c) }

// Stack lays charts out one below the other over one X axis, the first one's. The first one's name, title, words and
// table are the scene's; without a table, all series that share the first one's X make it.
func Stack(style Style, charts ...*Chart) Scene {
	first := charts[0]
	style = style.withDefaults(charts...)
	scene := Scene{Name: first.Name, Title: style.Reader.Say(first.Title), Alt: first.Alt, Width: style.Width, Height: style.Height, Letters: style.Letters, Charts: charts}
	if style.Bare {
		return scene
	}
	keys := make([][]key, len(charts))
	for draw(style, &scene, charts, keys) { // again, with the labels that found no place above their plots
	}
	scene.Table = first.Table
	if len(first.Table.Columns) == 0 {
		scene.Table = table(charts)
	}
	return scene
}

// draw lays the charts out, with the labels above each plot that are to stand there, and draws them. It reports whether
// others have found no place; they are then among them.
func draw(style Style, scene *Scene, charts []*Chart, keys [][]key) (again bool) {
	scene.Marks = make([]Mark, 0, 40*len(charts)) // few charts have more
	scene.Height = style.Height
	panels := arrange(style, scene, charts, keys)
	for i, p := range panels {
		p.bands()
		p.grid()
		p.bars()
		p.series()
		p.guides()
		p.spots()
		p.strips()
		p.labels()
		p.legend()
		keys[i] = append(keys[i], p.missing...)
		again = again || len(p.missing) > 0
	}
	panels[len(panels)-1].foot()
	return again
}

// table joins all series that share the X of the first one.
func table(charts []*Chart) Table {
	first := charts[0]
	if len(first.Series) == 0 || len(first.Series[0].X) == 0 {
		return Table{}
	}
	x := first.Series[0].X
	t := Table{Columns: []Column{{Label: first.X.Label, Shown: first.X.Shown, Values: x}}}
	for _, c := range charts {
		for _, s := range c.Series {
			if len(s.X) == len(x) && &s.X[0] == &x[0] {
				t.Columns = append(t.Columns, Column{Label: orElse(s.Label, c.Y.Label), Shown: c.Y.Shown, Values: s.Y, Low: s.Low, High: s.High})
			}
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
