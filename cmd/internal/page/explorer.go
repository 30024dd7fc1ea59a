package page

import (
	"html/template"
	"math"
	"slices"
	"strconv"
	"strings"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/cmd/internal/lesson"
)

// Explorer is one calculator at one state, as its template sees it. Every text is what the WebAssembly module says
// for the same state, so that nothing on the page moves when the script takes over.
type explorerView struct {
	*kit.Calculator
	*quantity.Reader
	ID          string
	Caption     template.HTML
	Page, Embed string // addresses of the explorer alone

	Own                      bool   // of the site, not of the program
	Measured, MeasuredScript string // the module that takes what is attached, if it is not that of all calculators
	*kit.Answer
	Levers, Folded []dial // what the lesson is about, and all else
	Main, Rest     []kit.Finding
	Film           *film
	Lead           *plate  // the figure in view beside the levers, where there is no film
	Figures        []plate // the others
	Asked          bool    // a bet stands right before it: it opens once that is made
	Begins         string  // the queries of the states that stand beside this one from the start
	Given          []note
	Origins        []note
	Warning        string
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
	Open bool // shown without being asked for
}

// Drawing is the figure itself.
func (p plate) Drawing() template.HTML { return template.HTML(p.SVG) }

// film is the stop, replayed. Without a script it is one still, from the middle of the stop.
type film struct {
	SVG                template.HTML
	Duration, At, Text string
}

func newFilm(view *kit.View, r *quantity.Reader) *film {
	f := view.Film(r)
	at := math.Round(f.Duration()/2*1000) / 1000 // the slider's step
	scene := f.Scene(at, view.FilmStyle(r))
	seconds := func(s float64) string { return strconv.FormatFloat(s, 'f', 3, 64) }
	return &film{template.HTML(scene.SVG()), seconds(f.Duration()), seconds(at),
		r.Quantity(at, quantity.Shown{Kind: quantity.Time, Metric: "s", MetricDecimals: 2})}
}

type note struct{ Title, Detail string }

// fewest and most are how many levers an explorer has at least, and most if nobody chose them.
const fewest, most = 2, 5

// newExplorer makes the view of one or several states of a calculator. levers are the inputs that the lesson moves, in
// its order.
func newExplorer(id string, view *kit.View, levers []string, r *quantity.Reader) *explorerView {
	w := view.Now
	c := w.Calculator
	v := &explorerView{Calculator: c, Reader: r, ID: id, Answer: view.Answer(r, nil)}
	v.dials(w, levers)
	for _, f := range v.Findings {
		if f.Main {
			v.Main = append(v.Main, f)
		} else {
			v.Rest = append(v.Rest, f)
		}
	}
	for i, p := range v.Plates {
		if i == 0 && c.Film == nil {
			v.Lead = &plate{r, p, false}
		} else {
			v.Figures = append(v.Figures, plate{r, p, len(v.Figures) == 0 && c.Film != nil})
		}
	}
	if c.Film != nil {
		v.Film = newFilm(view, r)
	}
	var kept []string
	for _, k := range v.Kept {
		_, pairs, _ := strings.Cut(k.Query, "?")
		kept = append(kept, pairs)
	}
	v.Begins = strings.Join(kept, " ")
	v.notes(r)
	return v
}

// dials sorts the inputs: those of the lesson in its order, as many more as an explorer needs, and the rest.
func (v *explorerView) dials(w *kit.Work, levers []string) {
	c := w.Calculator
	levers = slices.Clone(levers)
	least := fewest
	if len(levers) == 0 {
		least = most
	}
	for i := range c.Inputs {
		in := &c.Inputs[i]
		if len(levers) < least && !in.Detail && !slices.Contains(levers, in.Name) && (in.Default != "" || in.IsWord()) {
			levers = append(levers, in.Name)
		}
	}
	for _, name := range levers {
		if i, ok := c.Input(name); ok {
			v.Levers = append(v.Levers, newDial(v.ID, w, i, v.Dials[i], v.Reader))
		}
	}
	for i := range c.Inputs {
		if !slices.Contains(levers, c.Inputs[i].Name) {
			v.Folded = append(v.Folded, newDial(v.ID, w, i, v.Dials[i], v.Reader))
		}
	}
}

// levers are the inputs that an explorer of a lesson moves: those that its caption names, in that order, then the
// others of its link.
func levers(e *lesson.Explorer, r *quantity.Reader) []string {
	c := e.Result.Work.Calculator
	caption := strings.ToLower(e.Caption)
	at := make(map[string]int)
	var names []string
	for _, in := range c.Inputs {
		if i := strings.Index(caption, strings.ToLower(r.Say(in.Label))); i >= 0 {
			at[in.Name] = i
			names = append(names, in.Name)
		}
	}
	slices.SortStableFunc(names, func(a, b string) int { return at[a] - at[b] })
	for _, p := range e.Query.Pairs {
		if i, ok := c.Input(p.Name); ok && !slices.Contains(names, c.Inputs[i].Name) {
			names = append(names, c.Inputs[i].Name)
		}
	}
	return names
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
	d := dial{Dial: told, ID: id + "-" + in.Name, Choices: choices(in, &w.Inputs[i], r)}
	d.Free = in.IsWord() && len(in.Choices) == 0
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
