// Package trace works a logged stop up: what a data logger or a phone recorded
// of speed or distance over time becomes the figures that the brake
// regulations ask of a test stop, each with its uncertainty.
//
// [Read] takes a table as loggers write it, [Measure] finds the stops in it.
// Both report what is odd in the log with its row; nothing is mended silently.
// Values are SI. The package links neither fmt nor encoding/csv, because it
// also runs in the reader's browser.
package trace

import "strconv"

// A Log is what was recorded: speeds or distances over time. The slices are
// as long as Time, but Speed or Distance is nil. A value that is missing is NaN.
type Log struct {
	Time     []float64 // s
	Speed    []float64 // m/s; it is taken where there are both
	Distance []float64 // m, since some moment
	Row      []int     // where each sample stands in its file, from 1
	Grid     float64   // between the values that can be written, m/s or m; 0 if it is not known
}

// An Error is what keeps a log from being read or worked up.
type Error struct {
	Row            int // line of the file, from 1; 0 for the file as a whole
	Offset, Length int // bytes of the file
	Text           string
	Hint           string
}

func (e *Error) Error() string {
	if e.Row == 0 {
		return e.Text
	}
	return "row " + strconv.Itoa(e.Row) + ": " + e.Text
}

// Errors are the faults of one log in the order of their rows.
type Errors []*Error

func (l Errors) Error() string {
	if len(l) == 1 {
		return l[0].Error()
	}
	return l[0].Error() + " (and " + strconv.Itoa(len(l)-1) + " more)"
}

// A Kind is what is odd about a place in a log.
type Kind uint8

// What can be odd.
const (
	Missing Kind = iota // a row without one of its values
	Doubled             // the same time again
	Reset               // time or distance ran backwards
	Gap                 // a step much longer than the usual one
	Spike               // a value far off its neighbours
	Coarse              // too few samples for what is asked of them
)

var kindNames = [...]string{"missing", "doubled", "reset", "gap", "spike", "coarse"}

// String returns the name of the kind.
func (k Kind) String() string { return kindNames[k] }

// A Note is something odd in a log: what it is, and what was done about it.
type Note struct {
	Row  int
	Kind Kind
	Text string
}

// A Value is a figure with its expanded uncertainty (JCGM 100): the true figure
// lies within ± Uncertainty in at least 95 of 100 logs. It is what sampling and noise do; a logger that reads wrong by a
// factor, or smooths before it writes, is not in it.
type Value struct{ Value, Uncertainty float64 }

// number prints a figure for a message, to at most three decimals.
func number(x float64) string {
	text := strconv.FormatFloat(x, 'f', 3, 64)
	for text[len(text)-1] == '0' {
		text = text[:len(text)-1]
	}
	if text[len(text)-1] == '.' {
		text = text[:len(text)-1]
	}
	return text
}
