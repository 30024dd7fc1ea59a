package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"text/tabwriter"

	"golang.org/x/text/language"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/calculators/standard"
	"example.org/gripleaf/cmd/internal/build"
	"example.org/gripleaf/cmd/internal/cache"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/locale"
	"example.org/gripleaf/cmd/internal/still"
	"example.org/gripleaf/theme"
)

type workCommand struct {
	keeping
	Query    string `arg:"" optional:"" help:"What to work out, as a link in a lesson has it: 'calc:NAME?input=value&input=value'. Of a NAME alone, all that may stand in a link is listed; without one, the calculators are."`
	CSV      bool   `name:"csv" help:"Write a table for machines, in the units that are shown."`
	JSON     bool   `name:"json" help:"Write the answer for machines, in SI units."`
	Imperial bool   `help:"Answer in miles per hour, feet and pounds."`
	Language string `default:"en" placeholder:"TAG" help:"Answer in this language, such as de (${default})."`
	Figure   string `placeholder:"FILE.svg" help:"Draw the figure that #NAME names, or the first one, into this file."`
}

func (workCommand) Help() string {
	return `A value may be in any unit of its kind. An input may also be a range, from..to:step and the unit: then a table has a line
for each value, with a bar for its first number where a terminal shows it; #OUTPUT chooses which number. Two ranges make
a line for each pair.

Examples:
  gripleaf work calc:stop
  gripleaf work 'calc:stop?speed=60km/h&grip=0.8'
  gripleaf work 'calc:stop?speed=30..150:10km/h&grip=0.8#braking-distance'
  gripleaf work --csv 'calc:stop?speed=30..150:10km/h' > stops.csv
  gripleaf work --figure ice.svg 'calc:slip?surface=ice#curve'

The calculators are ` + strings.Join(standard.Set.IDs(), ", ") + `, and those of your site.`
}

// Run works the query out.
func (c *workCommand) Run(w *world) error {
	r, err := c.reader()
	if err != nil {
		return err
	}
	set, err := c.set(w)
	if err != nil {
		return err
	}
	if c.Query == "" {
		return overview(w, set, r)
	}
	q, faults := kit.Parse(c.Query)
	if len(faults) > 0 {
		return queryFaults(c.Query, faults)
	}
	calculator, ok := set.Find(q.Calculator)
	switch {
	case ok && len(q.Pairs) == 0 && q.FragmentAt < 0 && !c.JSON && !c.CSV && c.Figure == "":
		return describe(w, calculator, r)
	case ok:
		if err := fragment(c.Query, calculator, q); err != nil {
			return err
		}
	}
	if sweep, err := sweepOf(c.Query, q); err != nil || sweep != nil || c.CSV {
		if err == nil && c.Figure != "" {
			err = usage("--figure draws one state: give each input one value")
		}
		if err != nil {
			return err
		}
		return c.sweep(w, set, q, sweep, r)
	}
	return c.one(w, set, r)
}

// one works one state out.
func (c *workCommand) one(w *world, set kit.Set, r *quantity.Reader) error {
	work, err := set.Work(c.Query)
	if err != nil {
		return queryFaults(c.Query, err)
	}
	if err := c.draw(work, r); err != nil {
		return err
	}
	if c.JSON {
		return json.NewEncoder(w.stdout).Encode(forMachines(work, work.Answer(r, []string{})))
	}
	answer(w, work, r)
	return nil
}

// set is the calculators: within a site, the site's own too.
func (c *workCommand) set(w *world) (kit.Set, error) {
	site, err := build.Find(".")
	if err != nil {
		return standard.Set, nil
	}
	b := build.Builder{Site: site, Cache: cache.Open()}
	context.AfterFunc(w.ctx, b.Close)
	return b.Set(w.ctx)
}

// fragment refuses a name behind # that is neither an output nor a figure.
func fragment(query string, c *kit.Calculator, q kit.Query) error {
	if q.FragmentAt < 0 {
		return nil
	}
	_, isOutput := c.Output(q.Fragment)
	_, isFigure := c.Figure(q.Fragment)
	if isOutput || isFigure {
		return nil
	}
	names := append(c.OutputNames(), c.FigureNames()...)
	text := fmt.Sprintf("%s has no output and no figure %q", c.ID, q.Fragment)
	return fault.At("", []byte(query), q.FragmentAt, len(q.Fragment), text, fault.Meant(q.Fragment, names))
}

func (c *workCommand) reader() (*quantity.Reader, error) {
	l, err := locale.New(c.Language, nil)
	if err != nil {
		return nil, usage(err.Error())
	}
	words, faults := locale.Words(theme.Files, "messages", l.Tag)
	if len(faults) > 0 {
		return nil, faults
	}
	if words == nil && !english(l.Tag) {
		return nil, usage(fmt.Sprintf("there are no words in %q; leave --language out for English", c.Language))
	}
	l.Words = words
	if c.Imperial {
		return l.Reader(quantity.Imperial), nil
	}
	return l.Reader(quantity.Metric), nil
}

