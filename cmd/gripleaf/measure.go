package main

import (
	"fmt"
	"io"
	"os"
	"strings"
	"unicode/utf8"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/calculators/trace"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/measure"
	"example.org/gripleaf/cmd/internal/still"
)

type measureCommand struct {
	Files    []string `arg:"" help:"Logged stops: CSV tables, or GPX tracks."`
	Nominal  string   `placeholder:"SPEED" help:"The speed that the test asks for, such as 60km/h: distances are corrected to it and set beside the limits."`
	Grip     float64  `default:"0.9" help:"Peak braking coefficient of the surface, for the limits that depend on it (${default})."`
	Time     string   `placeholder:"COLUMN:UNIT" help:"The column of the time and its unit, where the header does not say; either half may be left out."`
	Speed    string   `placeholder:"COLUMN:UNIT" help:"The same for the speed."`
	Distance string   `placeholder:"COLUMN:UNIT" help:"The same for the distance."`
	JSON     bool     `name:"json" help:"Write the figures for machines, in SI units."`
	Page     string   `placeholder:"FILE.html" help:"Write a page to print, with a figure of each stop."`
	keeping
	Imperial bool `help:"In miles per hour and feet."`
}

func (measureCommand) Help() string {
	return `A log is a table of time and speed, or time and distance, in any order of columns; or a GPX 1.1 track. Found are the start of
braking, the mean fully developed deceleration, the stopping distance and the greatest deceleration, each with its
uncertainty. What is odd in the log is listed with its row.

Several files make a table of riders and runs: ann-2.csv and ann/2.csv are Ann's second run.

Examples:
  gripleaf measure --nominal 60km/h ann-1.csv ann-2.csv ben-1.csv
  gripleaf measure --speed ':km/h' --page stops.html log.csv`
}

// Run works the logs up.
func (c *measureCommand) Run(w *world) error {
	options, err := c.options()
	if err != nil {
		return err
	}
	var reports []measure.Report
	var faults fault.List
	for _, name := range c.Files {
		data, err := os.ReadFile(name)
		if err != nil {
			faults.Add(fault.Fault{File: name, Text: "this file cannot be read: " + reason(err)})
			continue
		}
		r, err := measure.File(name, data, options)
		faults.Add(fault.From(err)...)
		reports = append(reports, r)
	}
	if c.JSON {
		if err := measure.WriteJSON(w.stdout, reports, c.Grip); err != nil {
			return err
		}
	} else {
		c.tell(w.stdout, reports)
	}
	if c.Page != "" && len(faults) == 0 {
		if err := c.page(reports); err != nil {
			return err
		}
	}
	return faults.Err()
}

// reason is what a file error says without the file's name.
func reason(err error) string {
	if e, ok := err.(*os.PathError); ok {
		return e.Err.Error()
	}
	return err.Error()
}

func (c *measureCommand) options() (measure.Options, error) {
	var o measure.Options
	if c.Nominal != "" {
		q, err := quantity.Parse(c.Nominal, quantity.Speed)
		if err != nil {
			return o, usage(fmt.Sprintf("--nominal: %v: write a speed, such as 60km/h", err))
		}
		if q.Value <= 0 {
			return o, usage("--nominal: the speed must be above 0")
		}
		o.Nominal = q.Value
	}
	if c.Grip <= 0 || c.Grip > 2 {
		return o, usage("--grip takes a coefficient above 0 and up to 2")
	}
	for _, column := range []struct {
		flag string
		into *trace.Column
	}{{c.Time, &o.Columns.Time}, {c.Speed, &o.Columns.Speed}, {c.Distance, &o.Columns.Distance}} {
		column.into.Name, column.into.Unit, _ = strings.Cut(column.flag, ":")
	}
	return o, nil
}

func (c *measureCommand) reader() *quantity.Reader {
	if c.Imperial {
		return &quantity.Reader{System: quantity.Imperial}
	}
	return &quantity.Reader{}
}

// tell writes the figures in words.
func (c *measureCommand) tell(w io.Writer, reports []measure.Report) {
	r, stops := c.reader(), 0
	for i := range reports {
		for n := range reports[i].Stops {
			s := &reports[i].Stops[n]
			stops++
			fmt.Fprintf(w, "%s, stop %d: braking starts in row %d\n", reports[i].File, n+1, s.Row)
			for _, l := range measure.Lines(s, r) {
				fmt.Fprintf(w, "  %-42s %s\n", l.Name, l.Text)
			}
			for _, v := range measure.Verdicts(*s, c.Grip) {
				fmt.Fprintf(w, "  %-42s %s\n", "limit, "+v.Name, v.Text(r))
			}
			notes(w, s.Notes)
		}
		if list := reports[i].Elsewhere(); len(list) > 0 {
			fmt.Fprintf(w, "%s, elsewhere\n", reports[i].File)
			notes(w, list)
		}
	}
	if stops > 1 {
		fmt.Fprintln(w)
		grid(w, measure.Table(measure.Riders(reports), r))
		fmt.Fprintln(w)
	}
	if stops > 0 {
		fmt.Fprintln(w, measure.Caution)
	}
}

func notes(w io.Writer, list []trace.Note) {
	for _, n := range list {
		fmt.Fprintf(w, "  row %d: %s\n", n.Row, n.Text())
	}
}

// grid writes a table for the eye: the columns of numbers are flush right.
func grid(w io.Writer, rows [][]string) {
	widths := make([]int, len(rows[0]))
	for _, row := range rows {
		for i, cell := range row {
			widths[i] = max(widths[i], utf8.RuneCountInString(cell))
		}
	}
	for _, row := range rows {
		line := ""
		for i, cell := range row {
			space := strings.Repeat(" ", widths[i]-utf8.RuneCountInString(cell))
			if i < 2 {
				line += cell + space + "  "
			} else {
				line += space + cell + "  "
			}
		}
		fmt.Fprintln(w, strings.TrimRight(line, " "))
	}
}

func (c *measureCommand) page(reports []measure.Report) error {
	palette, err := still.NewPalette(nil)
	if err != nil {
		return err
	}
	p := measure.Page{Reports: reports, Grip: c.Grip, Reader: c.reader(), Draw: func(s *figure.Scene) string { return palette.SVG(s) }}
	return c.keeper().Write(c.Page, p.Write)
}
