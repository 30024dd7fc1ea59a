package kit

import (
	"strconv"
	"strings"

	"example.org/gripleaf/calculators/quantity"
)

// Mistake is something wrong with a calculator's declaration.
type Mistake struct {
	At   string // the field of the declaration, such as "Inputs.0.Default"
	Text string // what is wrong
	Hint string // what to do
}

// Misuse is what a calculator's own code did wrong; Work panics with it.
type Misuse struct{ Text, Hint string }

func (m Misuse) Error() string { return "kit: " + m.Text }

// Mistakes lists what is wrong with a declaration. One without mistakes can be prepared with any query.
func (c *Calculator) Mistakes() []Mistake {
	d := &declaration{Calculator: c}
	d.name("ID", c.ID, "the calculator", nil)
	d.need("Title", c.Title, "a title")
	d.need("Question", c.Question, "the question that it answers")
	if c.Work == nil {
		d.wrong("Work", "the calculator has no Work", "write Work: func(w *kit.Work) error { … }")
	}
	d.inputs()
	d.outputs()
	d.presets()
	names := make(map[string]bool)
	for i := range c.Figures {
		at := "Figures." + strconv.Itoa(i)
		d.name(at+".Name", c.Figures[i].Name, "the figure", names)
		d.need(at+".Title", c.Figures[i].Title, "a title")
		if c.Figures[i].Draw == nil {
			d.wrong(at+".Draw", "the figure "+quote(c.Figures[i].Name)+" has no Draw", "write a function: Draw: draw")
		}
	}
	return d.mistakes
}

type declaration struct {
	*Calculator
	mistakes []Mistake
}

func (d *declaration) wrong(at, text, hint string) {
	d.mistakes = append(d.mistakes, Mistake{at, text, hint})
}

func (d *declaration) need(at, text, what string) {
	if text == "" {
		d.wrong(at, what+" is missing", "pages and the terminal show it")
	}
}

// name checks a name that links write.
func (d *declaration) name(at, name, of string, taken map[string]bool) {
	switch {
	case name == "":
		d.wrong(at, of+" has no name", "give it one of small letters, digits and hyphens: links write it")
	case !plain(name):
		d.wrong(at, quote(name)+" cannot be written in a link", "use small letters, digits and hyphens, and begin with a letter")
	case taken[name]:
		d.wrong(at, quote(name)+" is there twice", "give this one another name")
	}
	if taken != nil {
		taken[name] = true
	}
}

func plain(name string) bool {
	for i := range len(name) {
		letter := 'a' <= name[i] && name[i] <= 'z'
		if !letter && (i == 0 || !isDigit(name[i]) && name[i] != '-') {
			return false
		}
	}
	return true
}

func isDigit(c byte) bool { return '0' <= c && c <= '9' }

func (d *declaration) inputs() {
	names := make(map[string]bool)
	for i := range d.Inputs {
		in, at := &d.Inputs[i], "Inputs."+strconv.Itoa(i)
		d.name(at+".Name", in.Name, "the input", names)
		for _, alias := range in.Aliases {
			d.name(at+".Aliases", alias, "a former name", names)
		}
		d.need(at+".Label", in.Label, "a label")
		sound := true
		if !in.IsWord() {
			sound = d.shown(at+".Shown", in.Shown) && d.bounds(at, in.Min, in.Max, in.Step)
			for k, o := range in.Also {
				of := at + ".Also." + strconv.Itoa(k)
				sound = d.shown(of, o.Shown) && d.bounds(of, o.Min, o.Max, o.Step) && sound
			}
		}
		d.choices(at, in)
		if sound && in.Default != "" {
			if _, f := in.read(in.Default); f != nil {
				d.wrong(at+".Default", "the default of "+f.Text, f.Hint)
			}
		}
	}
}

func (d *declaration) choices(at string, in *Input) {
	values := make(map[string]bool)
	for i, c := range in.Choices {
		of := at + ".Choices." + strconv.Itoa(i)
		d.name(of+".Value", c.Value, "the choice", values)
		d.need(of+".Label", c.Label, "a label")
	}
}

