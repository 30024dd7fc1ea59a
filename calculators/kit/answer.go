package kit

import (
	"math"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/quantity"
)

// Sentence says an output in the reader's words and units.
func (w *Work) Sentence(i int, r *quantity.Reader) string {
	out := &w.Calculator.Outputs[i]
	if w.Moot[i] {
		return r.Say(out.Label) + ": " + r.Say("does not apply")
	}
	number := w.OutputText(i, r)
	if out.Sentence == "" {
		return r.Say(out.Label) + ": " + number
	}
	return r.Say(out.Sentence, number)
}

// OutputText prints an output for a reader, with its uncertainty where that is known.
func (w *Work) OutputText(i int, r *quantity.Reader) string {
	shown := w.Calculator.Outputs[i].Shown
	if shown.Kind == quantity.YesNo {
		return r.Quantity(w.Outputs[i], shown)
	}
	return quantity.Join(w.number(i, r), r.UnitName(shown))
}

// number prints an output without its unit.
func (w *Work) number(i int, r *quantity.Reader) string {
	shown := w.Calculator.Outputs[i].Shown
	number := r.Number(w.Outputs[i], shown)
	if doubt := w.doubt(i); doubt > 0 {
		number += "\u00a0±\u00a0" + r.Number(doubt, shown)
	}
	return number
}

// Told is Sentence with the band behind the number: "You stand after 28.0 m, 27.4 to 28.6 in nine of ten."
func (w *Work) Told(i int, r *quantity.Reader) string {
	out, band := &w.Calculator.Outputs[i], w.BandText(i, r)
	switch {
	case band == "":
		return w.Sentence(i, r)
	case out.Sentence == "":
		return r.Say(out.Label) + ": " + r.Say("{}, {}", w.OutputText(i, r), band)
	}
	return r.Say(out.Sentence, r.Say("{}, {}", w.OutputText(i, r), band))
}

// BandText prints the limits of an output, in its unit but without naming it: "27.4 to 28.6 in nine of ten".
func (w *Work) BandText(i int, r *quantity.Reader) string {
	if w.Moot[i] || w.Bands == nil || w.Bands[i] == (Band{}) {
		return ""
	}
	shown := w.Calculator.Outputs[i].Shown
	return r.Say("{} to {} in nine of ten", r.Number(w.Bands[i].Low, shown), r.Number(w.Bands[i].High, shown))
}

// EventsText tells what happened, a sentence after another.
func (w *Work) EventsText(r *quantity.Reader) string {
	text := ""
	for _, e := range w.Events {
		amounts := make([]string, len(e.With))
		for i, a := range e.With {
			amounts[i] = r.Quantity(a.Value, a.Shown)
		}
		if text != "" {
			text += " "
		}
		text += r.Say(e.Says, amounts...)
	}
	return text
}

// Tell prints an output as it is shown to a reader.
func (w *Work) Tell(output string, r *quantity.Reader) string {
	return w.OutputText(w.output(output), r)
}

// TellInput prints an input's value for a reader.
func (w *Work) TellInput(input string, r *quantity.Reader) string {
	return w.InputText(w.input(input), r)
}

// Summary joins the sentences of the main outputs; it is what a screen reader hears after a change.
func (w *Work) Summary(r *quantity.Reader) string {
	text := ""
	for i := range w.Outputs {
		if w.Calculator.Outputs[i].Main && !w.Moot[i] {
			if text != "" {
				text += " "
			}
			text += w.Sentence(i, r)
		}
	}
	return text
}

// ShownAs says how an input's value is shown: as the kind it was given in.
func (w *Work) ShownAs(i int) quantity.Shown {
	return w.Calculator.Inputs[i].as(w.Inputs[i].Kind).Shown
}

// InputText prints an input's value for a reader; a word by its label.
func (w *Work) InputText(i int, r *quantity.Reader) string {
	in, v := &w.Calculator.Inputs[i], &w.Inputs[i]
	if !v.Set {
		return r.Say("not given")
	}
	if in.IsWord() {
		for _, c := range in.Choices {
			if c.Value == v.Word {
				return r.Say(c.Label)
			}
		}
		return v.Word
	}
	return r.Quantity(v.Number, w.ShownAs(i))
}

