package measured

import (
	"math"
	"slices"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/measured/trace"
	"example.org/gripleaf/calculators/preset"
	"example.org/gripleaf/calculators/quantity"
)

// Logged is the calculator for a query that comes with a log, which takes the place of the measured inputs: it tells
// them all, with their uncertainties, and the course of the speed between the marks.
//
// It is apart from Calculator because reading and fitting logs is a tenth of what all calculators weigh: a reader loads
// it when there is a log.
func Logged() *kit.Calculator {
	c := Calculator
	c.Work = new(reading).work
	c.Figures = []kit.Figure{c.Figures[0], {Name: c.Figures[1].Name, Title: c.Figures[1].Title, Draw: drawLog}}
	return &c
}

// Of what is odd or wrong in a log, so much is told; the rest is counted.
const (
	mostNotes  = 40
	mostFaults = 8
)

// A reading is the log that was worked up last: while only what it is set beside changes, it stays as it is.
type reading struct {
	log, time, speed string
	slope            float64
	stops            []trace.Stop
	notes            []trace.Note
	err              error
}

func (l *reading) work(w *kit.Work) error {
	if w.Attachment == "" {
		return kit.Faults{{Text: "there is no log"}}
	}
	if l.read(w); l.err != nil {
		return faults(l.err)
	}
	stops := l.stops
	which := int(w.Number("stop"))
	if which > len(stops) {
		return w.Refuse("stop", "stop: the log has no stop "+quantity.Locale{}.Format(w.Number("stop"), 0),
			"give 1 to "+quantity.Locale{}.Format(float64(len(stops)), 0))
	}
	stop := stops[which-1]
	if !w.Given("speed") { // tests are ridden from round speeds
		w.Suggest("speed", max(20, math.Round(stop.Speed.Value*3.6/10)*10)/3.6)
	}
	stop.Correct(w.Number("speed"))
	w.Data = &stop
	w.Series = listNotes(append(slices.Clone(l.notes), own(&stop)...))
	w.Series = append(w.Series, listStops(stops))
	measured(w, &stop)
	return nil
}

// read works a log up, unless it was the last one.
func (l *reading) read(w *kit.Work) {
	time, speed, slope := said(w, "log-time"), said(w, "log-speed"), w.Number("slope")
	if l.log == w.Attachment && l.time == time && l.speed == speed && l.slope == slope {
		return
	}
	*l = reading{log: w.Attachment, time: time, speed: speed, slope: slope}
	var log trace.Log
	if log, l.notes, l.err = trace.Read(l.log, trace.Columns{Else: trace.Units{Time: time, Speed: speed}}); l.err != nil {
		return
	}
	var more []trace.Note
	l.stops, more, l.err = trace.Measure(log, trace.Test{Slope: trace.Value{Value: slope}})
	l.notes = append(l.notes, more...)
}

// own are the notes of a stop that are not of its log.
func own(s *trace.Stop) (list []trace.Note) {
	for _, n := range s.Notes {
		if n.Kind == trace.Coarse || n.Kind == trace.Drift {
			list = append(list, n)
		}
	}
	return list
}

// said is a unit, or nothing.
func said(w *kit.Work, input string) string {
	if unit := w.Word(input); unit != "none" {
		return unit
	}
	return ""
}

// missing are the inputs that say what a log does not.
var missing = map[string]string{"time": "log-time", "speed": "log-speed"}

// faults are those of a log, which know their rows.
func faults(err error) error {
	list, ok := err.(trace.Errors)
	if !ok {
		return err
	}
	var out kit.Faults
	for i, e := range list {
		if i == mostFaults {
			out = append(out, kit.Fault{Text: "and " + quantity.Locale{}.Format(float64(len(list)-i), 0) + " more"})
			break
		}
		out = append(out, kit.Fault{Input: missing[e.Lacks], Text: e.Error(), Hint: e.Hint})
	}
	return out
}

