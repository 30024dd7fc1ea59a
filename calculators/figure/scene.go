// Package figure is a figure as a scene of marks, and its SVG.
//
// A calculator describes a Chart in SI values; the chart lays itself out for one reader and one size as a Scene;
// a scene is written as SVG here, and drawn as PNG or PDF elsewhere from the same marks. Marks carry roles, not
// colours: what "reaction" or "locked" looks like is the theme's affair. Every scene has a text alternative and a
// table of its data.
package figure

import (
	"math"
	"strconv"
	"strings"

	"example.org/gripleaf/calculators/quantity"
)

// Point is a place in a scene, in scene units from the top left corner.
type Point struct{ X, Y float64 }

// Shape says how the points of a mark are used.
type Shape uint8

// The shapes. A backend has to draw these and nothing else.
const (
	Line   Shape = iota // an open line through all points
	Area                // a closed polygon
	Dot                 // a circle of Radius around the first point
	Letter              // Text at the first point
)

// Anchor says which part of a text stands at its point.
type Anchor uint8

// The anchors along the line of text, left to right.
const (
	Start Anchor = iota
	Middle
	End
)

// Mark is one thing drawn. Later marks lie over earlier ones.
type Mark struct {
	Role   string // what it means: "grid", "axis", "reaction", "braking", "locked", "now", …
	Points []Point
	Radius float64 // of a Dot
	Shape  Shape
	Dashed bool
	Dotted bool    // with shorter dashes; Dashed as well
	Handle *Handle // the input behind it, if it can be dragged

	// Of a Letter only; the point is on the baseline.
	Anchor   Anchor
	Shift    Point // how many of its letters the text was moved from the place it belongs to; a page may set it smaller
	Vertical bool  // reads upwards
	Halo     bool  // stands over lines, so it needs a rim of the ground's colour
	Text     string
	Size     float64 // height of the letters' em, in scene units
}

// Plot is the part of a scene in which data are drawn, for cursors that follow the reader's pointer.
type Plot struct {
	Left, Top, Width, Height float64 // scene units
	From, To                 float64 // values at the left and right edge, SI
	Runs                     string  // what runs along it: "time", "distance", …; figures with equal words share a cursor
}

// Scene is a figure laid out.
type Scene struct {
	Name          string // stable, as in a link: "road"
	Title         string
	Alt           string // says in words what the figure shows
	Width, Height float64
	Letters       float64 // em of a tick's number in scene units; of a text without another Size
	Marks         []Mark
	Plot          Plot
	Table         Table

	Charts []*Chart // that it was laid out from; none for what no chart is, such as an outline
}

// Style is for whom and how large a figure is laid out. The zero value is an English reader and a page's size.
type Style struct {
	Reader        *quantity.Reader
	Width, Height float64 // scene units; 0 is 440 by 280, higher for charts that are stacked or have strips
	Letters       float64 // em of a tick's number in scene units; 0 is 15
	Readable      bool    // with a grid in both directions and between the ticks, to read values from on paper
	Bare          bool    // no marks, only what Beside needs of another state
}

func (s Style) withDefaults(charts ...*Chart) Style {
	if s.Reader == nil {
		s.Reader = &quantity.Reader{}
	}
	if s.Letters == 0 {
		s.Letters = 15
	}
	if s.Width == 0 {
		s.Width, s.Height = 440, 120
		for _, c := range charts {
			s.Height += 160 + stripRise*s.Letters*float64(len(c.Strips))
		}
	}
	return s
}

// Column is one row of headings and the values below it, in SI.
type Column struct {
	Label     string // English; translated when printed
	Shown     quantity.Shown
	Values    []float64
	Low, High []float64 // the limits of each value's band; nil without one
	Words     []string  // instead of Values: English texts, translated when printed

	Numbers [][]float64 // what stands in place of the {} marks of each word, to at most three decimals; may be nil
}

// Len is the number of cells below the heading.
func (c *Column) Len() int { return max(len(c.Values), len(c.Words)) }

