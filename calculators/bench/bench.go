// Package bench lets a builder use calculators that it was not linked with: those of a site's own. They are compiled
// into a program that serves requests on its standard input and runs in a sandbox. It is not part of what readers get.
package bench

import (
	"encoding/gob"
	"io"

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
	Outputs     []float64
	Moot        []bool
	Bands       []kit.Band
	Events      []kit.Event
	Series      []figure.Table
	Scene       figure.Scene
	Faults      kit.Faults
}

// Serve answers requests until the input ends.
func Serve(set kit.Set, in io.Reader, out io.Writer) error {
	d, e := gob.NewDecoder(in), gob.NewEncoder(out)
	for {
		var q Request
		if err := d.Decode(&q); err != nil {
			if err == io.EOF {
				return nil
			}
			return err
		}
		if err := e.Encode(answer(set, &q)); err != nil {
			return err
		}
	}
}

func answer(set kit.Set, q *Request) *Reply {
	if q.Calculator == "" {
		r := &Reply{}
		for _, c := range set {
			r.Calculators = append(r.Calculators, *c)
		}
		return r
	}
	c, ok := set.Find(q.Calculator)
	if !ok || len(q.Inputs) != len(c.Inputs) {
		return &Reply{Faults: kit.Faults{{Text: "there is no calculator " + q.Calculator}}}
	}
	w := &kit.Work{Calculator: c, Inputs: q.Inputs, Outputs: make([]float64, len(c.Outputs)), Moot: make([]bool, len(c.Outputs))}
	if err := c.Work(w); err != nil {
		faults, ok := err.(kit.Faults)
		if !ok {
			faults = kit.Faults{{Text: err.Error()}}
		}
		return &Reply{Faults: faults}
	}
	if q.Scene {
		return &Reply{Scene: w.Scene(q.Figure, q.Style)}
	}
	return &Reply{Outputs: w.Outputs, Moot: w.Moot, Bands: w.Bands, Events: w.Events, Series: w.Series}
}