// Slider is the range of a number input and a step that suits it, in the reader's unit and for the kind it was given in.
func (w *Work) Slider(i int, r *quantity.Reader) (from, to, step float64, ok bool) {
	in := &w.Calculator.Inputs[i]
	as := in.as(w.Inputs[i].Kind)
	if in.IsWord() || as.Step <= 0 {
		return 0, 0, 0, false
	}
	u, _ := as.Shown.In(r.System)
	metric, _ := as.Shown.In(quantity.Metric)
	step = as.Step
	if u != metric {
		step = roundStep(as.Step * metric.Scale / u.Scale)
	}
	from, to = math.Ceil(u.From(as.Min)/step-1e-9)*step, math.Floor(u.From(as.Max)/step+1e-9)*step
	return round(from) + 0, round(to) + 0, step, true // + 0 turns a negative nought into nought
}

// roundStep is the nearest of 1, 2 and 5 times a power of ten.
func roundStep(step float64) float64 {
	magnitude := 1.0
	for magnitude > step {
		magnitude /= 10
	}
	for magnitude*10 <= step {
		magnitude *= 10
	}
	switch {
	case step < 1.5*magnitude:
		return round(magnitude)
	case step < 3.5*magnitude:
		return round(2 * magnitude)
	case step < 7.5*magnitude:
		return round(5 * magnitude)
	}
	return round(10 * magnitude)
}

// Scene draws one figure.
func (w *Work) Scene(i int, s figure.Style) figure.Scene {
	f := &w.Calculator.Figures[i]
	if s.Reader == nil {
		s.Reader = &quantity.Reader{}
	}
	scene := f.Draw(w, s)
	scene.Name, scene.Title = f.Name, s.Reader.Say(f.Title)
	return scene
}

// AppendSI writes the answer for machines, in SI:
// {"calculator":…,"inputs":{name:{"value":…,"unit":…}},"outputs":{name:{"value":…,"low":…,"high":…,"unit":…}},"series":[…]}.
// low and high are there where the model gives a band.
func (w *Work) AppendSI(b []byte) []byte {
	j := writer{b, len(b)}
	j.open('{')
	j.textField("calculator", w.Calculator.ID)
	j.name("inputs")
	j.open('{')
	for i := range w.Inputs {
		v := &w.Inputs[i]
		if !v.Set {
			continue
		}
		j.name(w.Calculator.Inputs[i].Name)
		if w.Calculator.Inputs[i].IsWord() {
			j.open('{')
			j.textField("value", v.Word)
			j.close('}')
			continue
		}
		j.si(v.Number, v.Kind)
	}
	j.close('}')
	j.name("outputs")
	j.open('{')
	for i, v := range w.Outputs {
		j.name(w.Calculator.Outputs[i].Name)
		j.open('{')
		j.numberField("value", v)
		w.limits(&j, i)
		j.textField("unit", siSymbol(w.Calculator.Outputs[i].Shown.Kind))
		j.close('}')
	}
	j.close('}')
	j.name("series")
	j.open('[')
	for i := range w.Series {
		j.siTable(&w.Series[i])
	}
	j.close(']')
	j.close('}')
	return j.b
}

// limits writes the band of an output, if it has one.
func (w *Work) limits(j *writer, i int) {
	if !w.Moot[i] && w.Bands != nil && w.Bands[i] != (Band{}) {
		j.numberField("low", w.Bands[i].Low)
		j.numberField("high", w.Bands[i].High)
	}
}

func (j *writer) si(v float64, kind quantity.Kind) {
	j.open('{')
	j.numberField("value", v)
	j.textField("unit", siSymbol(kind))
	j.close('}')
}

func siSymbol(kind quantity.Kind) string {
	if kind == quantity.Share {
		return ""
	}
	if symbols := quantity.Symbols(kind); len(symbols) > 0 {
		return symbols[0]
	}
	return ""
}

