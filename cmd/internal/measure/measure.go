// Package measure works logged stops up: files of data loggers and GPX tracks become stops with the figures of the
// brake regulations, set beside their limits, and many files a table of riders and their runs.
//
// The numbers are those of package trace, which the reader's browser runs too.
package measure

import (
	"bytes"
	"errors"
	"io"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"example.org/gripleaf/calculators/measured"
	"example.org/gripleaf/calculators/measured/trace"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/folder"
)

// Options say what a log does not.
type Options struct {
	trace.Test
	Columns trace.Columns // of a table whose header leaves something open
}

// A Report is what one file comes to.
type Report struct {
	File       string
	Rider, Run string // from the file's name
	Track      bool   // its rows are the points of a track
	Stops      []trace.Stop
	Notes      []trace.Note // what is odd in the log, by row
}

// Place names a row of the log: a line of a table, a point of a track.
func (r *Report) Place(row int) string {
	if r.Track {
		return "track point " + strconv.Itoa(row)
	}
	return "row " + strconv.Itoa(row)
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

// most is how long a file may be, in bytes: two hours at 100 Hz have 20 columns in it.
const most = 20_000_000

// Read works up what a file holds. No more than its bound is read, of whatever it is.
func Read(name string, from io.Reader, o Options) (Report, error) {
	r := Report{File: name}
	r.Rider, r.Run = who(name)
	data, err := io.ReadAll(io.LimitReader(from, most+1))
	if err != nil {
		return r, fault.List{{File: name, Text: "this file cannot be read: " + folder.Why(err)}}
	}
	if len(data) > most {
		return r, fault.List{{File: name, Text: "this log is longer than 20 MB", Hint: "cut it down to the stops"}}
	}
	text := trace.Text(string(data))
	source := &fault.Source{File: name, Text: []byte(text)}
	log, notes, err := trace.Read(text, o.Columns)
	r.Notes, r.Track = notes, log.Track
	if err != nil {
		return r, faults(source, err)
	}
	stops, notes, err := trace.Measure(log, o.Test)
	r.Stops, r.Notes = stops, append(r.Notes, notes...)
	return r, faults(source, err)
}

// faults gives the errors of a log their places in its file. An error that knows only its row is about the whole row.
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
		case e.Track && e.Length == 0:
			out.Add(fault.Fault{File: source.File, Text: e.Error(), Hint: e.Hint})
		case e.Track:
			out.Add(source.At(e.Offset, e.Length, e.Error(), e.Hint))
		case e.Length == 0 && e.Offset == 0:
			start := source.Offset(e.Row, 1)
			line, _, _ := bytes.Cut(source.Text[start:], []byte("\n"))
			out.Add(source.At(start, len(line), e.Text, e.Hint))
		default:
			out.Add(source.At(e.Offset, e.Length, e.Text, e.Hint))
		}
	}
	return out.Err()
}

// who reads rider and run from a file's name: ann-2.csv is Ann's second run as
// well as ann/2.csv. A name without a number is only the rider.
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
	Name     string  `json:"name"`
	Most     float64 `json:"most_distance"`                // longest corrected distance, m
	Margin   float64 `json:"-"`                            // how much shorter the stop was, m
	Least    float64 `json:"least_deceleration,omitempty"` // least mean deceleration, m/s²; 0 if the regulation gives none
	Excess   float64 `json:"-"`                            // how much more the stop had, m/s²
	Met      bool    `json:"met"`                          // by the distance or by the deceleration
	Doubtful bool    `json:"doubtful"`                     // the stop is nearer to the limit than its uncertainty
}

// Ridden is how a stop was ridden, which decides what limits hold.
type Ridden struct {
	Brakes string  // as measured.Brakes has them
	Grip   float64 // peak braking coefficient of the surface
}

// Verdicts sets a stop that was corrected to a nominal speed beside every limit
// for motorcycles that holds for it. Without a valid correction there are none.
func Verdicts(s trace.Stop, as Ridden) []Verdict {
	if !s.Valid {
		return nil
	}
	var list []Verdict
	for _, q := range measured.Requirements() {
		if !q.Holds(as.Brakes, s.Nominal*3.6, as.Grip) {
			continue
		}
		v := Verdict{Name: q.Name, Most: q.Distance(s.Nominal*3.6, as.Grip), Least: q.Least(as.Grip)}
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
