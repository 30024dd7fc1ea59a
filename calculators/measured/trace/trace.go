// Package trace works a logged stop up: what a data logger or a phone recorded of speed or distance over time becomes
// the figures that the brake regulations ask of a test stop, each with its uncertainty.
//
// [Read] takes a table as loggers write it, [Measure] finds the stops in it. Both report what is odd in the log with
// its row; nothing is mended silently. Values are SI. The package links neither fmt nor encoding/csv, because it also
// runs in the reader's browser.
package trace

import (
	"strconv"
	"strings"
)

// A Log is what was recorded: speeds or distances over time. The slices are
// as long as Time, but Speed or Distance is nil. A value that is missing is NaN.
type Log struct {
	Time     []float64 // s
	Speed    []float64 // m/s; it is taken where there are both
	Distance []float64 // m, since some moment
	Row      []int     // where each sample stands in its file, from 1
	Grid     float64   // between the values that can be written, m/s or m; 0 if it is not known

	// Of a track, whose rows are the numbers of its points, also:
	Track  bool
	Way    []float64 // m, along the places
	Height []float64 // m
}

// An Error is what keeps a log from being read or worked up.
type Error struct {
	Row            int    // line of the file, from 1; 0 for the file as a whole
	Offset, Length int    // bytes of the file, see [Text]
	Track          bool   // the row is a point of a track
	Lacks          string // "time" or "speed", if it is their unit that is not known
	Text           string
	Hint           string
}

func (e *Error) Error() string {
	if e.Row == 0 {
		return e.Text
	}
	if e.Track {
		return "track point " + strconv.Itoa(e.Row) + ": " + e.Text
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
	Drift               // the noise may be a drift, or the road may slope
)

var kindNames = [...]string{"missing", "doubled", "reset", "gap", "spike", "coarse", "drift"}

// String returns the name of the kind.
func (k Kind) String() string { return kindNames[k] }

// A Note is something odd in a log: what it is, and what was done about it.
type Note struct {
	Row     int
	Kind    Kind
	Says    string // English, with {} for each of the numbers
	Numbers []float64
}

// Text is what the note says, in English.
func (n Note) Text() string {
	text := n.Says
	for _, x := range n.Numbers {
		text = strings.Replace(text, "{}", number(x), 1)
	}
	return text
}

// A Value is a figure with its expanded uncertainty (JCGM 100): the true figure lies within ± Uncertainty in at least
// 95 of 100 logs. It is what sampling and noise do; a logger that reads wrong by a factor, or smooths before it writes,
// is not in it.
type Value struct {
	Value       float64 `json:"value"`
	Uncertainty float64 `json:"uncertainty"`
}

// MFDD is the mean fully developed deceleration in m/s² of a stop from a speed in m/s that had fallen to 80 % of it
// after one distance in m and to 10 % after another: (Vb² - Ve²)/(25.92·(se - sb)) with V in km/h.
func MFDD(speed, at80, at10 float64) float64 {
	v := speed * 3.6
	return (0.8*0.8 - 0.1*0.1) * v * v / (25.92 * (at10 - at80))
}

// Corrected is the distance in m that a stop of a measured distance from one speed would take from the nominal one:
// 0.1·Vs + (Sa - 0.1·Va)·Vs²/Va² with V in km/h. Speeds are in m/s. The regulation corrects over at most Tolerance.
func Corrected(nominal, start, measured float64) float64 {
	s, a := nominal*3.6, start*3.6
	return 0.1*s + (measured-0.1*a)*s*s/(a*a)
}

// Tolerance is how far off the nominal speed a test may be ridden, in m/s.
const Tolerance = 5 / 3.6

// number prints a figure for a message, to at most three decimals.
func number(x float64) string {
	return strings.TrimRight(strings.TrimRight(strconv.FormatFloat(x, 'f', 3, 64), "0"), ".")
}
