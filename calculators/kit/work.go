package kit

import (
	"math"
	"strconv"
	"strings"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/calculators/spelling"
)

// Value is an input's value for one calculation.
type Value struct {
	Number float64       // SI
	Kind   quantity.Kind // the kind it was given in
	Word   string        // of a word input
	Text   string        // as a link writes it
	Given  bool          // written in the query
	Set    bool          // given, set by a preset, or there by default
	Read   bool          // read from the attachment
}

// Work is one calculation: what went in and what came out.
type Work struct {
	Calculator *Calculator
	Inputs     []Value        // parallel to Calculator.Inputs
	Attachment string         // a block of text that came with the query and is too long for a link: a log
	Outputs    []float64      // parallel to Calculator.Outputs, SI
	Moot       []bool         // parallel to Outputs: says nothing in this state, such as the speed of a crash that does not happen
	Doubts     []float64      // parallel to Outputs: their expanded uncertainties, 0 where none is known
	Bands      []Band         // parallel to Outputs: within which limits nine of ten lie, where that is known
	Events     []Event        // what happened, cause and effect, in the order in which it is told
	First      bool           // only what is quickly there is wanted; the whole answer is asked for when the hand rests
	Series     []figure.Table // of a calculator that sweeps
	Data       any            // what its figures need

	// Witness, if there, sees every Put, for who looks for mistakes in a calculator's code.
	Witness func(output int, si float64)

	cut bool // something was left out, since only what is quickly there was wanted

	// Progress, if there, is told how far a long calculation is; it returns false to stop it.
	// The outputs and series that are there by then can be shown.
	Progress func(w *Work, done, total int) bool
}

// Band is the limits within which nine of ten outcomes lie, SI. The zero value is no band.
type Band struct{ Low, High float64 }

// Event is a sentence on what happened in this state: English, with a {} for each amount.
type Event struct {
	Says string
	With []Amount
}

// Amount is a quantity in a sentence, SI.
type Amount struct {
	Value float64
	Shown quantity.Shown
}

// NewWork is a calculation with some inputs, parallel to the calculator's, before it is worked out.
func NewWork(c *Calculator, inputs []Value) *Work {
	n := len(c.Outputs)
	return &Work{Calculator: c, Inputs: inputs, Outputs: make([]float64, n), Moot: make([]bool, n),
		Doubts: make([]float64, n), Bands: make([]Band, n)}
}

// ErrStopped is returned by Work when Progress asked it to stop.
var ErrStopped error = stopped{}

type stopped struct{}

func (stopped) Error() string { return "stopped" }

// Number is the SI value of an input. It panics on a name that the calculator does not declare.
func (w *Work) Number(input string) float64 { return w.value(input).Number }

// Word is the word of an input.
func (w *Work) Word(input string) string { return w.value(input).Word }

// Has reports whether an input has a value at all.
func (w *Work) Has(input string) bool { return w.value(input).Set }

// Given reports whether an input was written in the query itself.
func (w *Work) Given(input string) bool { return w.value(input).Given }

// Kind is the kind that an input's value was given in.
func (w *Work) Kind(input string) quantity.Kind { return w.value(input).Kind }

func (w *Work) value(input string) *Value { return &w.Inputs[w.input(input)] }

// input finds an input that the calculator's own code names; one it does not declare is a mistake in that code.
func (w *Work) input(name string) int {
	i, ok := w.Calculator.Input(name)
	if !ok {
		panic(Misuse{w.Calculator.ID + " has no input " + quote(name), suggest(name, w.Calculator.inputNames())})
	}
	return i
}

// output finds an output likewise.
func (w *Work) output(name string) int {
	i, ok := w.Calculator.Output(name)
	if !ok {
		panic(Misuse{w.Calculator.ID + " has no output " + quote(name), suggest(name, w.Calculator.OutputNames())})
	}
	return i
}

// Put sets an output.
func (w *Work) Put(output string, si float64) {
	i := w.output(output)
	w.Outputs[i] = si
	if w.Witness != nil {
		w.Witness(i, si)
	}
}

// PutBand sets an output together with the limits, SI, within which nine of ten outcomes lie.
func (w *Work) PutBand(output string, si, low, high float64) {
	w.Put(output, si)
	w.Bands[w.output(output)] = Band{low, high}
}

// Band gives the limits of an output; the zero value if they are not known.
func (w *Work) Band(output string) Band { return w.Bands[w.output(output)] }

// Quick reports whether an answer without what takes long, such as its bands, is wanted first. The page asks again for
// the whole one when the hand rests; everyone else asks for the whole one at once.
func (w *Work) Quick() bool {
	w.cut = w.First
	return w.First
}

// Happened adds a sentence that tells what happened, cause and effect: Happened("The rear wheel lifted after {}.",
// Amount{0.6, seconds}).
func (w *Work) Happened(english string, with ...Amount) {
	w.Events = append(w.Events, Event{english, with})
}

// Void says that an output means nothing in this state. It keeps its value, 0 unless put, but is not told.
func (w *Work) Void(output string) { w.Moot[w.output(output)] = true }

