package page

import (
	"html/template"
	"math"
	"slices"
	"strconv"
	"strings"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/quantity"
)

// Explorer is one calculator at one state, as its template sees it. Every text is what the WebAssembly module says
// for the same state, so that nothing on the page moves when the script takes over.
type explorerView struct {
	*kit.Calculator
	*quantity.Reader
	ID          string
	Caption     template.HTML
	Query       string // canonical, without the scheme
	Page, Embed string // addresses of the explorer alone

	Own                  bool   // of the site, not of the program
	Logged, LoggedScript string // the module that takes what is attached, if it is not that of all calculators
	Summary              string
	Dials                []dial
	Folded               []dial // what few change
	Main, Rest           []finding
	Film                 *film
	Figures              []plate
	Series               []grid
	Given                []note
	Origins              []note
	Warning              string
}

// dial is one input.
type dial struct {
	ID, Name, Label, Help string
	Text                  string // the value with its unit, or the word
	Number, Unit          string // in the field
	UnitSymbol            string // as a link writes it
	Given, Set            bool
	Slider                bool
	From, To, Step, At    string
	Word                  string
	Choices               []choice
	Free                  bool
	Clears                string // inputs that a choice sets anew
}

type choice struct {
	Value, Label string
	Chosen       bool
}

// finding is one output as a sentence, cut where its number stands. Mark is the punctuation right behind the number,
// which is left out where the number stands by itself in large type.
type finding struct {
	Name, Before, Number, Mark, After string
	Band                              string // within which limits nine of ten lie
	Attached                          bool   // hidden until there is an attachment
	Moot                              bool   // says nothing in this state
}

// plate is one figure.
type plate struct {
	*quantity.Reader
	Name, Title string
	SVG         template.HTML
	Table       grid
}

// Numbers are the table of the figure, folded.
func (p *plate) Numbers() template.HTML {
	return template.HTML(`<details class="plate-table"><summary>` + escape(p.Say("The numbers of this figure")) + `</summary><div class="scroll" tabindex="0" role="group" aria-label="` +
		escape(p.Title) + `">` + string(p.Table.HTML()) + "</div></details>")
}

// film is the stop, replayed. Without a script it is one still, from the middle of the stop.
type film struct {
	SVG                template.HTML
	Duration, At, Text string
}

func newFilm(w *kit.Work, r *quantity.Reader) *film {
	f := w.Calculator.Film(w)
	at := math.Round(f.Duration()/2*1000) / 1000 // the slider's step
	scene := f.Scene(at, kit.FilmStyle(r))
	return &film{template.HTML(scene.SVG()), strconv.FormatFloat(f.Duration(), 'f', 3, 64), strconv.FormatFloat(at, 'f', 3, 64),
		r.Quantity(at, quantity.Shown{Kind: quantity.Time, Metric: "s", MetricDecimals: 2})}
}

// grid is a table as text.
type grid struct {
	Headings []string
	Rows     [][]string
}

// Name is what the table's first column is about.
func (g grid) Name() string {
	if len(g.Headings) == 0 {
		return ""
	}
	return g.Headings[0]
}

type note struct{ Title, Detail string }

func newExplorer(id string, w *kit.Work, r *quantity.Reader) *explorerView {
	c := w.Calculator
	v := &explorerView{Calculator: c, Reader: r, ID: id, Query: w.Canonical(), Summary: w.Summary(r)}
	for i := range c.Inputs {
		if d := newDial(id, w, i, r); c.Inputs[i].Detail && !d.Given {
			v.Folded = append(v.Folded, d)
		} else {
			v.Dials = append(v.Dials, d)
		}
	}
	for i := range c.Outputs {
		if c.Outputs[i].Main {
			v.Main = append(v.Main, newFinding(w, i, r))
		} else {
			v.Rest = append(v.Rest, newFinding(w, i, r))
		}
	}
	if c.Film != nil {
		v.Film = newFilm(w, r)
	}
	for i := range c.Figures {
		v.Figures = append(v.Figures, newPlate(w, i, r))
	}
	for i := range w.Series {
		v.Series = append(v.Series, newGrid(&w.Series[i], r))
	}
	v.notes(r)
	return v
}

