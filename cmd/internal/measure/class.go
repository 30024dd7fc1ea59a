package measure

import (
	"encoding/csv"
	"io"
	"strconv"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/measured/trace"
	"example.org/gripleaf/calculators/quantity"
)

// A class is many riders with their runs: a chart and a table of them all.

// abreast is how many riders fit into one chart with their names.
const abreast = 8

// Charts draws the mean fully developed deceleration of every run of every
// rider, with its uncertainty; several charts if the names would not fit.
func Charts(riders []Rider, style figure.Style) []figure.Scene {
	if style.Reader == nil {
		style.Reader = &quantity.Reader{}
	}
	most := 0.0
	for i := range riders {
		most = max(most, riders[i].Mean.Most)
	}
	var list []figure.Scene
	for from := 0; from < len(riders); from += abreast {
		list = append(list, chart(riders[from:min(from+abreast, len(riders))], most, style))
	}
	return list
}

func chart(riders []Rider, most float64, style figure.Style) figure.Scene {
	c := figure.Chart{
		Name: "class", Title: "All riders and runs",
		X: figure.Axis{To: float64(len(riders))},
		Y: figure.Axis{Label: "Mean fully developed deceleration", Shown: slowingShown, To: 1.05 * most},
	}
	for i := range riders {
		r := &riders[i]
		c.X.Names = append(c.X.Names, r.Name)
		if r.Mean.Count > 0 {
			c.Alt += r.Name + ": " + style.Reader.Quantity(r.Mean.Mean, slowingShown) + ". "
		}
		width := 0.8 / float64(max(len(r.Runs), 1))
		for k, run := range r.Runs {
			left, v := float64(i)+0.1+width*float64(k), run.Stop.Mean
			bar := figure.Bar{Role: "braking", From: left, To: left + 0.85*width, Height: v.Value}
			if k == r.Best && len(r.Runs) > 1 {
				bar.Role, bar.Label = "speed", "best"
			}
			c.Bars = append(c.Bars, bar)
			middle := left + 0.425*width
			c.Series = append(c.Series, figure.Series{Role: "limit", X: []float64{middle, middle},
				Y: []float64{v.Value - v.Uncertainty, v.Value + v.Uncertainty}})
		}
	}
	return c.Scene(style)
}

// WriteTable writes all runs as CSV (RFC 4180), with the units in the header and what is after ± in a column of its
// own.
func WriteTable(w io.Writer, riders []Rider, r *quantity.Reader) error {
	out := csv.NewWriter(w)
	header := []string{"rider", "run", "file", "stop", "best"}
	for _, c := range columns {
		header = append(header, c.name+" ("+r.UnitName(c.shown)+")", "± ("+r.UnitName(c.shown)+")")
	}
	out.Write(header) // Flush tells of errors
	for i := range riders {
		for k, run := range riders[i].Runs {
			row := []string{riders[i].Name, run.Name, run.File, strconv.Itoa(run.Number), ""}
			if k == riders[i].Best {
				row[4] = "best"
			}
			for _, c := range columns {
				v := c.of(&run.Stop)
				if c.name == "corrected distance" && !run.Stop.Valid {
					row = append(row, "", "")
					continue
				}
				row = append(row, r.Number(v.Value, c.shown), r.Number(v.Uncertainty, c.shown))
			}
			out.Write(row)
		}
	}
	out.Flush()
	return out.Error()
}

// columns are the figures of a run.
var columns = []struct {
	name  string
	shown quantity.Shown
	of    func(*trace.Stop) trace.Value
}{
	{"speed at the start", speedShown, func(s *trace.Stop) trace.Value { return s.Speed }},
	{"mean deceleration", slowingShown, func(s *trace.Stop) trace.Value { return s.Mean }},
	{"greatest deceleration", slowingShown, func(s *trace.Stop) trace.Value { return s.Peak }},
	{"braking time", timeShown, func(s *trace.Stop) trace.Value { return s.Time }},
	{"stopping distance", distanceShown, func(s *trace.Stop) trace.Value { return s.Whole }},
	{"corrected distance", distanceShown, func(s *trace.Stop) trace.Value { return s.Corrected }},
}
