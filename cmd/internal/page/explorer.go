package page

import (
	"html/template"
	"math"
	"slices"
	"strconv"
	"strings"

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

	Own                      bool   // of the site, not of the program
	Measured, MeasuredScript string // the module that takes what is attached, if it is not that of all calculators
	Summary                  string
	Dials                    []dial
	Folded                   []dial // what few change
	Main, Rest               []kit.Finding
	Film                     *film
	Figures                  []plate
	Series                   []kit.Grid
	Given                    []note
	Origins                  []note
	Warning                  string
}

// dial is one input with what never changes about it.
type dial struct {
	kit.Dial
	ID, Help string
	Choices  []choice
	Free     bool
	Clears   string // inputs that a choice sets anew
}

// At is where the slider's thumb stands.
func (d dial) At() float64 {
	if d.Position == nil {
		return d.Slider.From
	}
	return *d.Position
}

type choice struct {
	Value, Label string
	Chosen       bool
}

// plate is one figure.
type plate struct {
	*quantity.Reader
	kit.Plate
}

// Drawing is the figure itself.
func (p plate) Drawing() template.HTML { return template.HTML(p.SVG) }

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

type note struct{ Title, Detail string }

func newExplorer(id string, w *kit.Work, r *quantity.Reader) *explorerView {
	c := w.Calculator
	v := &explorerView{Calculator: c, Reader: r, ID: id, Query: w.Canonical(), Summary: w.Summary(r)}
	a := w.Answer(r, nil)
	for i, told := range a.Dials {
		if d := newDial(id, w, i, told, r); c.Inputs[i].Detail && !d.Given {
			v.Folded = append(v.Folded, d)
		} else {
			v.Dials = append(v.Dials, d)
		}
	}
	for _, f := range a.Findings {
		if f.Main {
			v.Main = append(v.Main, f)
		} else {
			v.Rest = append(v.Rest, f)
		}
	}
	if c.Film != nil {
		v.Film = newFilm(w, r)
	}
	for _, p := range a.Plates {
		v.Figures = append(v.Figures, plate{r, p})
	}
	v.Series = a.Series
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

func newDial(id string, w *kit.Work, i int, told kit.Dial, r *quantity.Reader) dial {
	in := &w.Calculator.Inputs[i]
	d := dial{Dial: told, ID: id + "-" + in.Name, Free: in.IsWord() && len(in.Choices) == 0, Choices: choices(in, &w.Inputs[i], r)}
	if in.Help != "" {
		d.Help = r.Say(in.Help)
	}
	if in.IsWord() {
		d.Clears = clears(w.Calculator, in.Name)
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
