// Package guest is the program in which a builder runs calculators that it was not linked with: those of a site's own.
// The builder is its host: it runs the program in a sandbox, and asks on the program's standard input. Nothing of this
// is part of what readers get.
package guest

import (
	"encoding/gob"
	"fmt"
	"io"
	"math"
	"os"
	"runtime"
	"runtime/debug"
	"strings"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/kit"
)

// Request asks for one thing: the calculators' declarations, a calculation, or a scene of one.
type Request struct {
	Calculator string      // empty asks for the declarations
	Inputs     []kit.Value // parallel to the calculator's inputs
	Scene      bool        // draw Figure instead of giving the numbers
	Figure     int
	Style      figure.Style
}

// Reply is the answer to a Request. Functions are not sent: a declaration has no Work and its figures no Draw.
type Reply struct {
	Calculators []kit.Calculator
	Mistakes    [][]kit.Mistake // parallel to Calculators
	Outputs     []float64
	Moot        []bool
	Bands       []kit.Band
	Events      []kit.Event
	Series      []figure.Table
	Scene       figure.Scene
	Faults      kit.Faults
	Trap        *Trap
}

// Trap says how a calculator's own code has failed.
type Trap struct {
	Text, Hint string
	At         string // the field of the declaration that it is about; empty if it is about code
	Lines      []Line // what ran, innermost first
}

// Line is a line of Go. Files are named as the compiler names them.
type Line struct {
	File string
	Line int
}

// Marker is what the program writes before its first reply: what stands before it, a calculator has printed.
const Marker = "\x00gripleaf guest\n"

// mostStack bounds how deep a calculator may call itself, so that one that does so for ever is told of and not the
// sandbox.
const mostStack = 2 << 20

// Main serves requests until there are no more. What calculators print goes to the standard error, out of the way.
func Main(set kit.Set) {
	in, out := os.Stdin, os.Stdout
	os.Stdin, os.Stdout = nil, os.Stderr
	debug.SetMaxStack(mostStack)
	if err := serve(set, in, out); err != nil {
		panic(err)
	}
}

func serve(set kit.Set, in io.Reader, out io.Writer) error {
	d, e := gob.NewDecoder(in), gob.NewEncoder(out)
	for begun := false; ; begun = true {
		var q Request
		if err := d.Decode(&q); err != nil {
			if err == io.EOF {
				return nil
			}
			return err
		}
		if !begun {
			if _, err := io.WriteString(out, Marker); err != nil {
				return err
			}
		}
		if err := e.Encode(attempt(set, &q)); err != nil {
			return err
		}
	}
}

// attempt answers, and catches a panic.
func attempt(set kit.Set, q *Request) (r *Reply) {
	defer func() {
		if what := recover(); what != nil {
			r = &Reply{Trap: trap(what)}
		}
	}()
	return answer(set, q)
}

func trap(what any) *Trap {
	t := &Trap{Lines: lines()}
	switch what := what.(type) {
	case kit.Misuse:
		t.Text, t.Hint = what.Text, what.Hint
	case error:
		t.Text = strings.TrimPrefix(what.Error(), "runtime error: ")
	default:
		t.Text = "panic: " + fmt.Sprint(what)
	}
	return t
}

// lines is what runs.
func lines() []Line {
	var counters [64]uintptr
	frames := runtime.CallersFrames(counters[:runtime.Callers(3, counters[:])])
	var list []Line
	for more := true; more; {
		var f runtime.Frame
		f, more = frames.Next()
		list = append(list, Line{f.File, f.Line})
	}
	return list
}

func answer(set kit.Set, q *Request) *Reply {
	if q.Calculator == "" {
		r := &Reply{}
		for _, c := range set {
			r.Calculators = append(r.Calculators, *c)
			r.Mistakes = append(r.Mistakes, c.Mistakes())
		}
		return r
	}
	c, ok := set.Find(q.Calculator)
	if !ok || len(q.Inputs) != len(c.Inputs) {
		return &Reply{Faults: kit.Faults{{Text: "there is no calculator " + q.Calculator}}}
	}
	w := kit.NewWork(c, q.Inputs)
	puts := &puts{told: make([]bool, len(c.Outputs)), lines: make([][]Line, len(c.Outputs))}
	w.Witness = puts.see
	if err := c.Work(w); err != nil {
		faults, ok := err.(kit.Faults)
		if !ok {
			faults = kit.Faults{{Text: err.Error()}}
		}
		return &Reply{Faults: faults}
	}
	if t := puts.trap(w); t != nil {
		return &Reply{Trap: t}
	}
	if q.Scene {
		scene := w.Scene(q.Figure, q.Style)
		if len(scene.Charts) > 0 { // which series have their X in common is lost on the way
			scene.Charts[0].Table = scene.Table
		}
		return &Reply{Scene: scene}
	}
	return &Reply{Outputs: w.Outputs, Moot: w.Moot, Bands: w.Bands, Events: w.Events, Series: w.Series}
}

// puts is what a calculation has put.
type puts struct {
	told  []bool
	lines [][]Line // where an output was put last, if that is no number
}

func (p *puts) see(output int, si float64) {
	p.told[output], p.lines[output] = true, nil
	if !finite(si) {
		p.lines[output] = lines()
	}
}

func finite(n float64) bool { return !math.IsNaN(n) && !math.IsInf(n, 0) }

// trap says which output is no number, or has none; nil if all are well.
func (p *puts) trap(w *kit.Work) *Trap {
	for i, v := range w.Outputs {
		out := &w.Calculator.Outputs[i]
		at := fmt.Sprintf("Outputs.%d.Name", i)
		switch {
		case math.IsNaN(v):
			return &Trap{Text: fmt.Sprintf("the output %q becomes NaN", out.Name), At: at, Lines: p.lines[i],
				Hint: "look for 0 divided by 0, or the root or logarithm of a negative number"}
		case math.IsInf(v, 0):
			return &Trap{Text: fmt.Sprintf("the output %q becomes infinite", out.Name), At: at, Lines: p.lines[i],
				Hint: "look for a division by 0"}
		case v == 0 && !p.told[i] && !w.Moot[i]:
			return &Trap{Text: fmt.Sprintf("the output %q is never put", out.Name), At: at,
				Hint: fmt.Sprintf("Work has to say w.Put(%q, …), or w.Void(%q) where it means nothing", out.Name, out.Name)}
		}
	}
	return nil
}