// Printed is the cells for a reader, without the unit. All numbers of a column have as many decimals, so that their
// points stand below each other: as many as the column asks for, and more where a row would else show the number of the
// row before although the value has moved.
func (c *Column) Printed(r *quantity.Reader) []string {
	cells := make([]string, c.Len())
	unit, decimals := c.Shown.In(r.System)
	for len(c.Words) == 0 && c.hides(unit, decimals) {
		decimals++
	}
	number := func(si float64) string { return r.Locale.Format(unit.From(si), decimals) }
	for row := range cells {
		switch {
		case row < len(c.Words):
			cells[row] = r.Say(c.Words[row], c.arguments(r, row)...)
		case c.Shown.Kind == quantity.YesNo:
			cells[row] = r.Quantity(c.Values[row], c.Shown)
		default:
			cells[row] = number(c.Values[row])
			if row < len(c.Low) && row < len(c.High) {
				cells[row] += " (" + number(c.Low[row]) + "\u2013" + number(c.High[row]) + ")"
			}
		}
	}
	return cells
}

// seen is the least change from row to row that a table shows, as a share of the column's largest value.
const seen = 1e-4

// hides reports whether two rows, one below the other, would look the same although their values differ.
func (c *Column) hides(unit *quantity.Unit, decimals int) bool {
	if c.Shown.Kind == quantity.Whole || c.Shown.Kind == quantity.YesNo {
		return false
	}
	least, power := 0.0, 1.0
	for _, v := range c.Values {
		least = max(least, seen*math.Abs(unit.From(v)))
	}
	for range decimals {
		power *= 10
	}
	for row := 1; row < len(c.Values); row++ {
		a, b := unit.From(c.Values[row-1]), unit.From(c.Values[row])
		if math.Abs(a-b) > least && math.Round(a*power) == math.Round(b*power) {
			return true
		}
	}
	return false
}

func (c *Column) arguments(r *quantity.Reader, row int) (list []string) {
	if row >= len(c.Numbers) {
		return nil
	}
	for _, x := range c.Numbers[row] {
		_, decimals, _ := strings.Cut(strings.TrimRight(strconv.FormatFloat(x, 'f', 3, 64), "0"), ".")
		list = append(list, r.Locale.Format(x, len(decimals)))
	}
	return list
}

// Heading prints the label with the unit for a reader.
func (c *Column) Heading(r *quantity.Reader) string {
	unit := r.UnitName(c.Shown)
	if unit == "" || len(c.Words) > 0 {
		return r.Say(c.Label)
	}
	return r.Say(c.Label) + " (" + unit + ")"
}

// Table is the data of a figure or a sweep. All columns are of one length.
type Table struct {
	Columns []Column
	Basis   bool // tells what the calculation rests on, not what came out
}

// Rows is the number of rows below the headings.
func (t *Table) Rows() int {
	if len(t.Columns) == 0 {
		return 0
	}
	return t.Columns[0].Len()
}

// Thin keeps at most n rows, evenly chosen, the first and the last among them.
func (t Table) Thin(n int) Table {
	rows := t.Rows()
	if rows <= n || n < 2 {
		return t
	}
	thin := Table{Columns: make([]Column, len(t.Columns)), Basis: t.Basis}
	for i, c := range t.Columns {
		kept := Column{Label: c.Label, Shown: c.Shown}
		if len(c.Words) == 0 {
			kept.Values = make([]float64, 0, n)
		}
		for k := range n {
			row := k * (rows - 1) / (n - 1)
			if len(c.Words) > 0 {
				kept.Words = append(kept.Words, c.Words[row])
				if row < len(c.Numbers) {
					kept.Numbers = append(kept.Numbers, c.Numbers[row])
				}
			} else {
				kept.Values = append(kept.Values, c.Values[row])
				if row < len(c.Low) && row < len(c.High) {
					kept.Low, kept.High = append(kept.Low, c.Low[row]), append(kept.High, c.High[row])
				}
			}
		}
		thin.Columns[i] = kept
	}
	return thin
}