// Output is the SI value of an output.
func (w *Work) Output(output string) float64 { return w.Outputs[w.output(output)] }

// Doubt gives an output its expanded uncertainty, which is told with it.
func (w *Work) Doubt(output string, si float64) { w.Doubts[w.output(output)] = si }

// Read gives a number input the value that the attachment has for it. It counts as given, so that a link holds it.
func (w *Work) Read(input string, si float64) {
	w.Suggest(input, si)
	v := w.value(input)
	v.Given, v.Read = true, true
}

// Suggest gives a number input the value that suits the attachment.
func (w *Work) Suggest(input string, si float64) {
	i := w.input(input)
	shown := w.Calculator.Inputs[i].Shown
	u, _ := shown.In(quantity.Metric)
	w.Inputs[i] = Value{Number: si, Kind: shown.Kind, Text: strconv.FormatFloat(u.From(si), 'g', 6, 64) + u.Symbol, Set: true}
}

// Step reports progress. A calculation that gets ErrStopped returns it.
func (w *Work) Step(done, total int) error {
	if w.Progress != nil && !w.Progress(w, done, total) {
		return ErrStopped
	}
	return nil
}

// Refuse is the error of a Work function for an input that is in range by itself but not with the others.
func (w *Work) Refuse(input, text, hint string) error {
	return Faults{{Input: input, Text: text, Hint: hint}}
}

// Set is the calculators that queries can name.
type Set []*Calculator

// Find gives the calculator of an id.
func (s Set) Find(id string) (*Calculator, bool) {
	for _, c := range s {
		if c.ID == id {
			return c, true
		}
	}
	return nil, false
}

// IDs lists the calculators' ids in their order.
func (s Set) IDs() []string {
	ids := make([]string, len(s))
	for i, c := range s {
		ids[i] = c.ID
	}
	return ids
}

// Prepare reads a query into a Work that is ready to run, or says all that is wrong with it.
func (s Set) Prepare(q Query) (*Work, error) {
	c, ok := s.Find(q.Calculator)
	if !ok {
		return nil, Faults{{Offset: q.At, Length: len(q.Calculator), Text: "there is no calculator " + quote(q.Calculator),
			Hint: suggest(q.Calculator, s.IDs())}}
	}
	w := NewWork(c, make([]Value, len(c.Inputs)))
	var faults Faults
	for _, p := range q.Pairs {
		if f := w.set(p); f != nil {
			faults = append(faults, *f)
		}
	}
	if len(faults) > 0 {
		return nil, faults
	}
	w.fill()
	return w, nil
}

// Run works a prepared calculation out. A number that is not finite is a fault, never an answer.
func (w *Work) Run() error {
	if w.Attachment != "" && w.Calculator.Takes == "" {
		return Faults{{Text: w.Calculator.ID + " takes no attachment"}}
	}
	if err := w.Calculator.Work(w); err != nil {
		return err
	}
	for i, out := range w.Calculator.Outputs {
		if sum := w.Outputs[i] + w.Bands[i].Low + w.Bands[i].High; math.IsNaN(sum) || math.IsInf(sum, 0) {
			return Faults{{Text: "these inputs give no finite " + out.Name, Hint: "bring them nearer to their defaults"}}
		}
	}
	return nil
}

// Work parses, prepares and runs a query.
func (s Set) Work(query string) (*Work, error) {
	q, faults := Parse(query)
	if len(faults) > 0 {
		return nil, faults
	}
	w, err := s.Prepare(q)
	if err != nil {
		return nil, err
	}
	if err := w.Run(); err != nil {
		return w, Place(err, q)
	}
	return w, nil
}

// Place gives faults about an input the position of that input in the query.
func Place(err error, q Query) error {
	faults, ok := err.(Faults)
	if !ok {
		return err
	}
	for i := range faults {
		for _, p := range q.Pairs {
			if faults[i].Input == p.Name && faults[i].Length == 0 {
				faults[i].Offset, faults[i].Length = p.At, p.End-p.At
			}
		}
	}
	return faults
}

// set gives one input the value that the query writes for it.
func (w *Work) set(p Pair) *Fault {
	i, ok := w.Calculator.Input(p.Name)
	if !ok {
		return &Fault{Offset: p.At, Length: p.End - p.At, Input: p.Name, Text: w.Calculator.ID + " has no input " + quote(p.Name),
			Hint: suggest(p.Name, w.Calculator.inputNames())}
	}
	v, f := w.Calculator.Inputs[i].read(p.Value)
	if f != nil {
		f.Offset += p.ValueAt
		if p.ValueAt == p.End {
			f.Offset, f.Length = p.At, p.End-p.At
		}
		return f
	}
	v.Given = true
	w.Inputs[i] = v
	return nil
}

