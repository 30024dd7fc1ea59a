package kit

import (
	"slices"
	"strings"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/quantity"
)

//go:generate go run ./typed

// Answer is all that a reader is told of a calculation, in the reader's words and units. The page that the builder
// writes, the terminal, JSON and the script in the page are all made from it; the script's types are generated from
// these declarations. Values are SI.
type Answer struct {
	Calculator string    `json:"calculator"`
	Query      string    `json:"query"`    // the shortest that gives this answer, without the scheme
	Summary    string    `json:"summary"`  // the main results as sentences, for who listens
	Happened   string    `json:"happened"` // cause and effect, as sentences
	Whole      bool      `json:"whole"`    // false where bands and the like are still to come
	Dials      []Dial    `json:"dials"`    // parallel to the calculator's inputs
	Findings   []Finding `json:"findings"` // parallel to its outputs
	Plates     []Plate   `json:"plates"`   // the figures that were asked for
	Series     []Grid    `json:"series"`
	State      string    `json:"state"` // what this state is called beside those that are kept; empty without any
	Kept       []Kept    `json:"kept"`  // the states that stand beside it
}

// Kept is another state of the same calculator that stands beside the present one.
type Kept struct {
	Query    string     `json:"query"`
	State    string     `json:"state"`    // what it is called: the values in which the states differ
	Happened string     `json:"happened"` // cause and effect, as sentences
	Findings []Compared `json:"findings"` // parallel to the calculator's outputs
}

// Compared is an output of another state.
type Compared struct {
	Text       string `json:"text"`       // the number with its unit; a dash where it says nothing
	Difference string `json:"difference"` // by how much the present state is above it; a dash where that says nothing
}

// Dial is an input as it stands.
type Dial struct {
	Name     string   `json:"name"`
	Label    string   `json:"label"`
	Text     string   `json:"text"`     // the value with its unit, or the word's label
	Word     string   `json:"word"`     // of a word input
	Number   string   `json:"number"`   // of a number input that is set: the value without its unit
	Unit     string   `json:"unit"`     // as a link writes it
	UnitName string   `json:"unitName"` // as the reader sees it
	Kind     string   `json:"kind"`     // the SI unit of Value
	Value    *float64 `json:"value,omitempty"`
	Position *float64 `json:"position,omitempty"` // the value in the reader's unit, for the slider
	Scale    float64  `json:"scale"`              // of a number input: the SI value of that unit
	Slider   *Slider  `json:"slider,omitempty"`
	Given    bool     `json:"given"` // written in the query
	Read     bool     `json:"read"`  // read from the attachment: it cannot be set beside it
	Set      bool     `json:"set"`
}

// Slider is the range of a dial and the step that suits it, in the reader's unit.
type Slider struct {
	From float64 `json:"from"`
	To   float64 `json:"to"`
	Step float64 `json:"step"`
}

// Finding is an output, said: its sentence is Before, Text, Mark and After in a row. Without a Text it says that there
// is nothing to say.
type Finding struct {
	Name     string   `json:"name"`
	Label    string   `json:"label"`
	Before   string   `json:"before"`
	Text     string   `json:"text"` // the number with its unit
	Mark     string   `json:"mark"` // the punctuation right behind the number, which goes where that stands alone
	After    string   `json:"after"`
	Band     string   `json:"band"` // the limits within which nine of ten lie, in the unit of the number; empty without them
	Kind     string   `json:"kind"` // the SI unit of Value
	Value    float64  `json:"value"`
	Low      *float64 `json:"low,omitempty"`
	High     *float64 `json:"high,omitempty"`
	Scale    float64  `json:"scale"`    // the SI value of the unit in which it is shown
	Decimals int      `json:"decimals"` // with which it is shown
	Main     bool     `json:"main"`
	Moot     bool     `json:"moot"`     // says nothing in this state
	Attached bool     `json:"attached"` // only an attachment tells it
}

// Plate is a figure with its numbers.
type Plate struct {
	Name  string `json:"name"`
	Title string `json:"title"`
	SVG   string `json:"svg"`
	Alt   string `json:"alt"`
	Table Grid   `json:"table"`
}

// Grid is a table as text.
type Grid struct {
	Headings []string   `json:"headings"`
	Rows     [][]string `json:"rows"`
	Basis    bool       `json:"basis"` // tells what the calculation rests on, not what came out
}

// Answer tells a reader the calculation. figures names the ones to draw; nil draws all, an empty list none.
func (w *Work) Answer(r *quantity.Reader, figures []string) *Answer {
	return (&View{Now: w}).Answer(r, figures)
}

