// Package ledger keeps what a course's numbers were worked out to, beside the course. When a calculator changes, the
// next proof shows which number of which lesson has moved, from what to what.
package ledger

import (
	"bufio"
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"path/filepath"
	"slices"

	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/folder"
	"example.org/gripleaf/cmd/internal/whole"
)

// FileName is the ledger's name in the site folder.
const FileName = "ledger.json"

const format = "gripleaf-ledger-1"

// Entry is one number of one lesson. Lesson and link together name it.
type Entry struct {
	Lesson string  `json:"lesson"` // file in the site
	Link   string  `json:"link"`
	Value  float64 `json:"value"` // SI, a ratio, or a fraction
	Unit   string  `json:"unit,omitempty"`
	Shown  string  `json:"shown"`

	Moved string `json:"moved,omitempty"` // the day on which a proof first found this value and not the one before
	Was   string `json:"was,omitempty"`   // that one
}

// Ledger is all numbers of a course.
type Ledger []Entry

// Change is a number that has moved.
type Change struct {
	Lesson string  `json:"lesson"`
	Link   string  `json:"link"`
	From   string  `json:"from"`
	To     string  `json:"to"`
	Before float64 `json:"before"`
	Now    float64 `json:"now"`
}

// Same is how far a number may be from what it was, relative to it, and still count as the same: another processor may
// round the last bits of a long calculation otherwise.
const same = 1e-9

// Sort puts entries in order and drops those that are there twice.
func (l *Ledger) Sort() {
	slices.SortFunc(*l, func(a, b Entry) int { return cmp.Or(cmp.Compare(a.Lesson, b.Lesson), cmp.Compare(a.Link, b.Link)) })
	*l = slices.CompactFunc(*l, func(a, b Entry) bool { return a.Lesson == b.Lesson && a.Link == b.Link })
}

// Changes lists the numbers that are in both ledgers with different values.
func Changes(before, now Ledger) []Change {
	type key struct{ lesson, link string }
	old := make(map[key]Entry, len(before))
	for _, e := range before {
		old[key{e.Lesson, e.Link}] = e
	}
	var list []Change
	for _, e := range now {
		was, ok := old[key{e.Lesson, e.Link}]
		if ok && math.Abs(e.Value-was.Value) > same*max(math.Abs(e.Value), math.Abs(was.Value)) {
			list = append(list, Change{e.Lesson, e.Link, was.Shown, e.Shown, was.Value, e.Value})
		}
	}
	return list
}

// Date notes in a ledger which numbers have moved since the one before, on this day, written 2006-01-02; of the others,
// when they last did.
func (l Ledger) Date(before Ledger, day string) {
	moved := make(map[[2]string]Change)
	for _, c := range Changes(before, l) {
		moved[[2]string{c.Lesson, c.Link}] = c
	}
	old := make(map[[2]string]Entry)
	for _, e := range before {
		old[[2]string{e.Lesson, e.Link}] = e
	}
	for i := range l {
		e := &l[i]
		name := [2]string{e.Lesson, e.Link}
		if c, ok := moved[name]; ok {
			e.Moved, e.Was = day, c.From
		} else {
			e.Moved, e.Was = old[name].Moved, old[name].Was
		}
	}
}

// Read reads the ledger of a site. One that is not there is empty.
func Read(site string) (Ledger, error) {
	name := filepath.Join(site, FileName)
	files, err := folder.Open(site)
	if err != nil {
		return nil, err
	}
	defer files.Close()
	text, err := files.ReadFile(FileName)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fault.Fault{Code: "ledger", File: name, Text: "this file cannot be read: " + folder.Why(err)}
	}
	var file struct {
		Format  string `json:"format"`
		Numbers Ledger `json:"numbers"`
	}
	if err := json.Unmarshal(text, &file); err != nil || file.Format != format {
		at := 0
		var syntax *json.SyntaxError
		if errors.As(err, &syntax) {
			at = int(syntax.Offset)
		}
		f := fault.At(name, text, at, 0, "this is not a ledger of numbers", "restore it from your version control, or delete it: the next proof writes it anew")
		f.Code = "ledger"
		return nil, f
	}
	return file.Numbers, nil
}

// Write writes the ledger, one number a line, unless the file has these very bytes already.
func Write(site string, l Ledger) error {
	var b bytes.Buffer
	w := bufio.NewWriter(&b)
	fmt.Fprintf(w, "{\n\"format\": %q,\n\"numbers\": [", format)
	lines := json.NewEncoder(w)
	lines.SetEscapeHTML(false)
	for i, e := range l {
		if i > 0 {
			w.WriteByte(',')
		} else {
			w.WriteByte('\n')
		}
		if err := lines.Encode(e); err != nil {
			return err
		}
	}
	w.WriteString("]\n}\n")
	if err := w.Flush(); err != nil {
		return err
	}
	name := filepath.Join(site, FileName)
	if files, err := folder.Open(site); err == nil {
		old, err := files.ReadFile(FileName)
		if files.Close(); err == nil && bytes.Equal(old, b.Bytes()) {
			return nil
		}
	}
	return whole.Bytes(name, b.Bytes())
}