func (j *writer) siTable(t *figure.Table) {
	j.open('[')
	for i := range t.Columns {
		c := &t.Columns[i]
		j.open('{')
		j.textField("label", c.Label)
		j.textField("unit", siSymbol(c.Shown.Kind))
		j.name("values")
		j.open('[')
		for k := range c.Len() {
			if k < len(c.Words) {
				j.text(c.Words[k])
			} else {
				j.number(c.Values[k])
			}
		}
		j.close(']')
		j.close('}')
	}
	j.close(']')
}

// AppendPage writes the answer for the page, in the reader's words and units. figures names the ones to draw;
// nil draws all, an empty list none.
//
//	{"calculator","query","summary","happened","whole",
//	 "inputs":[{"name","text","number","unit","unitName","position","value","from","to","step","word","given","read","set"}],
//	 "outputs":[{"name","label","number","unit","sentence","band","value","low","high","scale","decimals","main","moot"}],
//	 "figures":[{"name","title","svg","alt","table":{"headings":[],"rows":[[]]}}],
//	 "series":[{"headings":[],"rows":[[]]}]}
//
// position is the input's value in the reader's unit, for a slider that runs from from to to in steps of step; unit is
// as a link writes it. happened tells cause and effect; whole is false where bands and the like are still to come. value,
// low and high are SI, the latter two there where there is a band; scale is the SI value of the unit that an output is shown in. A moot output has no
// meaning in this state: its number is a dash. An input that was read from the attachment cannot be set beside it.
func (w *Work) AppendPage(b []byte, r *quantity.Reader, figures []string) []byte {
	j := writer{b, len(b)}
	j.open('{')
	j.textField("calculator", w.Calculator.ID)
	j.textField("query", w.Canonical())
	j.textField("summary", w.Summary(r))
	j.textField("happened", w.EventsText(r))
	j.flagField("whole", !w.cut)
	j.name("inputs")
	j.open('[')
	for i := range w.Inputs {
		w.pageInput(&j, i, r)
	}
	j.close(']')
	j.name("outputs")
	j.open('[')
	for i := range w.Outputs {
		w.pageOutput(&j, i, r)
	}
	j.close(']')
	j.name("figures")
	j.open('[')
	for i := range w.Calculator.Figures {
		if figures == nil || contains(figures, w.Calculator.Figures[i].Name) {
			scene := w.Scene(i, figure.Style{Reader: r})
			j.pageFigure(&scene, r)
		}
	}
	j.close(']')
	j.name("series")
	j.open('[')
	for i := range w.Series {
		j.pageTable(&w.Series[i], r)
	}
	j.close(']')
	j.close('}')
	return j.b
}

func (w *Work) pageInput(j *writer, i int, r *quantity.Reader) {
	in, v := &w.Calculator.Inputs[i], &w.Inputs[i]
	j.open('{')
	j.textField("name", in.Name)
	j.textField("text", w.InputText(i, r))
	if in.IsWord() {
		j.textField("word", v.Word)
	} else {
		w.pageNumber(j, i, r)
	}
	j.flagField("given", v.Given)
	j.flagField("read", v.Read)
	j.flagField("set", v.Set)
	j.close('}')
}

func (w *Work) pageNumber(j *writer, i int, r *quantity.Reader) {
	v, shown := &w.Inputs[i], w.ShownAs(i)
	u, _ := shown.In(r.System)
	j.textField("unit", u.Symbol)
	j.textField("unitName", r.UnitName(shown))
	if v.Set {
		j.textField("number", r.Number(v.Number, shown))
		j.numberField("position", round(u.From(v.Number)))
		j.numberField("value", v.Number)
	}
	if from, to, step, ok := w.Slider(i, r); ok {
		j.numberField("from", from)
		j.numberField("to", to)
		j.numberField("step", step)
	}
}

