package trace

import (
	"slices"
	"strings"

	"example.org/gripleaf/calculators/quantity"
)

// Which column is which: from the names and units of the header, or from what
// the caller says where the header does not.

// A Column is a column of the table.
type Column struct {
	Name string // as the header has it, or its number from 1; "" finds it
	Unit string // "" is what the header says
}

// Columns says of each column what the header does not.
type Columns struct {
	Time, Speed, Distance Column
	Else                  Units // of columns that have none
}

// Units are those of times and speeds that say none.
type Units struct{ Time, Speed string }

// A part is one of the columns that count.
type part struct {
	name  string
	kind  quantity.Kind
	words []string // that its header may have, lower case
}

var parts = [...]part{ // in the order of Columns, then the places
	{"time", quantity.Time, []string{"time", "t", "elapsed", "timestamp", "clock", "utc", "unix", "epoch", "seconds", "zeit", "temps", "समय", "زمن", "الزمن"}},
	{"speed", quantity.Speed, []string{"speed", "velocity", "v", "geschwindigkeit", "tempo", "vitesse", "गति", "سرعة", "السرعة"}},
	{"distance", quantity.Length, []string{"distance", "dist", "s", "way", "travel", "weg", "strecke", "दूरी", "مسافة", "المسافة"}},
	{"latitude", quantity.Angle, []string{"latitude", "lat", "breite", "breitengrad", "अक्षांश"}},
	{"longitude", quantity.Angle, []string{"longitude", "lon", "lng", "long", "länge", "längengrad", "देशांतर"}},
}

// loggerUnits are the units that loggers write and package quantity does not know, in SI.
var loggerUnits = map[quantity.Kind]map[string]float64{
	quantity.Time: {"us": 1e-6, "µs": 1e-6, "ns": 1e-9, "msec": 1e-3},
	quantity.Speed: {"kph": 1 / 3.6, "kmph": 1 / 3.6, "km_h": 1 / 3.6, "mps": 1, "m_s": 1,
		"kn": 1852.0 / 3600, "kt": 1852.0 / 3600, "knots": 1852.0 / 3600},
}

// scale returns how much of SI one unit is.
func scale(kind quantity.Kind, unit string) (float64, bool) {
	unit = strings.TrimSpace(unit)
	for _, spelling := range []string{unit, lower(unit)} {
		if s, ok := loggerUnits[kind][spelling]; ok {
			return s, true
		}
		if u, ok := quantity.Find(kind, spelling); ok && spelling != "" {
			return u.Scale, true
		}
	}
	return 0, false
}

// A column is one that was found.
type column struct {
	part
	index int
	scale float64 // 0 for clock times
	epoch bool    // a time since the beginning of 1970, in a unit that its size tells
}

// A header is the names and units of all columns. There may be none.
type header struct {
	names, units []string
	fields       []field
	row          int
	others       Units
	clock        []bool // the first row of values has a clock time there
	since        []bool // or a number of seconds or parts of them since 1970
	width        int
}

// headerOf reads the rows before the first row of values.
func headerOf(before []record, first record) header {
	h := header{row: first.row, width: len(first.fields)}
	h.names, h.units, h.clock, h.since = make([]string, h.width), make([]string, h.width), make([]bool, h.width), make([]bool, h.width)
	for i, f := range first.fields {
		h.clock[i] = strings.Contains(f.text, ":")
		n, _ := decimal(f.text)
		h.since[i] = n > 9e8
	}
	if len(before) == 0 {
		return h
	}
	last := before[len(before)-1]
	if len(before) > 1 && onlyUnits(last) {
		for i, f := range last.fields {
			if i < h.width {
				h.units[i] = strings.Trim(f.text, "[]()")
			}
		}
		last = before[len(before)-2]
	}
	h.row, h.fields = last.row, last.fields
	for i, f := range last.fields {
		if i < h.width {
			name, unit := nameAndUnit(f.text)
			h.names[i] = name
			if unit != "" {
				h.units[i] = unit
			}
		}
	}
	return h
}

// onlyUnits reports whether a row names units under a row of names.
func onlyUnits(r record) bool {
	found := false
	for _, f := range r.fields {
		text := strings.Trim(f.text, "[]()")
		if text == "" || text == "-" {
			continue
		}
		if !isUnit(text) {
			return false
		}
		found = true
	}
	return found
}