// Answer tells a reader the present state and those beside it.
func (v *View) Answer(r *quantity.Reader, figures []string) *Answer {
	w := v.Now
	c := w.Calculator
	a := &Answer{Calculator: c.ID, Query: w.Canonical(), Summary: w.Summary(r), Happened: w.EventsText(r), Whole: !w.cut,
		Dials: make([]Dial, len(c.Inputs)), Findings: make([]Finding, len(c.Outputs)), Series: make([]Grid, len(w.Series)), State: v.name(w, r)}
	for i := range a.Dials {
		a.Dials[i] = w.dial(i, r)
	}
	for i := range a.Findings {
		a.Findings[i] = w.finding(i, r)
	}
	for i := range c.Figures {
		if figures == nil || slices.Contains(figures, c.Figures[i].Name) {
			a.Plates = append(a.Plates, v.Plate(i, r))
		}
	}
	for i := range w.Series {
		a.Series[i] = NewGrid(&w.Series[i], r)
	}
	for _, kept := range v.Kept {
		a.Kept = append(a.Kept, v.compare(kept, r))
	}
	return a
}

func (w *Work) dial(i int, r *quantity.Reader) Dial {
	in, v := &w.Calculator.Inputs[i], &w.Inputs[i]
	d := Dial{Name: in.Name, Label: r.Say(in.Label), Text: w.InputText(i, r), Given: v.Given, Read: v.Read, Set: v.Set}
	if in.IsWord() {
		d.Word = v.Word
		return d
	}
	shown := w.ShownAs(i)
	u, _ := shown.In(r.System)
	d.Scale = u.Scale
	d.Unit, d.UnitName, d.Kind = u.Symbol, r.UnitName(shown), SISymbol(v.Kind)
	if v.Set {
		value, position := v.Number, round(u.From(v.Number))
		d.Number, d.Value, d.Position = r.Number(v.Number, shown), &value, &position
	}
	if from, to, step, ok := w.Slider(i, r); ok {
		d.Slider = &Slider{from, to, step}
	}
	return d
}

// marks are the punctuation of the languages that the theme speaks.
const marks = ".,،؛;।"

func (w *Work) finding(i int, r *quantity.Reader) Finding {
	out := &w.Calculator.Outputs[i]
	u, decimals := out.Shown.In(r.System)
	f := Finding{Name: out.Name, Label: r.Say(out.Label), Band: w.BandText(i, r), Kind: SISymbol(out.Shown.Kind), Value: w.Outputs[i],
		Scale: u.Scale, Decimals: decimals, Main: out.Main, Moot: w.Moot[i], Attached: out.Attached}
	if f.Band != "" {
		f.Low, f.High = &w.Bands[i].Low, &w.Bands[i].High
	}
	if f.Moot {
		f.Before = w.Sentence(i, r)
		return f
	}
	f.Text = w.OutputText(i, r)
	f.Before, f.After, _ = strings.Cut(w.Sentence(i, r), f.Text)
	f.Mark = f.After[:len(f.After)-len(strings.TrimLeft(f.After, marks))]
	f.After = f.After[len(f.Mark):]
	return f
}

// Sentence says an output with its band: "You stand after 28.0 m, 27.4 to 28.6 in nine of ten."
func (f *Finding) Sentence(r *quantity.Reader) string {
	if f.Band == "" {
		return f.Before + f.Text + f.Mark + f.After
	}
	return f.Before + r.Say("{}, {}", f.Text, f.Band) + f.Mark + f.After
}

// MostRows is how many rows a figure's table has at most.
const MostRows = 26

// Plate is one figure as a page shows it.
func (w *Work) Plate(i int, r *quantity.Reader) Plate { return (&View{Now: w}).Plate(i, r) }

// Plate is one figure with all states in it.
func (v *View) Plate(i int, r *quantity.Reader) Plate {
	scene := v.Scene(i, PageStyle(r))
	thin := scene.Table.Thin(MostRows)
	return Plate{scene.Name, scene.Title, scene.SVG(), scene.Alt, NewGrid(&thin, r)}
}

// NewGrid prints a table for a reader.
func NewGrid(t *figure.Table, r *quantity.Reader) Grid {
	n := len(t.Columns)
	g := Grid{Headings: make([]string, n), Rows: make([][]string, t.Rows()), Basis: t.Basis}
	for row := range g.Rows {
		g.Rows[row] = make([]string, n)
	}
	for i := range t.Columns {
		g.Headings[i] = t.Columns[i].Heading(r)
		for row, cell := range t.Columns[i].Printed(r) {
			g.Rows[row][i] = cell
		}
	}
	return g
}

