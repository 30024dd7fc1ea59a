package main

import (
	"fmt"
	"io"
	"os"
	"strings"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/measured/trace"
	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/folder"
	"example.org/gripleaf/cmd/internal/measure"
	"example.org/gripleaf/cmd/internal/still"
)

type measureCommand struct {
	Files    []string `arg:"" help:"Logged stops: CSV tables, or GPX tracks."`
	Nominal  string   `placeholder:"SPEED" help:"The speed that the test asks for, such as 60km/h: distances are corrected to it and set beside the limits."`
	Brakes   string   `enum:"all,front,rear,combined,secondary" default:"all" help:"What was braked with, which decides the limits: all, front or rear, combined (one control of combined brakes) or secondary (${default})."`
	Grip     float64  `default:"0.9" help:"Peak braking coefficient of the surface, for the limits that depend on it (${default})."`
	Slope    string   `placeholder:"PERCENT" help:"How much the road rises, below 0 where it falls, or heights, to take it from the heights of a track: the figures are then those of a level road."`
	Time     string   `placeholder:"COLUMN:UNIT" help:"The column of the time and its unit, where the header does not say; either half may be left out."`
	Speed    string   `placeholder:"COLUMN:UNIT" help:"The same for the speed."`
	Distance string   `placeholder:"COLUMN:UNIT" help:"The same for the distance."`
	JSON     bool     `name:"json" help:"Write the figures for machines, in SI units."`
	Table    string   `placeholder:"FILE.csv" help:"Write a table of all riders and runs."`
	Page     string   `placeholder:"FILE.html" help:"Write a page to print: the table and a chart of all riders and runs, then a page for each rider."`
	keeping
	Imperial bool `help:"In miles per hour and feet."`
}

func (measureCommand) Help() string {
	return `A log is a table of time and speed, or time and distance, in any order of columns; or a GPX 1.1 track. Found are the start of
braking, the mean fully developed deceleration, the stopping distance and the greatest deceleration, each with its
uncertainty: in 95 of 100 logs the true figure lies within ±, if the logger neither reads wrong nor drifts for as long as
a stop lasts. What is odd in the log is listed with its row. A log may be up to 20 MB long; - reads standard input.

Several files make a table of riders and runs: ann-2.csv and ann/2.csv are Ann's second run.

Examples:
  gripleaf measure --nominal 60km/h ann-1.csv ann-2.csv ben-1.csv
  gripleaf measure --brakes front --slope=-1.5% --nominal 60km/h ann-3.csv
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
		r, err := c.read(name, options)
		faults.Add(fault.From(err)...)
		if r.File != "" {
			reports = append(reports, r)
		}
	}
	if c.JSON {
		if err := measure.WriteJSON(w.stdout, reports, c.ridden()); err != nil {
			return err
		}
	} else {
		c.tell(w.stdout, reports)
	}
	if len(faults) == 0 {
		faults.Add(fault.From(c.write(reports))...)
	}
	return faults.Err()
}

// read works a file up. Devices and folders are refused; a pipe is read up to the bound of a log.
func (c *measureCommand) read(name string, o measure.Options) (measure.Report, error) {
	if name == "-" {
		return measure.Read("standard input", os.Stdin, o)
	}
	info, err := os.Stat(name)
	if err == nil && !info.Mode().IsRegular() && info.Mode()&os.ModeNamedPipe == 0 {
		return measure.Report{}, fault.List{{File: name, Text: "this is not a file", Hint: "name a log, or - for standard input"}}
	}
	var file *os.File
	if err == nil {
		file, err = os.Open(name)
	}
	if err != nil {
		return measure.Report{}, fault.List{{File: name, Text: "this file cannot be read: " + folder.Why(err)}}
	}
	defer file.Close()
	return measure.Read(name, file, o)
}

// write writes the files that were asked for.
func (c *measureCommand) write(reports []measure.Report) error {
	if c.Table != "" {
		err := c.keeper().Write(c.Table, func(w io.Writer) error { return measure.WriteTable(w, measure.Riders(reports), c.reader()) })
		if err != nil {
			return err
		}
	}
	if c.Page == "" {
		return nil
	}
	return c.page(reports)
}

func (c *measureCommand) ridden() measure.Ridden {
	return measure.Ridden{Brakes: c.Brakes, Grip: c.Grip}
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
	if err := c.slope(&o); err != nil {
		return o, err
	}
	for _, column := range []struct {
		flag string
		into *trace.Column
	}{{c.Time, &o.Columns.Time}, {c.Speed, &o.Columns.Speed}, {c.Distance, &o.Columns.Distance}} {
		column.into.Name, column.into.Unit, _ = strings.Cut(column.flag, ":")
	}
	return o, nil
}

func (c *measureCommand) slope(o *measure.Options) error {
	switch c.Slope {
	case "":
		return nil
	case "heights":
		o.ByHeights = true
		return nil
	}
	q, err := quantity.Parse(c.Slope, quantity.Share)
	if err != nil || q.Value < -0.2 || q.Value > 0.2 {
		return usage("--slope takes a percentage from -20% to 20%, or heights")
	}
	o.Slope.Value = q.Value
	return nil
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
			fmt.Fprintf(w, "%s, stop %d: braking starts in %s\n", reports[i].File, n+1, reports[i].Place(s.Row))
			for _, l := range measure.Lines(s, r) {
				fmt.Fprintf(w, "  %-42s %s\n", l.Name, l.Text)
			}
			for _, v := range measure.Verdicts(*s, c.ridden()) {
				fmt.Fprintf(w, "  %-42s %s\n", "limit, "+v.Name, v.Text(r))
			}
			notes(w, &reports[i], s.Notes)
		}
		if list := reports[i].Elsewhere(); len(list) > 0 {
			fmt.Fprintf(w, "%s, elsewhere\n", reports[i].File)
			notes(w, &reports[i], list)
		}
	}
	if stops > 1 {
		fmt.Fprintln(w)
		for _, line := range aligned(measure.Table(measure.Riders(reports), r), 2) {
			fmt.Fprintln(w, strings.TrimRight(line, " "))
		}
		fmt.Fprintln(w)
	}
	if stops > 0 {
		fmt.Fprintln(w, measure.Caution)
	}
}

func notes(w io.Writer, r *measure.Report, list []trace.Note) {
	for _, n := range list {
		fmt.Fprintf(w, "  %s: %s\n", r.Place(n.Row), n.Text())
	}
}

func (c *measureCommand) page(reports []measure.Report) error {
	palette, err := still.NewPalette(nil)
	if err != nil {
		return err
	}
	p := measure.Page{Reports: reports, Ridden: c.ridden(), Reader: c.reader(), Draw: func(s *figure.Scene) string { return palette.SVG(s) }}
	return c.keeper().Write(c.Page, p.Write)
}