func isUnit(s string) bool {
	for _, p := range parts {
		if _, ok := scale(p.kind, s); ok {
			return true
		}
	}
	for kind := quantity.Share; kind <= quantity.Frequency; kind++ {
		if _, ok := quantity.Find(kind, s); ok && s != "" {
			return true
		}
	}
	return false
}

// nameAndUnit parts "Speed (km/h)", "speed [km/h]", "v in km/h", "speed_kmh", "v/(km/h)", "t/s" and the like.
func nameAndUnit(s string) (name, unit string) {
	s = strings.TrimSpace(s)
	if isUnit(s) && len(s) > 1 { // a lone letter is a name: t, s
		return "", s
	}
	if open := strings.IndexAny(s, "[("); open >= 0 {
		inner := strings.TrimRight(s[open+1:], "]) ")
		return plainName(strings.TrimRight(s[:open], "/ _")), strings.TrimSpace(inner)
	}
	for _, between := range []string{" in ", " ", "_", "/", "-", ","} {
		for from := 0; ; {
			i := strings.Index(s[from:], between)
			if i < 0 {
				break
			}
			i += from
			if rest := strings.TrimSpace(s[i+len(between):]); i > 0 && isUnit(rest) {
				return plainName(s[:i]), rest
			}
			from = i + len(between)
		}
	}
	return plainName(s), ""
}

func plainName(s string) string { return strings.Trim(strings.TrimSpace(s), ":,;_") }

// find returns the columns that count, and what is missing or unclear. Where
// there are both, the speed is taken, unless the distance is asked for.
func (h *header) find(c Columns) ([]column, Errors) {
	h.others = c.Else
	var found []column
	var faults Errors
	for i, said := range []Column{c.Time, c.Speed, c.Distance} {
		if i == 1 && c.Distance.Name != "" && said.Name == "" || i == 2 && said.Name == "" && len(found) >= 2 {
			continue
		}
		cols, fault := h.column(parts[i], said)
		if fault != nil {
			faults = append(faults, fault)
		}
		found = append(found, cols...)
	}
	if len(faults) > 0 {
		return nil, faults
	}
	hasTime := len(found) > 0 && found[0].kind == quantity.Time
	if hasTime && len(found) == 1 {
		found = append(found, h.places()...)
	}
	switch {
	case !hasTime:
		faults = append(faults, h.fault(-1, "no column is the time", `name one "time (s)" in the header, or say which it is`))
	case len(found) == 1:
		faults = append(faults, h.fault(-1, "no column is the speed or the distance",
			`name one "speed (km/h)" or "distance (m)" in the header, or say which it is`))
	}
	return found, faults
}

// places returns the columns of latitude and longitude; none unless both are there.
func (h *header) places() []column {
	var found []column
	for _, p := range parts[3:] {
		list := h.candidates(p, "")
		if len(list) != 1 {
			continue
		}
		if unit := lower(h.units[list[0]]); unit == "" || unit == "°" || unit == "deg" || unit == "degrees" {
			found = append(found, column{part: p, index: list[0], scale: 1})
		}
	}
	if len(found) < 2 {
		return nil
	}
	return found
}

// column finds one of the parts; none if the table has none, two if they are the speeds of two wheels.
func (h *header) column(p part, said Column) ([]column, *Error) {
	candidates := h.candidates(p, said.Name)
	wheels := len(candidates) == 2 && p.kind == quantity.Speed && h.wheels(candidates)
	switch {
	case len(candidates) == 0 && said.Name != "":
		return nil, h.fault(-1, "there is no column "+quoted(said.Name), "the header has "+h.list())
	case len(candidates) > 1 && !wheels:
		return nil, h.fault(candidates[1], "more than one column may be the "+p.name+": "+h.list(candidates...), "say which one it is")
	}
	var found []column
	for _, i := range candidates {
		col, fault := h.read(p, i, said.Unit)
		if fault != nil {
			return nil, fault
		}
		found = append(found, col)
	}
	return found, nil
}

