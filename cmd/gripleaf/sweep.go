package main

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"golang.org/x/term"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/lesson"
)

// mostStates bounds how many states ranges may ask for.
const mostStates = 10_000

// swept is an input that takes several values.
type swept struct {
	pair   int // in the query
	values []string
}

// sweepOf finds the inputs of a query that are ranges; nil if there are none.
func sweepOf(text string, q kit.Query) ([]swept, error) {
	var list []swept
	var faults fault.List
	states := 1
	for i, p := range q.Pairs {
		if !strings.Contains(p.Value, "..") {
			continue
		}
		d, ok := lesson.ParseRange(p.Value)
		if !ok {
			faults.Add(fault.At("", []byte(text), p.ValueAt, p.End-p.ValueAt, fmt.Sprintf("%q is not a range", p.Value),
				"write from..to:step and the unit, such as 30..150:10km/h"))
			continue
		}
		list = append(list, swept{i, d.Values()})
		if states *= len(list[len(list)-1].values); states > mostStates {
			faults.Add(fault.At("", []byte(text), p.ValueAt, p.End-p.ValueAt, fmt.Sprintf("this makes more than %d states", mostStates), "take larger steps"))
			break
		}
	}
	return list, faults.Err()
}

// states lists the queries of all pairs of values.
func states(q kit.Query, list []swept) []kit.Query {
	all := []kit.Query{q}
	for _, s := range list {
		var more []kit.Query
		for _, before := range all {
			for _, v := range s.values {
				next := before
				next.Pairs = slices.Clone(before.Pairs)
				next.Pairs[s.pair].Value = v
				more = append(more, next)
			}
		}
		all = more
	}
	return all
}

// sweep works all states out and writes a table.
func (c *workCommand) sweep(w *world, set kit.Set, q kit.Query, list []swept, r *quantity.Reader) error {
	var works []*kit.Work
	for _, state := range states(q, list) {
		work, err := set.Prepare(state)
		if err == nil {
			err = kit.Place(work.Run(), state)
		}
		if err := w.ctx.Err(); err != nil {
			return err
		}
		if err != nil {
			return queryFaults(c.Query, at(err, state, list))
		}
		works = append(works, work)
	}
	switch {
	case c.JSON:
		machines := make([]machine, len(works))
		for i, work := range works {
			machines[i] = forMachines(work, work.Answer(r, []string{}))
		}
		return json.NewEncoder(w.stdout).Encode(machines)
	case c.CSV:
		return writeCSV(w, works, r)
	}
	return tabulate(w, works, columns(works[0], q, list), r)
}

// at adds to the faults of a state of a range which state it was.
func at(err error, state kit.Query, list []swept) error {
	faults, ok := err.(kit.Faults)
	if !ok || len(list) == 0 {
		return err
	}
	var where []string
	for _, s := range list {
		where = append(where, state.Pairs[s.pair].Name+"="+state.Pairs[s.pair].Value)
	}
	for i := range faults {
		faults[i].Text += ", with " + strings.Join(where, " and ")
	}
	return faults
}

// column is an input or an output in a table.
type column struct {
	input, output int // one of them is -1
}

// columns are the inputs that take several values, and the output that the query names, or else the main ones.
func columns(w *kit.Work, q kit.Query, list []swept) []column {
	var all []column
	for _, s := range list {
		i, _ := w.Calculator.Input(q.Pairs[s.pair].Name)
		all = append(all, column{i, -1})
	}
	if i, ok := w.Calculator.Output(q.Fragment); ok {
		return append(all, column{-1, i})
	}
	for i := range w.Calculator.Outputs {
		if w.Calculator.Outputs[i].Main {
			all = append(all, column{-1, i})
		}
	}
	return all
}

func (c column) label(w *kit.Work, r *quantity.Reader) string {
	if c.input >= 0 {
		return r.Say(w.Calculator.Inputs[c.input].Label)
	}
	return r.Say(w.Calculator.Outputs[c.output].Label)
}

func (c column) text(w *kit.Work, r *quantity.Reader) string {
	switch {
	case c.input >= 0:
		return w.InputText(c.input, r)
	case w.Moot[c.output]:
		return "–"
	}
	return r.Quantity(w.Outputs[c.output], w.Calculator.Outputs[c.output].Shown)
}

