package standard_test

import (
	"math"
	"strings"
	"testing"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/quantity"
)

// In no table, of a figure or of a sweep, does a row show the number of the row before although the value has moved by a
// ten-thousandth of the column's largest, and in each column all points stand below each other.
func TestTablesShowWhatMoves(t *testing.T) {
	eachAnswer(t, 10, func(t *testing.T, k int, c *kit.Calculator, w *kit.Work) {
		r, v := &quantity.Reader{System: quantity.System(k % 2)}, &kit.View{Now: w}
		for i := range c.Figures {
			scene := v.Scene(i, kit.PageStyle(r))
			thin := scene.Table.Thin(kit.MostRows)
			rowsMove(t, w.Canonical()+"#"+c.Figures[i].Name, &thin, v.Plate(i, r).Table)
		}
		for i := range w.Series {
			rowsMove(t, w.Canonical(), &w.Series[i], kit.NewGrid(&w.Series[i], r))
		}
	})
}

func rowsMove(t *testing.T, where string, of *figure.Table, shown kit.Grid) {
	t.Helper()
	for i, column := range of.Columns {
		if len(column.Values) == 0 || column.Shown.Kind == quantity.Whole || column.Shown.Kind == quantity.YesNo {
			continue
		}
		largest, decimals := 0.0, -1
		unit, _ := column.Shown.In(quantity.Metric)
		for _, v := range column.Values {
			largest = max(largest, math.Abs(unit.From(v)))
		}
		for row, v := range column.Values {
			cell, _, _ := strings.Cut(shown.Rows[row][i], " ")
			_, after, _ := strings.Cut(cell, ".")
			if decimals >= 0 && len(after) != decimals {
				t.Errorf("%s: %s has %s below %d decimals", where, shown.Headings[i], cell, decimals)
			}
			decimals = len(after)
			if row > 0 && shown.Rows[row-1][i] == shown.Rows[row][i] && math.Abs(unit.From(v)-unit.From(column.Values[row-1])) > 1.01e-4*largest && column.Shown.Kind != quantity.Temperature {
				t.Errorf("%s: %s shows %s twice for %v and %v", where, shown.Headings[i], cell, column.Values[row-1], v)
			}
		}
	}
}
