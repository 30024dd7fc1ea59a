package kit

import (
	"math"
	"strconv"
	"unicode/utf8"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/quantity"
)

// Sentence says an output in the reader's words and units.
func (w *Work) Sentence(i int, r *quantity.Reader) string {
	out := &w.Calculator.Outputs[i]
	if w.Moot[i] {
		return r.Say(out.Label) + ": " + r.Say("does not apply")
	}
	number := r.Quantity(w.Outputs[i], out.Shown)
	if out.Sentence == "" {
		return r.Say(out.Label) + ": " + number
	}
	return r.Say(out.Sentence, number)
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
	return round(from), round(to), step, true
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
// {"calculator":…,"inputs":{name:{"value":…,"unit":…}},"outputs":{…},"series":[…]}.
func (w *Work) AppendSI(b []byte) []byte {
	b = append(b, `{"calculator":`...)
	b = text(b, w.Calculator.ID)
	b = append(b, `,"inputs":{`...)
	comma := false
	for i := range w.Inputs {
		v := &w.Inputs[i]
		if !v.Set {
			continue
		}
		b = key(b, w.Calculator.Inputs[i].Name, &comma)
		if w.Calculator.Inputs[i].IsWord() {
			b = append(b, `{"value":`...)
			b = text(b, v.Word)
			b = append(b, '}')
			continue
		}
		b = si(b, v.Number, v.Kind)
	}
	b = append(b, `},"outputs":{`...)
	comma = false
	for i, v := range w.Outputs {
		b = key(b, w.Calculator.Outputs[i].Name, &comma)
		b = si(b, v, w.Calculator.Outputs[i].Shown.Kind)
	}
	b = append(b, `},"series":[`...)
	for i := range w.Series {
		if i > 0 {
			b = append(b, ',')
		}
		b = table(b, &w.Series[i])
	}
	return append(b, "]}"...)
}

func key(b []byte, name string, comma *bool) []byte {
	if *comma {
		b = append(b, ',')
	}
	*comma = true
	b = text(b, name)
	return append(b, ':')
}

func si(b []byte, v float64, kind quantity.Kind) []byte {
	b = append(b, `{"value":`...)
	b = number(b, v)
	b = append(b, `,"unit":`...)
	b = text(b, siSymbol(kind))
	return append(b, '}')
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

func table(b []byte, t *figure.Table) []byte {
	b = append(b, '[')
	for i := range t.Columns {
		if i > 0 {
			b = append(b, ',')
		}
		c := &t.Columns[i]
		b = append(b, `{"label":`...)
		b = text(b, c.Label)
		b = append(b, `,"unit":`...)
		b = text(b, siSymbol(c.Shown.Kind))
		b = append(b, `,"values":[`...)
		for k := range c.Len() {
			if k > 0 {
				b = append(b, ',')
			}
			if k < len(c.Words) {
				b = text(b, c.Words[k])
			} else {
				b = number(b, c.Values[k])
			}
		}
		b = append(b, "]}"...)
	}
	return append(b, ']')
}

// AppendPage writes the answer for the page, in the reader's words and units. figures names the ones to draw;
// nil draws all, an empty list none.
//
//	{"calculator","query","summary",
//	 "inputs":[{"name","text","number","unit","unitName","position","value","from","to","step","word","given","set"}],
//	 "outputs":[{"name","label","number","unit","sentence","value","scale","decimals","main"}],
//	 "figures":[{"name","title","svg","alt","table":{"headings":[],"rows":[[]]}}],
//	 "series":[{"headings":[],"rows":[[]]}]}
//
// position is the input's value in the reader's unit, for a slider that runs from from to to in steps of step; unit is
// as a link writes it. value is SI, scale the SI value of the unit that an output is shown in.
func (w *Work) AppendPage(b []byte, r *quantity.Reader, figures []string) []byte {
	b = append(b, `{"calculator":`...)
	b = text(b, w.Calculator.ID)
	b = append(b, `,"query":`...)
	b = text(b, w.Canonical())
	b = append(b, `,"summary":`...)
	b = text(b, w.Summary(r))
	b = append(b, `,"inputs":[`...)
	for i := range w.Inputs {
		b = w.pageInput(b, i, r)
	}
	b = append(b, `],"outputs":[`...)
	for i := range w.Outputs {
		b = w.pageOutput(b, i, r)
	}
	b = append(b, `],"figures":[`...)
	comma := false
	for i := range w.Calculator.Figures {
		if figures != nil && !contains(figures, w.Calculator.Figures[i].Name) {
			continue
		}
		if comma {
			b = append(b, ',')
		}
		comma = true
		scene := w.Scene(i, figure.Style{Reader: r})
		b = pageFigure(b, &scene, r)
	}
	b = append(b, `],"series":[`...)
	for i := range w.Series {
		if i > 0 {
			b = append(b, ',')
		}
		b = pageTable(b, &w.Series[i], r)
	}
	return append(b, "]}"...)
}

func (w *Work) pageInput(b []byte, i int, r *quantity.Reader) []byte {
	in, v := &w.Calculator.Inputs[i], &w.Inputs[i]
	if i > 0 {
		b = append(b, ',')
	}
	b = append(b, `{"name":`...)
	b = text(b, in.Name)
	b = append(b, `,"text":`...)
	b = text(b, w.InputText(i, r))
	if in.IsWord() {
		b = append(b, `,"word":`...)
		b = text(b, v.Word)
	} else {
		b = w.pageNumber(b, i, r)
	}
	b = append(b, `,"given":`...)
	b = strconv.AppendBool(b, v.Given)
	b = append(b, `,"set":`...)
	b = strconv.AppendBool(b, v.Set)
	return append(b, '}')
}

func (w *Work) pageNumber(b []byte, i int, r *quantity.Reader) []byte {
	v, shown := &w.Inputs[i], w.ShownAs(i)
	u, _ := shown.In(r.System)
	b = append(b, `,"unit":`...)
	b = text(b, u.Symbol)
	b = append(b, `,"unitName":`...)
	b = text(b, r.UnitName(shown))
	if v.Set {
		b = append(b, `,"number":`...)
		b = text(b, r.Number(v.Number, shown))
		b = append(b, `,"position":`...)
		b = number(b, round(u.From(v.Number)))
		b = append(b, `,"value":`...)
		b = number(b, v.Number)
	}
	from, to, step, ok := w.Slider(i, r)
	if !ok {
		return b
	}
	b = append(b, `,"from":`...)
	b = number(b, from)
	b = append(b, `,"to":`...)
	b = number(b, to)
	b = append(b, `,"step":`...)
	return number(b, step)
}

func (w *Work) pageOutput(b []byte, i int, r *quantity.Reader) []byte {
	out := &w.Calculator.Outputs[i]
	if i > 0 {
		b = append(b, ',')
	}
	b = append(b, `{"name":`...)
	b = text(b, out.Name)
	b = append(b, `,"label":`...)
	b = text(b, r.Say(out.Label))
	b = append(b, `,"number":`...)
	printed, unit := r.Number(w.Outputs[i], out.Shown), r.UnitName(out.Shown)
	if out.Shown.Kind == quantity.YesNo {
		printed = r.Quantity(w.Outputs[i], out.Shown)
	}
	if w.Moot[i] {
		printed, unit = "–", ""
	}
	b = text(b, printed)
	b = append(b, `,"unit":`...)
	b = text(b, unit)
	b = append(b, `,"sentence":`...)
	b = text(b, w.Sentence(i, r))
	b = append(b, `,"value":`...)
	b = number(b, w.Outputs[i])
	u, decimals := out.Shown.In(r.System)
	b = append(b, `,"scale":`...)
	b = number(b, u.Scale)
	b = append(b, `,"decimals":`...)
	b = strconv.AppendInt(b, int64(decimals), 10)
	b = append(b, `,"main":`...)
	b = strconv.AppendBool(b, out.Main)
	b = append(b, `,"moot":`...)
	b = strconv.AppendBool(b, w.Moot[i])
	return append(b, '}')
}

// MostRows is how many rows a figure's table has at most in a page.
const MostRows = 26

func pageFigure(b []byte, s *figure.Scene, r *quantity.Reader) []byte {
	b = append(b, `{"name":`...)
	b = text(b, s.Name)
	b = append(b, `,"title":`...)
	b = text(b, s.Title)
	b = append(b, `,"alt":`...)
	b = text(b, s.Alt)
	b = append(b, `,"svg":`...)
	b = text(b, s.SVG())
	b = append(b, `,"table":`...)
	thin := s.Table.Thin(MostRows)
	b = pageTable(b, &thin, r)
	return append(b, '}')
}

func pageTable(b []byte, t *figure.Table, r *quantity.Reader) []byte {
	b = append(b, `{"headings":[`...)
	for i := range t.Columns {
		if i > 0 {
			b = append(b, ',')
		}
		b = text(b, t.Columns[i].Heading(r))
	}
	b = append(b, `],"rows":[`...)
	for row := range t.Rows() {
		if row > 0 {
			b = append(b, ',')
		}
		b = append(b, '[')
		for i := range t.Columns {
			if i > 0 {
				b = append(b, ',')
			}
			b = text(b, t.Columns[i].Cell(r, row))
		}
		b = append(b, ']')
	}
	return append(b, "]}"...)
}

// AppendFaults writes what is wrong: {"faults":[{"input","text","hint"}]}.
func AppendFaults(b []byte, err error) []byte {
	faults, ok := err.(Faults)
	if !ok {
		faults = Faults{{Text: err.Error()}}
	}
	b = append(b, `{"faults":[`...)
	for i, f := range faults {
		if i > 0 {
			b = append(b, ',')
		}
		b = append(b, `{"input":`...)
		b = text(b, f.Input)
		b = append(b, `,"text":`...)
		b = text(b, f.Text)
		b = append(b, `,"hint":`...)
		b = text(b, f.Hint)
		b = append(b, '}')
	}
	return append(b, "]}"...)
}

// number writes a finite number as JSON (RFC 8259), with all its digits.
func number(b []byte, v float64) []byte {
	if v == math.Trunc(v) && math.Abs(v) < 1e15 {
		return strconv.AppendInt(b, int64(v), 10)
	}
	return strconv.AppendFloat(b, v, 'g', -1, 64)
}

// text writes a JSON string; what is not UTF-8 becomes U+FFFD, and < is escaped so that it may stand in HTML.
func text(b []byte, s string) []byte {
	const hex = "0123456789abcdef"
	b = append(b, '"')
	for _, r := range s {
		switch {
		case r == '"' || r == '\\':
			b = append(b, '\\', byte(r))
		case r < ' ' || r == '<' || r == '\u2028' || r == '\u2029':
			b = append(b, `\u`...)
			for shift := 12; shift >= 0; shift -= 4 {
				b = append(b, hex[r>>shift&15])
			}
		default:
			b = utf8.AppendRune(b, r)
		}
	}
	return append(b, '"')
}
