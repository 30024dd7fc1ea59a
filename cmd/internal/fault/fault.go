// Package fault holds what is wrong with a course: where, the line as its author wrote it, and a way out. Faults are
// collected, so that a run reports all of them and not just the first.
//
// A fault is printed as
//
//	lessons/stopping.md:12:18: there is no calculator "stpo"
//	    A stop of [17.7 m](calc:stpo?speed=60km/h)
//	                            ^^^^
//	  did you mean "stop"?
//
// Texts are lower case, without a full stop. The hint says what to do.
package fault

import (
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
)

// A Fault is one thing that is wrong.
//
// Line and Column count from 1, and columns count characters (Unicode code points), as editors do. A zero Line is a
// fault of the whole file, an empty File a fault of the whole course.
type Fault struct {
	Code    string `json:"code,omitempty"` // stable name of this kind of fault
	File    string `json:"file,omitempty"`
	Line    int    `json:"line,omitempty"`
	Column  int    `json:"column,omitempty"`
	Length  int    `json:"length,omitempty"`  // characters at fault from Column; 0 is a place between two
	Excerpt string `json:"excerpt,omitempty"` // the source line, without its line end
	Text    string `json:"text"`              // what is wrong
	Hint    string `json:"hint,omitempty"`    // what to do
	Notes   []Note `json:"notes,omitempty"`
}

// A Note is another place that has a part in a fault.
type Note struct {
	File   string `json:"file,omitempty"`
	Line   int    `json:"line,omitempty"`
	Column int    `json:"column,omitempty"`
	Text   string `json:"text"`
}

// Error returns the fault in one line: its place and what is wrong.
func (f Fault) Error() string { return located(f.File, f.Line, f.Column, f.Text) }

// String returns the note in one line: its place and its text.
func (n Note) String() string { return located(n.File, n.Line, n.Column, n.Text) }

// located puts a place before text, leaving out the parts that are missing.
func located(file string, line, column int, text string) string {
	var b strings.Builder
	b.WriteString(file)
	if line > 0 {
		if file != "" {
			b.WriteByte(':')
		}
		fmt.Fprint(&b, line)
		if column > 0 {
			fmt.Fprintf(&b, ":%d", column)
		}
	}
	if b.Len() > 0 {
		b.WriteString(": ")
	}
	b.WriteString(text)
	return b.String()
}

// A List collects faults. The zero List is empty and ready to use; it is not safe for use by several goroutines at
// once.
type List []Fault

// Add appends faults.
func (l *List) Add(f ...Fault) { *l = append(*l, f...) }

// Sort orders the list by file, line, column and text, and drops repetitions, whose notes are those of the first.
func (l *List) Sort() {
	slices.SortStableFunc(*l, func(a, b Fault) int {
		return cmp.Or(
			cmp.Compare(a.File, b.File),
			cmp.Compare(a.Line, b.Line),
			cmp.Compare(a.Column, b.Column),
			cmp.Compare(a.Text, b.Text),
		)
	})
	*l = slices.CompactFunc(*l, func(a, b Fault) bool {
		return a.Error() == b.Error() && a.Code == b.Code && a.Hint == b.Hint
	})
}

// Most returns the list, sorted, with at most n faults of each file, and one that says how many more the file has.
func (l List) Most(n int) List {
	l.Sort()
	var kept List
	for from := 0; from < len(l); {
		to := from
		for to < len(l) && l[to].File == l[from].File {
			to++
		}
		kept.Add(l[from:min(to, from+n)]...)
		if more := to - from - n; more > 0 {
			kept.Add(Fault{Code: "more-faults", File: l[from].File, Text: fmt.Sprintf("and %d more faults in this file", more)})
		}
		from = to
	}
	return kept
}

// Err returns the list as an error, or nil if it is empty.
func (l List) Err() error {
	if len(l) == 0 {
		return nil
	}
	return l
}

// Error returns the first fault in one line and says how many follow.
func (l List) Error() string {
	switch len(l) {
	case 0:
		return "no faults"
	case 1:
		return l[0].Error()
	}
	return fmt.Sprintf("%s (and %d more)", l[0].Error(), len(l)-1)
}

// MarshalJSON returns an array, also for an empty list.
func (l List) MarshalJSON() ([]byte, error) {
	if l == nil {
		return []byte("[]"), nil
	}
	return json.Marshal([]Fault(l))
}

// From returns the faults that err holds: err itself, or those it wraps or joins. An error that holds none becomes a
// fault of the whole course.
func From(err error) List {
	switch e := err.(type) {
	case nil:
		return nil
	case Fault:
		return List{e}
	case List:
		return slices.Clone(e)
	case interface{ Unwrap() []error }:
		var l List
		for _, part := range e.Unwrap() {
			l.Add(From(part)...)
		}
		return l
	}
	var one Fault
	var list List
	if inner := errors.Unwrap(err); errors.As(inner, &one) || errors.As(inner, &list) {
		return From(inner)
	}
	return List{{Text: err.Error()}}
}