// wheels reports whether two columns are of the front and the rear wheel.
func (h *header) wheels(columns []int) bool {
	front := hasWord([]string{"front", "fw", "vorn", "vorne", "avant", "vr"}, lower(h.names[columns[0]]))
	rear := hasWord([]string{"rear", "rw", "hinten", "arri", "hr"}, lower(h.names[columns[1]]))
	return front && rear
}

// read makes a part of a column, in the unit that is said or that the header has, or else as its values show.
func (h *header) read(p part, index int, unit string) (column, *Error) {
	col := column{part: p, index: index}
	if unit == "" {
		unit = h.units[index]
	}
	if unit == "" {
		switch {
		case p.kind == quantity.Time && h.clock[index]:
			return col, nil
		case p.kind == quantity.Time && h.since[index]:
			col.scale, col.epoch = 1, true
			return col, nil
		case p.kind == quantity.Time:
			unit = h.others.Time
		case p.kind == quantity.Speed:
			unit = h.others.Speed
		}
	}
	if unit == "" {
		fault := h.fault(index, "the column of the "+p.name+" has no unit",
			"write it into the header, as in "+p.name+" ("+quantity.Symbols(p.kind)[0]+"), or say it")
		fault.Lacks = p.name
		return col, fault
	}
	var ok bool
	if col.scale, ok = scale(p.kind, unit); !ok {
		return col, h.fault(index, quoted(unit)+" is not a unit of "+p.kind.String(), "use one of "+strings.Join(quantity.Symbols(p.kind), ", "))
	}
	return col, nil
}

// candidates returns the columns that may be p: the one that is said, those that are called just so, or else those with
// such a word in their names and a unit that is not of another kind.
func (h *header) candidates(p part, said string) []int {
	var exact, near, unit []int
	for i, name := range h.names {
		if said != "" {
			whole := ""
			if i < len(h.fields) {
				whole = h.fields[i].text
			}
			if lower(said) == lower(name) || lower(said) == lower(whole) || said == number(float64(i+1)) {
				return []int{i}
			}
			continue
		}
		_, fits := scale(p.kind, h.units[i])
		clock := p.kind == quantity.Time && h.clock[i]
		if h.units[i] != "" && !fits && !clock {
			continue
		}
		switch plain := lower(name); {
		case name == "" && fits:
			unit = append(unit, i)
		case slices.Contains(p.words, plain):
			exact = append(exact, i)
		case hasWord(p.words, plain):
			near = append(near, i)
		}
	}
	for _, list := range [][]int{exact, near, unit} {
		if len(list) > 0 {
			return list
		}
	}
	return nil
}

// hasWord reports whether one of the words stands in a name of several; words
// of one letter are only names by themselves.
func hasWord(words []string, name string) bool {
	for _, w := range strings.FieldsFunc(name, func(r rune) bool { return r < 0x80 && (r < 'a' || r > 'z') }) {
		if len(w) > 1 && slices.Contains(words, w) {
			return true
		}
	}
	return false
}

// lower makes ASCII letters small; the tables for all others would be most of what a reader loads for this package.
func lower(s string) string {
	return strings.Map(func(r rune) rune {
		if 'A' <= r && r <= 'Z' {
			r += 'a' - 'A'
		}
		return r
	}, s)
}

func quoted(s string) string { return `"` + s + `"` }

// list names columns, all of them if none is given.
func (h *header) list(indices ...int) string {
	var names []string
	for i := range h.width {
		if len(indices) > 0 && !slices.Contains(indices, i) {
			continue
		}
		if i < len(h.fields) && h.fields[i].text != "" {
			names = append(names, quoted(h.fields[i].text))
		} else {
			names = append(names, "column "+number(float64(i+1)))
		}
	}
	return strings.Join(names, ", ")
}

// fault is an error at a field of the header, or at the header as a whole.
func (h *header) fault(index int, text, hint string) *Error {
	e := &Error{Row: h.row, Text: text, Hint: hint}
	if len(h.fields) == 0 {
		return e
	}
	first, last := h.fields[0], h.fields[len(h.fields)-1]
	if index >= 0 && index < len(h.fields) {
		first, last = h.fields[index], h.fields[index]
	}
	e.Offset, e.Length = first.offset, last.offset+last.length-first.offset
	return e
}