// fill sets what the query left open, from presets and then from defaults.
func (w *Work) fill() {
	for i := range w.Inputs {
		if in := &w.Calculator.Inputs[i]; in.IsWord() && !w.Inputs[i].Set && in.Default != "" {
			w.Inputs[i] = in.must(in.Default)
		}
	}
	for _, preset := range w.Calculator.Presets {
		if w.Word(preset.Input) != preset.Choice {
			continue
		}
		for _, s := range preset.Sets {
			if v := w.value(s.Input); !v.Set {
				k, _ := w.Calculator.Input(s.Input)
				*v = w.Calculator.Inputs[k].must(s.Value)
			}
		}
	}
	for i := range w.Inputs {
		if in := &w.Calculator.Inputs[i]; !w.Inputs[i].Set && in.Default != "" {
			w.Inputs[i] = in.must(in.Default)
		}
	}
}

// must reads a value that the calculator's own declaration writes.
func (in *Input) must(text string) Value {
	v, f := in.read(text)
	if f != nil {
		panic("kit: input " + in.Name + ": " + f.Text)
	}
	return v
}

func (in *Input) read(text string) (Value, *Fault) {
	if in.IsWord() {
		return in.readWord(text)
	}
	q, err := quantity.Parse(text, in.kinds()...)
	if err != nil {
		e := err.(*quantity.Error)
		return Value{}, &Fault{Offset: e.Offset, Length: e.Length, Input: in.Name, Text: in.Name + ": " + e.Text,
			Hint: e.Hint, Wrong: e.Wrong, Remedy: e.Remedy}
	}
	if q.Unit.Kind == quantity.Whole && q.Value != math.Trunc(q.Value) {
		return Value{}, &Fault{Length: len(text), Input: in.Name,
			Text: in.Name + ": " + text + " is not a whole number", Hint: "leave the decimals out",
			Wrong: quantity.Phrase{Says: "{} is not a whole number", With: []string{text}}, Remedy: quantity.Phrase{Says: "leave the decimals out"}}
	}
	if o := in.as(q.Unit.Kind); !(o.Min <= q.Value && q.Value <= o.Max) {
		return Value{}, in.outside(text, o)
	}
	return Value{Number: q.Value, Kind: q.Unit.Kind, Text: text, Set: true}, nil
}

func (in *Input) kinds() []quantity.Kind {
	kinds := []quantity.Kind{in.Shown.Kind}
	for _, s := range in.Also {
		kinds = append(kinds, s.Kind)
	}
	return kinds
}

// as is how the input looks in one of its kinds.
func (in *Input) as(kind quantity.Kind) Other {
	for _, o := range in.Also {
		if o.Kind == kind {
			return o
		}
	}
	return Other{in.Shown, in.Min, in.Max, in.Step}
}

func (in *Input) outside(text string, o Other) *Fault {
	why := ""
	if in.Why != "" {
		why = " (" + in.Why + ")"
	}
	return &Fault{Length: len(text), Input: in.Name, Text: in.Name + ": " + text + " is out of range",
		Hint:  "give " + o.bound(o.Min) + " to " + o.bound(o.Max) + why,
		Wrong: quantity.Phrase{Says: "{} is out of range", With: []string{text}}, Remedy: quantity.Phrase{Says: "give {} to {}", With: []string{o.bound(o.Min), o.bound(o.Max)}}}
}

// bound prints a limit as a link writes it, in the metric unit.
func (o Other) bound(si float64) string {
	u, _ := o.In(quantity.Metric)
	return strconv.FormatFloat(round(u.From(si)), 'f', -1, 64) + u.Symbol
}

// round takes the dust off a converted number.
func round(n float64) float64 {
	v, _ := strconv.ParseFloat(strconv.FormatFloat(n, 'g', 10, 64), 64)
	return v
}

func (in *Input) readWord(text string) (Value, *Fault) {
	if in.Free && len(text) <= 40 && text != "" {
		return Value{Word: text, Text: text, Set: true}, nil
	}
	names := make([]string, len(in.Choices))
	for i, c := range in.Choices {
		if c.Value == text {
			return Value{Word: text, Text: text, Set: true}, nil
		}
		names[i] = c.Value
	}
	return Value{}, &Fault{Length: len(text), Input: in.Name,
		Text: in.Name + ": " + quote(text) + " is none of the choices", Hint: suggest(text, names),
		Wrong: quantity.Phrase{Says: "{} is none of the choices", With: []string{quote(text)}}}
}

// suggest names the nearest valid name if one is near, and all of them otherwise.
func suggest(name string, valid []string) string {
	if near := spelling.Nearest(name, valid); near != "" {
		return "did you mean " + near + "?"
	}
	return "use one of: " + strings.Join(valid, ", ")
}

// Canonical is the shortest query for a calculation: what was given, in the order of the inputs.
func (w *Work) Canonical() string {
	b := append([]byte(nil), w.Calculator.ID...)
	sign := byte('?')
	for i := range w.Inputs {
		if v := &w.Inputs[i]; v.Given {
			b = append(b, sign)
			b = append(b, w.Calculator.Inputs[i].Name...)
			b = append(b, '=')
			b = encode(b, v.Text)
			sign = '&'
		}
	}
	return string(b)
}