func english(t language.Tag) bool {
	base, _ := t.Base()
	return base.String() == "en"
}

// queryFaults gives the faults of a query their place in it.
func queryFaults(query string, err error) error {
	var faults kit.Faults
	if !errors.As(err, &faults) {
		return err
	}
	var list fault.List
	for _, f := range faults {
		list.Add(fault.At("", []byte(query), f.Offset, f.Length, f.Text, f.Hint))
	}
	return list
}

func (c *workCommand) draw(w *kit.Work, r *quantity.Reader) error {
	if c.Figure == "" {
		return nil
	}
	q, _ := kit.Parse(c.Query)
	names := w.Calculator.FigureNames()
	if len(names) == 0 {
		return usage(w.Calculator.ID + " has no figure")
	}
	i, ok := w.Calculator.Figure(q.Fragment)
	if !ok && q.Fragment != "" {
		return usage(fmt.Sprintf("%s has no figure %q\n  %s", w.Calculator.ID, q.Fragment, fault.Meant(q.Fragment, names)))
	}
	scene := w.Scene(max(i, 0), figure.Style{Reader: r})
	palette, err := still.NewPalette(nil)
	if err != nil {
		return err
	}
	return c.keeper().Bytes(c.Figure, []byte(palette.File(&scene)))
}

// answer writes the answer for people.
func answer(out *world, w *kit.Work, r *quantity.Reader) {
	c := w.Calculator
	fmt.Fprintf(out.stdout, "%s\n\n", r.Say(c.Question))
	a := w.Answer(r, []string{})
	for _, d := range a.Dials {
		if d.Set {
			fmt.Fprintf(out.stdout, "  %s: %s\n", d.Label, d.Text)
		}
	}
	fmt.Fprintln(out.stdout)
	for i := range a.Findings {
		fmt.Fprintln(out.stdout, a.Findings[i].Sentence(r))
	}
	if a.Happened != "" {
		fmt.Fprintf(out.stdout, "\n%s\n", a.Happened)
	}
	for i := range w.Series {
		table(out, &w.Series[i], r)
	}
	fmt.Fprintln(out.stdout)
	for _, a := range c.Assumptions {
		fmt.Fprintln(out.stdout, r.Say(a))
	}
	if c.Caution != "" {
		fmt.Fprintln(out.stdout, r.Say(c.Caution))
	}
	fmt.Fprintln(out.stdout, r.Say(kit.StandingCaution))
}

// machine is an answer for machines, in SI. A value's low and high are there where the model gives its band.
type machine struct {
	Calculator string            `json:"calculator"`
	Inputs     map[string]valued `json:"inputs"`
	Outputs    map[string]valued `json:"outputs"`
	Series     [][]machineColumn `json:"series"`
}

type valued struct {
	Value any      `json:"value"`
	Low   *float64 `json:"low,omitempty"`
	High  *float64 `json:"high,omitempty"`
	Unit  string   `json:"unit,omitempty"`
}

type machineColumn struct {
	Label  string `json:"label"`
	Unit   string `json:"unit,omitempty"`
	Values any    `json:"values"`
}

func forMachines(w *kit.Work, a *kit.Answer) machine {
	m := machine{Calculator: a.Calculator, Inputs: make(map[string]valued), Outputs: make(map[string]valued), Series: [][]machineColumn{}}
	for _, d := range a.Dials {
		switch {
		case d.Value != nil:
			m.Inputs[d.Name] = valued{Value: *d.Value, Unit: d.Kind}
		case d.Set:
			m.Inputs[d.Name] = valued{Value: d.Word}
		}
	}
	for _, f := range a.Findings {
		m.Outputs[f.Name] = valued{f.Value, f.Low, f.High, f.Kind}
	}
	for _, t := range w.Series {
		var columns []machineColumn
		for _, c := range t.Columns {
			column := machineColumn{Label: c.Label, Unit: kit.SISymbol(c.Shown.Kind), Values: c.Values}
			if len(c.Words) > 0 {
				column.Values = c.Words
			}
			columns = append(columns, column)
		}
		m.Series = append(m.Series, columns)
	}
	return m
}

func table(out *world, t *figure.Table, r *quantity.Reader) {
	fmt.Fprintln(out.stdout)
	lines := tabwriter.NewWriter(out.stdout, 0, 0, 2, ' ', 0)
	g := kit.NewGrid(t, r)
	for _, row := range append([][]string{g.Headings}, g.Rows...) {
		fmt.Fprintln(lines, strings.Join(row, "\t"))
	}
	lines.Flush() // what it writes to keeps its own error
}
