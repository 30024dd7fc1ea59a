// Package kit is what a calculator is: its inputs, outputs, figures, assumptions, sources and caution, and how a
// calc: query is read, worked out and answered.
//
// A calculator is a value, not a type: one file declares it, and the same value serves the builder, the terminal
// and, compiled to WebAssembly, the reader's page. A calculator of a site's own is written the same way.
package kit

import (
	"slices"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/quantity"
)

// Calculator answers one question. All its texts are English; catalogues translate them.
type Calculator struct {
	ID          string // stable, as in a link: "stop"
	Title       string // "Stopping distance"
	Question    string // "How far until I have stopped?"
	Inputs      []Input
	Presets     []Preset
	Outputs     []Output
	Figures     []Figure
	Assumptions []string // whole sentences
	Sources     []Source
	Caution     string // empty is the standing caution
	Takes       string // what may come with a query as its attachment: "A logged stop"; empty if nothing
	Long        bool   // takes noticeable time: the page works it out beside itself, with progress and a way to stop

	Simulates bool // takes more than a page may be held up for: the page works it out beside itself, with what comes shown

	// Work fills w.Outputs, and w.Series and w.Data where there are any. The inputs it sees are in range.
	Work func(w *Work) error

	// Condense, if there, gives the numbers of an answer from which Restore makes it again, for those who keep answers
	// that took long. Restore reports whether they are numbers of an answer to these inputs.
	Condense func(w *Work) []float64
	Restore  func(w *Work, numbers []float64) bool

	// Film, if there, shows the stop that was worked out, for a page to replay.
	Film func(w *Work) Film
}

// Film is a stop that can be watched: a scene for every moment of it.
type Film interface {
	Duration() float64                           // s
	Places(t float64) []Point                    // where it is at a moment along what figures run along; time comes first
	Time(at Point) float64                       // the first moment at which it is there
	Sound(t float64) (pulse, skid float64)       // of the lever and of a tyre, 0 to 1
	Cycle(t float64) (from, to float64, ok bool) // of the controller: the one at a moment or the next; false if it does not work
	Scene(t float64, s figure.Style) figure.Scene

	// Beside shows other films of the same kind with this one, on one road and one clock. names are of all of them,
	// this one's first.
	Beside(others []Film, names []string) Film
}

// StandingCaution is shown with every calculator and every lesson.
const StandingCaution = "These are estimates from a model, not a promise about your bike, tyres or road. " +
	"Practise off the road with a qualified instructor. Local law and the maker's manual come first."

// Input is one thing the reader may set.
type Input struct {
	Name     string   // stable: "reaction"
	Aliases  []string // names it once had
	Symbol   string   // in formulas: "t"; a letter, perhaps with a subscript after _
	Label    string   // "Reaction time"
	Help     string   // one sentence, may be empty
	Shown    quantity.Shown
	Also     []Other  // other kinds it may be given in: a gap as a time or a distance
	Default  string   // as in a link; empty means "not given"
	Min, Max float64  // SI, inclusive
	Step     float64  // of the slider, in the metric unit shown
	Usual    Usual    // where the slider runs, if not over the whole range; a box takes the rest
	Why      string   // the reason of the range: "motorcycles rarely go faster"
	Choices  []Choice // of a word input: its value is one of these
	Free     bool     // of a word input without choices: any short text, such as a tyre size, that Work reads
	Detail   bool     // a figure that few change: a page may keep it out of sight until asked
}

// Other is a further kind that an input may be given in, with the range it then has.
type Other struct {
	quantity.Shown
	Min, Max float64 // SI, inclusive
	Step     float64 // of the slider, in the metric unit shown
}

// Usual is the part of a range in which values usually lie, SI. The zero value is the whole range.
type Usual struct{ From, To float64 }

// IsWord reports whether the value is a word and not a number.
func (in *Input) IsWord() bool { return len(in.Choices) > 0 || in.Free }

// Choice is one word an input may be.
type Choice struct{ Value, Label string }

// Preset gives other inputs their values when an input is set to a word: bike=tourer sets mass, wheelbase, ….
// A value written in the query still wins.
type Preset struct {
	Input, Choice string
	Sets          []Setting
}

// Setting is an input and its value as in a link.
type Setting struct{ Input, Value string }

// Output is one number that comes out.
type Output struct {
	Name     string   // stable: "stopping-distance"
	Aliases  []string // names it once had
	Symbol   string   // in formulas: "s"
	Label    string   // "Stopping distance"
	Sentence string   // "You come to a stop after {}."; {} is the number with its unit. Empty: label and number
	Shown    quantity.Shown
	Words    []string // what the whole numbers from 0 on stand for, where the answer is one of a few
	Main     bool     // told first, and in summaries
	Attached bool     // only an attachment tells it: without one it is moot and not shown
}

// Figure is one picture of the answer.
type Figure struct {
	Name  string // stable: "road"
	Title string
	Draw  func(w *Work, s figure.Style) figure.Scene
}

// Source says where a formula or a value is from.
type Source struct{ Title, Detail string }

// Input finds an input by name or former name.
func (c *Calculator) Input(name string) (int, bool) {
	for i := range c.Inputs {
		if c.Inputs[i].Name == name || slices.Contains(c.Inputs[i].Aliases, name) {
			return i, true
		}
	}
	return 0, false
}

// Output finds an output by name or former name.
func (c *Calculator) Output(name string) (int, bool) {
	for i := range c.Outputs {
		if c.Outputs[i].Name == name || slices.Contains(c.Outputs[i].Aliases, name) {
			return i, true
		}
	}
	return 0, false
}

// Figure finds a figure by name.
func (c *Calculator) Figure(name string) (int, bool) {
	for i := range c.Figures {
		if c.Figures[i].Name == name {
			return i, true
		}
	}
	return 0, false
}

// Warning is the caution to show a reader: the calculator's own, if it has one, and the standing one.
func (c *Calculator) Warning(r *quantity.Reader) string {
	if c.Caution == "" {
		return r.Say(StandingCaution)
	}
	return r.Say(c.Caution) + " " + r.Say(StandingCaution)
}