// SISymbol is the SI unit of a kind, as a link writes it; empty for a kind without units.
func SISymbol(kind quantity.Kind) string {
	if symbols := quantity.Symbols(kind); len(symbols) > 0 && kind != quantity.Share {
		return symbols[0]
	}
	return ""
}

// letters of a page's drawings: on a phone of 360 px, where a drawing is 292 px wide, they have 12 px. Where it is
// wider the style sheet sets them smaller, so that they look the same.
const letters = 18.5

// PageStyle is how a page shows a figure.
func PageStyle(r *quantity.Reader) figure.Style { return figure.Style{Reader: r, Letters: letters} }

// FilmStyle is how a page shows a film: the more rides it has, the higher.
func (v *View) FilmStyle(r *quantity.Reader) figure.Style {
	return figure.Style{Reader: r, Width: 440, Height: 250 + 50*float64(len(v.Kept)), Letters: letters}
}

// Frame is one moment of a film.
type Frame struct {
	Duration float64 `json:"duration"`        // of the film, s
	Time     float64 `json:"time"`            // s
	Places   []Point `json:"places"`          // where the stop is along what figures run along
	Pulse    float64 `json:"pulse"`           // how far the lever is pushed back, 0 to 1
	Skid     float64 `json:"skid"`            // how loud a tyre slides, 0 to 1
	Cycle    *Span   `json:"cycle,omitempty"` // the controller's cycle that this moment is in, or the next one
	SVG      string  `json:"svg"`
}

// Point is where a stop is at a moment along what figures run along: "time", "distance", …, SI.
type Point struct {
	Runs string  `json:"runs"`
	At   float64 `json:"at"`
}

// Span is a time from and to, s.
type Span struct {
	From float64 `json:"from"`
	To   float64 `json:"to"`
}

// Frame shows the moment at which the film is somewhere along what figures run along.
func (v *View) Frame(at Point, r *quantity.Reader) *Frame {
	film := v.Film(r)
	t := at.At
	if at.Runs != "time" {
		t = film.Time(at)
	}
	t = max(0, min(t, film.Duration()))
	scene := film.Scene(t, v.FilmStyle(r))
	pulse, skid := film.Sound(t)
	f := &Frame{film.Duration(), t, film.Places(t), pulse, skid, nil, scene.SVG()}
	if from, to, ok := film.Cycle(t); ok {
		f.Cycle = &Span{from, to}
	}
	return f
}

// Film is the present state's, with the others beside it on one road and one clock.
func (v *View) Film(r *quantity.Reader) Film {
	film := v.Now.Calculator.Film(v.Now)
	if len(v.Kept) == 0 {
		return film
	}
	others, names := make([]Film, len(v.Kept)), []string{v.name(v.Now, r)}
	for i, kept := range v.Kept {
		others[i] = v.Now.Calculator.Film(kept)
		names = append(names, v.name(kept, r))
	}
	return film.Beside(others, names)
}

// Cursor is where a reader points on a figure: an SI value of its level axis.
type Cursor struct {
	Figure string  `json:"figure"`
	At     float64 `json:"at"`
}

// Reading is what a figure shows at a place: names with quantities, or nothing if it cannot be read there.
type Reading struct {
	Figure string      `json:"figure"`
	Said   [][2]string `json:"said"`
}

// Readings says what figures show at places.
func (v *View) Readings(places []Cursor, r *quantity.Reader) []Reading {
	list := make([]Reading, len(places))
	for k, p := range places {
		list[k].Figure = p.Figure
		if i, ok := v.Now.Calculator.Figure(p.Figure); ok {
			scene := v.Scene(i, figure.Style{Reader: r, Bare: true})
			for _, s := range scene.At(p.At, r) {
				list[k].Said = append(list[k].Said, [2]string{s.Label, s.Text})
			}
		}
	}
	return list
}

// Complaint is a fault as a page shows it: at the input that it is about, if it is about one.
type Complaint struct {
	Input string `json:"input"`
	Text  string `json:"text"`
	Hint  string `json:"hint"`
}

// Complaints says what is wrong, in the reader's language as far as it has the words.
func Complaints(err error, r *quantity.Reader) []Complaint {
	faults, ok := err.(Faults)
	if !ok {
		faults = Faults{{Text: err.Error()}}
	}
	list := make([]Complaint, len(faults))
	for i, f := range faults {
		list[i] = Complaint{f.Input, f.Text, f.Hint}
		if said := f.Wrong.In(r); said != "" {
			list[i].Text, list[i].Hint = said, f.Remedy.In(r)
		}
	}
	return list
}