// tabulate writes a table for people: numbers flush right and, on a terminal, a bar for the first one that came out.
func tabulate(out *world, works []*kit.Work, all []column, r *quantity.Reader) error {
	rows := make([][]string, len(works)+1)
	for _, c := range all {
		rows[0] = append(rows[0], c.label(works[0], r))
		for i, w := range works {
			rows[i+1] = append(rows[i+1], c.text(w, r))
		}
	}
	bars := bars(works, all, out.width())
	fmt.Fprintf(out.stdout, "%s\n\n", r.Say(works[0].Calculator.Question))
	for i, line := range aligned(rows, 0) {
		if i > 0 && bars != nil {
			line += "  " + bars[i-1]
		}
		if _, err := fmt.Fprintln(out.stdout, strings.TrimRight(line, " ")); err != nil {
			return err
		}
	}
	_, err := fmt.Fprintf(out.stdout, "\n%s\n", works[0].Calculator.Warning(r))
	return err
}

// aligned are the rows of a table as lines of one width. The first columns, as many as left says, are flush left, the
// others, which hold numbers, flush right.
func aligned(rows [][]string, left int) []string {
	widths := make([]int, len(rows[0]))
	for _, row := range rows {
		for i, cell := range row {
			widths[i] = max(widths[i], utf8.RuneCountInString(cell))
		}
	}
	lines := make([]string, len(rows))
	for k, row := range rows {
		for i, cell := range row {
			space := strings.Repeat(" ", widths[i]-utf8.RuneCountInString(cell))
			if i < left {
				lines[k] += cell + space + "  "
			} else {
				lines[k] += space + cell + "  "
			}
		}
	}
	return lines
}

// width of the terminal that the output goes to; 0 if it goes elsewhere.
func (w *world) width() int {
	file, ok := w.stdout.(*os.File)
	if !ok {
		return 0
	}
	columns, _, err := term.GetSize(int(file.Fd()))
	if err != nil {
		return 0
	}
	return columns
}

// bars draws the first number that came out of each state, in eighths of a letter; nil where there is no room.
func bars(works []*kit.Work, all []column, width int) []string {
	first := slices.IndexFunc(all, func(c column) bool { return c.output >= 0 })
	room := min(40, width-24*len(all))
	if first < 0 || room < 10 || len(works) < 2 {
		return nil
	}
	output, most := all[first].output, 0.0
	for _, w := range works {
		most = max(most, math.Abs(w.Outputs[output]))
	}
	list := make([]string, len(works))
	for i, w := range works {
		if w.Moot[output] || most == 0 {
			continue
		}
		eighths := int(math.Round(math.Abs(w.Outputs[output]) / most * 8 * float64(room)))
		list[i] = strings.Repeat("█", eighths/8)
		if rest := eighths % 8; rest > 0 {
			list[i] += string([]rune("▏▎▍▌▋▊▉")[rest-1])
		}
	}
	return list
}

// writeCSV writes all inputs and outputs by their names in links, in the units that are shown, with all their digits.
func writeCSV(out *world, works []*kit.Work, r *quantity.Reader) error {
	t := csv.NewWriter(out.stdout)
	for i, w := range works {
		var head, row []string
		add := func(name string, s quantity.Shown, si float64, there bool) {
			u, _ := s.In(r.System)
			if u.Symbol != "" {
				name += " (" + u.Symbol + ")"
			}
			cell := ""
			if there {
				cell = strconv.FormatFloat(u.From(si), 'g', 9, 64)
			}
			head, row = append(head, name), append(row, cell)
		}
		for k, in := range w.Calculator.Inputs {
			if in.IsWord() {
				head, row = append(head, in.Name), append(row, w.Inputs[k].Word)
				continue
			}
			add(in.Name, in.Shown, w.Inputs[k].Number, w.Inputs[k].Set && w.Inputs[k].Kind == in.Shown.Kind)
		}
		for k, o := range w.Calculator.Outputs {
			add(o.Name, o.Shown, w.Outputs[k], !w.Moot[k])
		}
		if i == 0 {
			t.Write(head) // the writer keeps an error until Flush
		}
		t.Write(row)
	}
	t.Flush()
	return t.Error()
}