func (w *Work) pageOutput(j *writer, i int, r *quantity.Reader) {
	out := &w.Calculator.Outputs[i]
	printed, unit := w.number(i, r), r.UnitName(out.Shown)
	switch {
	case w.Moot[i]:
		printed, unit = "–", ""
	case out.Shown.Kind == quantity.YesNo:
		printed = r.Quantity(w.Outputs[i], out.Shown)
	}
	j.open('{')
	j.textField("name", out.Name)
	j.textField("label", r.Say(out.Label))
	j.textField("number", printed)
	j.textField("unit", unit)
	j.textField("sentence", w.Sentence(i, r))
	j.textField("band", w.BandText(i, r))
	j.numberField("value", w.Outputs[i])
	w.limits(j, i)
	u, decimals := out.Shown.In(r.System)
	j.numberField("scale", u.Scale)
	j.numberField("decimals", float64(decimals))
	j.flagField("main", out.Main)
	j.flagField("moot", w.Moot[i])
	j.close('}')
}

// FilmStyle is the size of a film in a page.
func FilmStyle(r *quantity.Reader) figure.Style {
	return figure.Style{Reader: r, Width: 440, Height: 232, Letters: 14}
}

// AppendFrame writes one moment of the film: {"duration","time","position","svg"}, in SI.
func (w *Work) AppendFrame(b []byte, t float64, r *quantity.Reader) []byte {
	film := w.Calculator.Film(w)
	t = max(0, min(t, film.Duration()))
	scene := film.Scene(t, FilmStyle(r))
	j := writer{b, len(b)}
	j.open('{')
	j.numberField("duration", film.Duration())
	j.numberField("time", t)
	j.numberField("position", film.Position(t))
	j.textField("svg", scene.SVG())
	j.close('}')
	return j.b
}

// Cursor is where a reader points on a figure: an SI value of its level axis.
type Cursor struct {
	Figure string
	At     float64
}

// AppendReadings writes what figures show at places: {"readings":[{"figure","said":[["Speed","60 km/h"],…]}]}. A figure
// that cannot be read at a place says nothing there.
func (w *Work) AppendReadings(b []byte, places []Cursor, r *quantity.Reader) []byte {
	j := writer{b, len(b)}
	j.open('{')
	j.name("readings")
	j.open('[')
	for _, p := range places {
		j.open('{')
		j.textField("figure", p.Figure)
		j.name("said")
		j.open('[')
		if i, ok := w.Calculator.Figure(p.Figure); ok {
			for _, s := range w.scene(i).At(p.At, r) {
				j.open('[')
				j.text(s.Label)
				j.text(s.Text)
				j.close(']')
			}
		}
		j.close(']')
		j.close('}')
	}
	j.close(']')
	j.close('}')
	return j.b
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

// MostRows is how many rows a figure's table has at most in a page.
const MostRows = 26

func (j *writer) pageFigure(s *figure.Scene, r *quantity.Reader) {
	j.open('{')
	j.textField("name", s.Name)
	j.textField("title", s.Title)
	j.textField("alt", s.Alt)
	j.textField("svg", s.SVG())
	j.name("table")
	thin := s.Table.Thin(MostRows)
	j.pageTable(&thin, r)
	j.close('}')
}

func (j *writer) pageTable(t *figure.Table, r *quantity.Reader) {
	j.open('{')
	j.name("headings")
	j.open('[')
	for i := range t.Columns {
		j.text(t.Columns[i].Heading(r))
	}
	j.close(']')
	j.name("rows")
	j.open('[')
	for row := range t.Rows() {
		j.open('[')
		for i := range t.Columns {
			j.text(t.Columns[i].Cell(r, row))
		}
		j.close(']')
	}
	j.close(']')
	j.close('}')
}

// AppendFaults writes what is wrong, in the reader's language as far as it has the words:
// {"faults":[{"input","text","hint"}]}.
func AppendFaults(b []byte, err error, r *quantity.Reader) []byte {
	faults, ok := err.(Faults)
	if !ok {
		faults = Faults{{Text: err.Error()}}
	}
	j := writer{b, len(b)}
	j.open('{')
	j.name("faults")
	j.open('[')
	for _, f := range faults {
		j.open('{')
		j.textField("input", f.Input)
		text, hint := f.Text, f.Hint
		if said := f.Wrong.In(r); said != "" {
			text, hint = said, f.Remedy.In(r)
		}
		j.textField("text", text)
		j.textField("hint", hint)
		j.close('}')
	}
	j.close(']')
	j.close('}')
	return j.b
}
