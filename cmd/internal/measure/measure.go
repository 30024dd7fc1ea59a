// Package measure works logged stops up: files of data loggers and GPX tracks
// become stops with the figures of the brake regulations, set beside their
// limits, and many files a table of riders and their runs.
//
// The numbers are those of package trace, which the reader's browser runs too.
package measure

import (
	"bytes"
	"errors"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"example.org/gripleaf/calculators/test"
	"example.org/gripleaf/calculators/trace"
	"example.org/gripleaf/cmd/internal/fault"
)

// Options say what a log does not.
type Options struct {
	Nominal float64       // speed that the test asks for, m/s; 0 if it asks for none
	Columns trace.Columns // of a table whose header leaves something open
}

// A Report is what one file comes to.
type Report struct {
	File       string
	Rider, Run string // from the file's name
	Stops      []trace.Stop
	Notes      []trace.Note // what is odd in the log, by row
}

// Elsewhere are the notes of the log that are not about one of its stops.
func (r *Report) Elsewhere() []trace.Note {
	var list []trace.Note
	for _, n := range r.Notes {
		same := func(m trace.Note) bool { return m.Row == n.Row && m.Kind == n.Kind }
		if !slices.ContainsFunc(r.Stops, func(s trace.Stop) bool { return slices.ContainsFunc(s.Notes, same) }) {
			list = append(list, n)
		}
	}
	slices.SortStableFunc(list, func(a, b trace.Note) int { return a.Row - b.Row })
	return list
}

// File works up a table or, if it is XML, a GPX track. The error is a
// [fault.List] with the rows of what is wrong; there may be notes beside it.
func File(name string, data []byte, o Options) (Report, error) {
	r := Report{File: name}
	r.Rider, r.Run = who(name)
	source := &fault.Source{File: name, Text: data}
	log, notes, err := read(data, o.Columns)
	r.Notes = notes
	if err != nil {
		return r, faults(source, err)
	}
	stops, notes, err := trace.Measure(log, o.Nominal)
	r.Stops, r.Notes = stops, append(r.Notes, notes...)
	return r, faults(source, err)
}

func read(data []byte, c trace.Columns) (trace.Log, []trace.Note, error) {
	if start := bytes.TrimLeft(bytes.TrimPrefix(data, []byte("\ufeff")), " \t\r\n"); bytes.HasPrefix(start, []byte("<")) {
		return readGPX(data)
	}
	return trace.Read(string(data), c)
}

// faults gives the errors of a log their places in its file. An error that
// knows only its row is about the whole row.
func faults(source *fault.Source, err error) error {
	var list trace.Errors
	if !errors.As(err, &list) {
		return err
	}
	var out fault.List
	for _, e := range list {
		switch {
		case e.Row == 0:
			out.Add(fault.Fault{File: source.File, Text: e.Text, Hint: e.Hint})
		case e.Length == 0 && e.Offset == 0:
			start, end := line(source.Text, e.Row)
			out.Add(source.At(start, end-start, e.Text, e.Hint))
		default:
			out.Add(source.At(e.Offset, e.Length, e.Text, e.Hint))
		}
	}
	return out.Err()
}

// line returns where a line begins and ends, counted from 1.
func line(text []byte, row int) (start, end int) {
	for ; row > 1; row-- {
		i := bytes.IndexByte(text[start:], '\n')
		if i < 0 {
			break
		}
		start += i + 1
	}
	if i := bytes.IndexByte(text[start:], '\n'); i >= 0 {
		return start, start + i
	}
	return start, len(text)
}

// who reads rider and run from a file's name: ann-2.csv is Ann's second run as
// well as ann/2.csv. A name without a number is that of a rider.
func who(name string) (rider, run string) {
	name = filepath.ToSlash(name)
	base := strings.TrimSuffix(path.Base(name), path.Ext(name))
	rider = strings.TrimRight(base, "0123456789")
	run = base[len(rider):]
	rider = strings.TrimRight(rider, "-_. ")
	if rider == "" {
		rider = path.Base(path.Dir(name))
	}
	return rider, run
}

// A Verdict sets a stop beside one limit of the regulation.
type Verdict struct {
	Name   string
	Most   float64 // longest corrected distance, m
	Margin float64 // how much shorter the stop was, m
	Least  float64 // least mean deceleration, m/s²; 0 if the regulation gives none
	Excess float64 // how much more the stop had, m/s²
	Met    bool    // by the distance or by the deceleration
	// Doubtful says that the stop is nearer to the limit than its uncertainty.
	Doubtful bool
}

// Verdicts sets a stop that was corrected to a nominal speed beside every limit
// for motorcycles, on a surface of a peak braking coefficient. Without a valid
// correction there are none.
func Verdicts(s trace.Stop, peak float64) []Verdict {
	if !s.Valid {
		return nil
	}
	var list []Verdict
	for _, q := range test.Requirements() {
		v := Verdict{Name: q.Name, Most: q.Distance(s.Nominal*3.6, peak), Least: q.Least(peak)}
		v.Margin = v.Most - s.Corrected.Value
		v.Met, v.Doubtful = v.Margin >= 0, within(v.Margin, s.Corrected)
		if v.Least > 0 {
			v.Excess = s.Mean.Value - v.Least
			v.Doubtful = v.decided(within(v.Excess, s.Mean))
			v.Met = v.Met || v.Excess >= 0
		}
		list = append(list, v)
	}
	return list
}

// decided returns whether the verdict stays in doubt with the deceleration:
// one clear yes is enough, and it takes two clear noes.
func (v *Verdict) decided(near bool) bool {
	clearYes := v.Margin >= 0 && !v.Doubtful || v.Excess >= 0 && !near
	return !clearYes && (v.Doubtful || near)
}

func within(margin float64, v trace.Value) bool {
	return margin < v.Uncertainty && margin > -v.Uncertainty
}
