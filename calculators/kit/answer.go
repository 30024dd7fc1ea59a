package kit

import (
	"strings"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/quantity"
)

//go:generate go run ./typed

// Answer is all that a reader is told of a calculation, in the reader's words and units. The page that the builder
// writes, the terminal, JSON and the script in the page are all made from it; the script's types are generated from these
// declarations. Values are SI.
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
}

// Answer tells a reader the calculation. figures names the ones to draw; nil draws all, an empty list none.
func (w *Work) Answer(r *quantity.Reader, figures []string) *Answer {
	c := w.Calculator
	a := &Answer{Calculator: c.ID, Query: w.Canonical(), Summary: w.Summary(r), Happened: w.EventsText(r), Whole: !w.cut,
		Dials: make([]Dial, len(c.Inputs)), Findings: make([]Finding, len(c.Outputs)), Series: make([]Grid, len(w.Series))}
	for i := range a.Dials {
		a.Dials[i] = w.dial(i, r)
	}
	for i := range a.Findings {
		a.Findings[i] = w.finding(i, r)
	}
	for i := range c.Figures {
		if figures == nil || contains(figures, c.Figures[i].Name) {
			a.Plates = append(a.Plates, w.Plate(i, r))
		}
	}
	for i := range w.Series {
		a.Series[i] = NewGrid(&w.Series[i], r)
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
func (w *Work) Plate(i int, r *quantity.Reader) Plate {
	scene := w.Scene(i, figure.Style{Reader: r})
	thin := scene.Table.Thin(MostRows)
	return Plate{scene.Name, scene.Title, scene.SVG(), scene.Alt, NewGrid(&thin, r)}
}

// NewGrid prints a table for a reader.
func NewGrid(t *figure.Table, r *quantity.Reader) Grid {
	n := len(t.Columns)
	g := Grid{Headings: make([]string, n), Rows: make([][]string, t.Rows())}
	for i := range t.Columns {
		g.Headings[i] = t.Columns[i].Heading(r)
	}
	for row := range g.Rows {
		g.Rows[row] = make([]string, n)
		for i := range t.Columns {
			g.Rows[row][i] = t.Columns[i].Cell(r, row)
		}
	}
	return g
}

// SISymbol is the SI unit of a kind, as a link writes it; empty where there is none.
func SISymbol(kind quantity.Kind) string {
	if symbols := quantity.Symbols(kind); len(symbols) > 0 && kind != quantity.Share {
		return symbols[0]
	}
	return ""
}

// FilmStyle is the size of a film in a page.
func FilmStyle(r *quantity.Reader) figure.Style {
	return figure.Style{Reader: r, Width: 440, Height: 232, Letters: 14}
}

// Frame is one moment of a film.
type Frame struct {
	Duration float64 `json:"duration"` // of the film, s
	Time     float64 `json:"time"`     // s
	Position float64 `json:"position"` // along the road, m
	SVG      string  `json:"svg"`
}

// Frame shows one moment of the film.
func (w *Work) Frame(t float64, r *quantity.Reader) *Frame {
	film := w.Calculator.Film(w)
	t = max(0, min(t, film.Duration()))
	scene := film.Scene(t, FilmStyle(r))
	return &Frame{film.Duration(), t, film.Position(t), scene.SVG()}
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
func (w *Work) Readings(places []Cursor, r *quantity.Reader) []Reading {
	list := make([]Reading, len(places))
	for k, p := range places {
		list[k].Figure = p.Figure
		if i, ok := w.Calculator.Figure(p.Figure); ok {
			for _, s := range w.scene(i).At(p.At, r) {
				list[k].Said = append(list[k].Said, [2]string{s.Label, s.Text})
			}
		}
	}
	return list
}

// scene is a figure that is drawn once for all readings: a cursor asks at every step.
func (w *Work) scene(i int) *figure.Scene {
	s, ok := w.told[i]
	if !ok {
		if w.told == nil {
			w.told = map[int]figure.Scene{}
		}
		s = w.Scene(i, figure.Style{})
		w.told[i] = s
	}
	return &s
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
