package main

import (
	"fmt"
	"strconv"
	"strings"
	"text/tabwriter"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/quantity"
)

// overview lists the calculators and their questions.
func overview(out *world, set kit.Set, r *quantity.Reader) error {
	t := tabwriter.NewWriter(out.stdout, 0, 0, 2, ' ', 0)
	for _, c := range set {
		fmt.Fprintf(t, "calc:%s\t%s\n", c.ID, r.Say(c.Question))
	}
	return t.Flush()
}

// describe lists all that may stand in a link to a calculator.
func describe(out *world, c *kit.Calculator, r *quantity.Reader) error {
	t := tabwriter.NewWriter(out.stdout, 0, 0, 2, ' ', 0)
	fmt.Fprintf(t, "%s: %s\n", r.Say(c.Title), r.Say(c.Question))
	fmt.Fprint(t, "\nInputs; each may be left out\n")
	for i := range c.Inputs {
		in := &c.Inputs[i]
		fmt.Fprintf(t, "  %s\t%s\n", named(in.Name, in.Symbol), r.Say(in.Label))
		for _, line := range takes(c, in) {
			fmt.Fprintf(t, "  \t  %s\n", line)
		}
	}
	fmt.Fprint(t, "\nOutputs, to be written after #\n")
	for i := range c.Outputs {
		o := &c.Outputs[i]
		fmt.Fprintf(t, "  %s\t%s%s\n", named(o.Name, o.Symbol), r.Say(o.Label), units(o.Shown))
	}
	if len(c.Figures) > 0 {
		fmt.Fprint(t, "\nFigures, to be written after #\n")
	}
	for i := range c.Figures {
		fmt.Fprintf(t, "  %s\t%s\n", c.Figures[i].Name, r.Say(c.Figures[i].Title))
	}
	fmt.Fprintf(t, "\n%s\n", c.Warning(r))
	return t.Flush()
}

func named(name, symbol string) string {
	if symbol == "" {
		return name
	}
	return name + " (" + symbol + ")"
}

func units(s quantity.Shown) string {
	if s.Metric == "" {
		return ""
	}
	if s.Imperial == "" || s.Imperial == s.Metric {
		return ", in " + s.Metric
	}
	return ", in " + s.Metric + " or " + s.Imperial
}

// takes says what an input may be, and what it is if it is left out.
func takes(c *kit.Calculator, in *kit.Input) []string {
	otherwise := ""
	if in.Default != "" {
		otherwise = "; else " + in.Default
	}
	var lines []string
	switch {
	case in.Free:
		lines = []string{"any words" + otherwise}
	case in.IsWord():
		names := make([]string, len(in.Choices))
		for i := range names {
			names[i] = in.Choices[i].Value
		}
		lines = wrap("one of "+strings.Join(names, ", ")+otherwise, 76)
	default:
		lines = []string{span(in.Shown, in.Min, in.Max) + otherwise}
		for _, o := range in.Also {
			lines = append(lines, "or "+span(o.Shown, o.Min, o.Max))
		}
	}
	if sets := setBy(c, in.Name); len(sets) > 0 {
		lines = append(lines, wrap("sets "+strings.Join(sets, ", ")+", if not given", 76)...)
	}
	return lines
}

// span is a range with the units that it may be written in.
func span(s quantity.Shown, low, high float64) string {
	u, _ := s.In(quantity.Metric)
	write := func(si float64) string { return strconv.FormatFloat(u.From(si), 'g', 6, 64) + u.Symbol }
	text := write(low) + " to " + write(high)
	if symbols := quantity.Symbols(s.Kind); len(symbols) > 1 {
		text += " (" + strings.Join(symbols, ", ") + ")"
	}
	return text
}

// setBy are the inputs that a choice of this input sets.
func setBy(c *kit.Calculator, input string) []string {
	var names []string
	seen := make(map[string]bool)
	for _, p := range c.Presets {
		for _, s := range p.Sets {
			if p.Input == input && !seen[s.Input] {
				seen[s.Input] = true
				names = append(names, s.Input)
			}
		}
	}
	return names
}

// wrap breaks a text at its spaces.
func wrap(text string, width int) []string {
	var lines []string
	line := ""
	for word := range strings.FieldsSeq(text) {
		if line != "" && len(line)+1+len(word) > width {
			lines, line = append(lines, line), ""
		}
		line = strings.TrimPrefix(line+" "+word, " ")
	}
	return append(lines, line)
}