// measured puts the figures of a stop where those of the query would be, and what follows from them.
func measured(w *kit.Work, s *trace.Stop) {
	w.Read("start-speed", s.Speed.Value)
	w.Read("distance", s.Whole.Value)
	w.Read("distance-80", s.At80)
	w.Read("distance-10", s.At10)
	compute(w)
	w.Put("mfdd", s.Mean.Value)
	w.Put("peak-deceleration", s.Peak.Value)
	w.Put("braking-time", s.Time.Value)
	w.Doubt("mfdd", s.Mean.Uncertainty)
	w.Doubt("peak-deceleration", s.Peak.Uncertainty)
	w.Doubt("braking-time", s.Time.Uncertainty)
	w.Doubt("grip-used", s.Mean.Uncertainty/(w.Number("grip")*quantity.StandardGravity))
	w.Doubt("mean-deceleration", w.Output("mean-deceleration")*(2*s.Speed.Uncertainty/s.Speed.Value+s.Whole.Uncertainty/s.Whole.Value))
	if !s.Valid {
		w.Void("corrected-distance")
		w.Void("met")
		return
	}
	w.Put("corrected-distance", s.Corrected.Value)
	w.Doubt("corrected-distance", s.Corrected.Uncertainty)
	compare(w, s.Corrected.Uncertainty, s.Mean.Uncertainty)
}

// listNotes is a table of what is odd in the log; none if nothing is.
func listNotes(notes []trace.Note) []figure.Table {
	if len(notes) == 0 {
		return nil
	}
	rows, says := figure.Column{Label: "Row", Shown: preset.Whole}, figure.Column{Label: "Odd in the log"}
	for i, n := range notes {
		if i == mostNotes {
			n = trace.Note{Row: n.Row, Says: "from here on {} more places are odd", Numbers: []float64{float64(len(notes) - i)}}
		}
		rows.Values = append(rows.Values, float64(n.Row))
		says.Words, says.Numbers = append(says.Words, n.Says), append(says.Numbers, n.Numbers)
		if i == mostNotes {
			break
		}
	}
	return []figure.Table{{Columns: []figure.Column{rows, says}}}
}

// listStops is a table of all stops of the log.
func listStops(stops []trace.Stop) figure.Table {
	t := figure.Table{Columns: []figure.Column{
		{Label: "Stop", Shown: preset.Whole}, {Label: "from row", Shown: preset.Whole},
		{Label: "Samples in the middle", Shown: preset.Whole},
		{Label: "Speed at the start", Shown: speed}, {Label: "±", Shown: speed},
		{Label: "Mean deceleration", Shown: preset.Deceleration}, {Label: "±", Shown: preset.Deceleration},
		{Label: "Stopping distance, from first touch", Shown: distance}, {Label: "±", Shown: distance},
	}}
	for i, s := range stops {
		for k, v := range [...]float64{float64(i + 1), float64(s.Row), float64(s.Samples), s.Speed.Value, s.Speed.Uncertainty,
			s.Mean.Value, s.Mean.Uncertainty, s.Whole.Value, s.Whole.Uncertainty} {
			t.Columns[k].Values = append(t.Columns[k].Values, v)
		}
	}
	return t
}

// drawLog draws the filtered speed and slowing over the way, with the marks between which the mean is taken.
func drawLog(w *kit.Work, s figure.Style) figure.Scene {
	stop := w.Data.(*trace.Stop)
	v, c, r := stop.Speed.Value, &stop.Curve, s.Reader
	way := figure.Axis{Label: "Distance from the first touch", Shown: preset.Road}
	middle := []figure.Band{{Role: "braking", Label: "counted for the mean", From: stop.At80, To: stop.At10}}
	top := figure.Chart{
		Runs: "distance", X: way, Y: figure.Axis{Label: "Speed", Shown: preset.Speed}, Bands: middle,
		Alt: r.Say("The speed fell to {} after {} and to {} after {}.", r.Quantity(0.8*v, speed), r.Quantity(stop.At80, distance),
			r.Quantity(0.1*v, speed), r.Quantity(stop.At10, distance)),
		Series: []figure.Series{{Role: "speed", X: c.Way, Y: c.Speed}},
		Spots:  []figure.Spot{{Role: "now", Label: "80 %", X: stop.At80, Y: 0.8 * v}, {Role: "now", Label: "10 %", X: stop.At10, Y: 0.1 * v}},
	}
	below := figure.Chart{
		X: way, Y: figure.Axis{Label: "Deceleration", Shown: preset.Deceleration},
		Series: []figure.Series{{Role: "braking", X: c.Way, Y: c.Slowing}},
		Guides: []figure.Guide{{Role: "grip", Label: "mean", At: stop.Mean.Value, Level: true}},
	}
	return figure.Stack(s, &top, &below)
}
