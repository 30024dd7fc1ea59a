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
	shown, words := w.Calculator.Outputs[i].Shown, w.Calculator.Outputs[i].Words
	if k := int(w.Outputs[i]); k >= 0 && k < len(words) {
		return r.Say(words[k])
	}
	if shown.Kind == quantity.YesNo {
		return r.Quantity(w.Outputs[i], shown)
	}
	number := r.Number(w.Outputs[i], shown)
	if doubt := w.Doubts[i]; doubt > 0 {
		number += "\u00a0±\u00a0" + r.Number(doubt, shown)
	}
	return quantity.Join(number, r.UnitName(shown))
}

// BandText prints the limits of an output, in its unit but without naming it: "27.4 to 28.6 in nine of ten".
func (w *Work) BandText(i int, r *quantity.Reader) string {
	if w.Moot[i] || w.Bands[i] == (Band{}) {
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

// Slider is the range of a number input and a step that suits it, in the reader's unit and the kind that was given.
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
	least, most := as.Min, as.Max
	if in.Usual != (Usual{}) && as.Kind == in.Shown.Kind {
		least, most = in.Usual.From, in.Usual.To
		if v := w.Inputs[i]; v.Set { // what is given has its place on the slider
			least, most = min(least, v.Number), max(most, v.Number)
		}
	}
	from, to = math.Ceil(u.From(least)/step-1e-9)*step, math.Floor(u.From(most)/step+1e-9)*step
	return round(from) + 0, round(to) + 0, step, true // + 0 turns -0 into 0
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