// shown checks that the units are of the kind.
func (d *declaration) shown(at string, s quantity.Shown) bool {
	sound := true
	for _, unit := range []struct{ field, symbol string }{{"Metric", s.Metric}, {"Imperial", s.Imperial}} {
		if unit.field == "Imperial" && unit.symbol == "" {
			continue
		}
		if _, ok := quantity.Find(s.Kind, unit.symbol); ok {
			continue
		}
		sound = false
		hint := "use one of: " + strings.Join(quantity.Symbols(s.Kind), ", ")
		if len(quantity.Symbols(s.Kind)) == 0 {
			hint = "leave it out"
		}
		text := s.Kind.String() + " has no unit " + quote(unit.symbol)
		if unit.symbol == "" {
			text = s.Kind.String() + " needs a unit"
		}
		d.wrong(at+"."+unit.field, text, hint)
	}
	return sound
}

func (d *declaration) bounds(at string, low, high, step float64) bool {
	switch {
	case !(low < high):
		d.wrong(at+".Max", "no value is in this range: Max is not above Min", "give both in SI units: m/s, m, s, kg, shares as fractions")
		return false
	case !(step > 0):
		d.wrong(at+".Step", "the slider has no step", "give one in the metric unit that is shown, such as Step: 1")
	}
	return true
}

func (d *declaration) outputs() {
	names := make(map[string]bool)
	if len(d.Outputs) == 0 {
		d.wrong("Outputs", "nothing comes out", "declare an output, and give it its value with w.Put")
	}
	for i := range d.Outputs {
		out, at := &d.Outputs[i], "Outputs."+strconv.Itoa(i)
		d.name(at+".Name", out.Name, "the output", names)
		for _, alias := range out.Aliases {
			d.name(at+".Aliases", alias, "a former name", names)
		}
		d.need(at+".Label", out.Label, "a label")
		d.shown(at+".Shown", out.Shown)
		if out.Sentence != "" && strings.Count(out.Sentence, "{}") != 1 {
			d.wrong(at+".Sentence", "the sentence has no place for the number", "write {} once, where the number goes")
		}
	}
}

func (d *declaration) presets() {
	for i, p := range d.Presets {
		at := "Presets." + strconv.Itoa(i)
		in := d.known(at+".Input", p.Input)
		if in != nil {
			if _, f := in.readWord(p.Choice); f != nil {
				d.wrong(at+".Choice", f.Text, f.Hint)
			}
		}
		for k, s := range p.Sets {
			of := at + ".Sets." + strconv.Itoa(k)
			if in := d.known(of+".Input", s.Input); in != nil && d.readable(in) {
				if _, f := in.read(s.Value); f != nil {
					d.wrong(of+".Value", f.Text, f.Hint)
				}
			}
		}
	}
}

// readable reports whether values of an input can be read at all: its units are told of where it stands.
func (d *declaration) readable(in *Input) bool {
	_, ok := quantity.Find(in.Shown.Kind, in.Shown.Metric)
	return in.IsWord() || ok
}

func (d *declaration) known(at, name string) *Input {
	if i, ok := d.Input(name); ok {
		return &d.Inputs[i]
	}
	d.wrong(at, d.ID+" has no input "+quote(name), suggest(name, d.inputNames()))
	return nil
}

func (c *Calculator) inputNames() []string {
	names := make([]string, len(c.Inputs))
	for i := range names {
		names[i] = c.Inputs[i].Name
	}
	return names
}

// OutputNames are the names of what the calculator gives, as links have them.
func (c *Calculator) OutputNames() []string {
	names := make([]string, len(c.Outputs))
	for i := range names {
		names[i] = c.Outputs[i].Name
	}
	return names
}

// FigureNames are the names of its figures, as links have them.
func (c *Calculator) FigureNames() []string {
	names := make([]string, len(c.Figures))
	for i := range names {
		names[i] = c.Figures[i].Name
	}
	return names
}