func (v *explorerView) notes(r *quantity.Reader) {
	for _, a := range v.Assumptions {
		v.Given = append(v.Given, note{Detail: r.Say(a)})
	}
	for _, s := range v.Sources {
		v.Origins = append(v.Origins, note{r.Say(s.Title), s.Detail})
	}
	if v.Caution != "" {
		v.Warning = r.Say(v.Caution) + " "
	}
	v.Warning += r.Say(kit.StandingCaution)
}

// clears lists the inputs that a choice of the named one sets.
func clears(c *kit.Calculator, input string) string {
	var names []string
	for _, p := range c.Presets {
		for _, s := range p.Sets {
			if p.Input == input && !slices.Contains(names, s.Input) {
				names = append(names, s.Input)
			}
		}
	}
	return strings.Join(names, " ")
}

func newDial(id string, w *kit.Work, i int, r *quantity.Reader) dial {
	in, v := &w.Calculator.Inputs[i], &w.Inputs[i]
	d := dial{ID: id + "-" + in.Name, Name: in.Name, Label: r.Say(in.Label), Text: w.InputText(i, r), Given: v.Given, Set: v.Set}
	if in.Help != "" {
		d.Help = r.Say(in.Help)
	}
	if in.IsWord() {
		d.Word, d.Free = v.Word, len(in.Choices) == 0
		d.Choices = choices(in, v, r)
		d.Clears = clears(w.Calculator, in.Name)
		return d
	}
	shown := w.ShownAs(i)
	unit, _ := shown.In(r.System)
	d.Unit, d.UnitSymbol = r.UnitName(shown), unit.Symbol
	if v.Set {
		d.Number = r.Number(v.Number, shown)
		d.At = plain(unit.From(v.Number))
	}
	from, to, step, ok := w.Slider(i, r)
	if d.Slider = ok; ok {
		d.From, d.To, d.Step = plain(from), plain(to), plain(step)
		if !v.Set {
			d.At = d.From
		}
	}
	return d
}

func choices(in *kit.Input, v *kit.Value, r *quantity.Reader) []choice {
	if len(in.Choices) == 0 {
		return nil
	}
	var list []choice
	if in.Default == "" {
		list = append(list, choice{"", r.Say("not given"), !v.Set})
	}
	for _, c := range in.Choices {
		list = append(list, choice{c.Value, r.Say(c.Label), v.Word == c.Value})
	}
	return list
}

// plain prints a number for an attribute: all digits that matter, none of the dust of a conversion.
func plain(n float64) string {
	v, _ := strconv.ParseFloat(strconv.FormatFloat(n, 'g', 10, 64), 64)
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// marks are the punctuation of the languages that the theme speaks.
const marks = ".,،؛;।"

func newFinding(w *kit.Work, i int, r *quantity.Reader) finding {
	out := &w.Calculator.Outputs[i]
	number := w.OutputText(i, r)
	before, after, found := strings.Cut(w.Sentence(i, r), number)
	if !found { // the sentence says that there is none
		number = ""
	}
	mark := after[:len(after)-len(strings.TrimLeft(after, marks))]
	return finding{out.Name, before, number, mark, after[len(mark):], w.BandText(i, r), out.Attached, w.Moot[i]}
}

func newPlate(w *kit.Work, i int, r *quantity.Reader) plate {
	scene := w.Scene(i, figure.Style{Reader: r})
	thin := scene.Table.Thin(kit.MostRows)
	return plate{Reader: r, Name: scene.Name, Title: scene.Title, SVG: template.HTML(scene.SVG()), Table: newGrid(&thin, r)}
}

func newGrid(t *figure.Table, r *quantity.Reader) grid {
	n := len(t.Columns)
	g := grid{Headings: make([]string, n), Rows: make([][]string, t.Rows())}
	for i := range t.Columns {
		g.Headings[i] = t.Columns[i].Heading(r)
	}
	cells := make([]string, n*len(g.Rows)) // of all rows
	for row := range g.Rows {
		g.Rows[row], cells = cells[:n], cells[n:]
		for i := range t.Columns {
			g.Rows[row][i] = t.Columns[i].Cell(r, row)
		}
	}
	return g
}
