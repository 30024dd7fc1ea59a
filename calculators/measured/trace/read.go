package trace

import (
	"math"
	"strconv"
	"strings"

	"example.org/gripleaf/calculators/quantity"
)

// Read reads a log: a GPX track, or a table with a column of time and one of speed or distance among others, in any
// order, parted by commas, semicolons or tabs, with decimal points or commas. Without such a column, latitude and
// longitude in degrees give the distance; of two wheels the faster one counts, which a locked wheel is not. Lines that
// begin with # are remarks, and titles may stand above the header. Times are numbers with a unit, clock times
// (14:03:09.25) or those of ISO 8601 (2026-05-01T14:03:09.25Z).
//
// A value that is left out or is no number is NaN in the log and told in a note. Where more than one row in ten is
// spoilt, the error is an [Errors] with every value that is no number.
func Read(text string, c Columns) (Log, []Note, error) {
	text = Text(text)
	if fault := readable(text); fault != nil {
		return Log{}, nil, Errors{fault}
	}
	if isXML(text) {
		return track(text)
	}
	if strings.HasPrefix(text, byteOrder) {
		text = strings.Repeat(" ", len(byteOrder)) + text[len(byteOrder):]
	}
	rows, fault := records(text, separator(text))
	if fault != nil {
		return Log{}, nil, Errors{fault}
	}
	first := firstValues(rows)
	if first == len(rows) {
		return Log{}, nil, Errors{{Text: "the file has no row of numbers",
			Hint: "a log is a table with a column of time and one of speed or distance"}}
	}
	h := headerOf(rows[:first], rows[first])
	columns, faults := h.find(c)
	if len(faults) > 0 {
		return Log{}, nil, faults
	}
	return values(rows[first:], columns)
}

// firstValues returns the first row with two numbers of which most are.
func firstValues(rows []record) int {
	for i, r := range rows {
		numbers, texts := 0, 0
		for _, f := range r.fields {
			if _, ok := decimal(f.text); ok || isClock(f.text) {
				numbers++
			} else if !missing(f.text) {
				texts++
			}
		}
		if numbers >= 2 && numbers >= texts {
			return i
		}
	}
	return len(rows)
}

// one row in so many may be spoilt.
const spoilt = 10

// values reads the columns of all rows.
func values(rows []record, columns []column) (Log, []Note, error) {
	log := Log{Row: make([]int, len(rows))}
	var faults Errors
	var gone blanks
	var latitude []float64
	for i, r := range rows {
		log.Row[i] = r.row
	}
	places := 0 // decimals
	for _, c := range columns {
		list := make([]float64, len(rows))
		if latitude == nil { // the finer of latitude and longitude counts
			places = 0
		}
		scale := c.scale
		if c.epoch {
			scale = epoch(rows, c)
		}
		for i, r := range rows {
			places = max(places, r.places(c.index))
			value, fault := r.value(c, scale)
			if fault != nil {
				faults = append(faults, fault)
				gone.list = append(gone.list, Note{Row: r.row, Kind: Missing,
					Says: "a value of the row is no number that can be right; the row is left out"})
				value = math.NaN()
			} else if math.IsNaN(value) {
				gone.add(c.kind, log.Row[i])
			}
			list[i] = value
		}
		switch c.kind {
		case quantity.Time:
			log.Time = list
			continue
		case quantity.Speed:
			log.Speed = faster(log.Speed, list)
		case quantity.Angle:
			if latitude == nil {
				latitude = list
				continue
			}
			log.Distance = along(latitude, list)
			scale *= DegreeNorth
		default:
			log.Distance = list
		}
		log.Grid = scale
		for range places {
			log.Grid /= 10
		}
	}
	if len(faults)*spoilt > len(rows) {
		return Log{}, nil, faults
	}
	return log, gone.list, nil
}

// faster returns the greater of two wheels' speeds, or the one that is there.
func faster(a, b []float64) []float64 {
	for i := range a {
		if !math.IsNaN(a[i]) && !(a[i] < b[i]) {
			b[i] = a[i]
		}
	}
	return b
}

// epoch returns the unit of times since the beginning of 1970, which tells itself: there are 1.7e9 s.
func epoch(rows []record, c column) float64 {
	for _, r := range rows {
		if c.index < len(r.fields) {
			if n, ok := decimal(r.fields[c.index].text); ok && n > 1e7 {
				unit := 1.0
				for ; n > 1e11; n /= 1000 {
					unit /= 1000
				}
				return unit
			}
		}
	}
	return 1
}

// places counts the decimals of a field.
func (r *record) places(index int) int {
	if index >= len(r.fields) {
		return 0
	}
	text := r.fields[index].text
	sign := strings.IndexAny(text, ".,")
	if sign < 0 {
		return 0
	}
	return len(text) - sign - 1
}

// blanks gathers rows without a value, neighbours in one note.
type blanks struct {
	list []Note
	kind quantity.Kind
	last int
}

// lacking are the notes of a row without a value of a kind, and of several.
var lacking = map[quantity.Kind]struct{ one, several Note }{
	quantity.Time:   {Note{Says: "the row has no time and is left out"}, Note{Says: "rows {} to {} have no time and are left out"}},
	quantity.Speed:  {Note{Says: "the row has no speed and is left out"}, Note{Says: "rows {} to {} have no speed and are left out"}},
	quantity.Angle:  {Note{Says: "the row has no place and is left out"}, Note{Says: "rows {} to {} have no place and are left out"}},
	quantity.Length: {Note{Says: "the row has no distance and is left out"}, Note{Says: "rows {} to {} have no distance and are left out"}},
}

// add notes a row without a value, or makes the note of the rows right before it one of this row too.
func (b *blanks) add(kind quantity.Kind, row int) {
	note := lacking[kind].one
	note.Kind, note.Row = Missing, row
	if n := len(b.list) - 1; n >= 0 && b.kind == kind && row <= b.last+1 {
		note = lacking[kind].several
		note.Kind, note.Row = Missing, b.list[n].Row
		note.Numbers = []float64{float64(note.Row), float64(row)}
		b.list = b.list[:n]
	}
	b.kind, b.last = kind, row
	b.list = append(b.list, note)
}

// value reads a field; what is left out is NaN.
func (r *record) value(c column, scale float64) (float64, *Error) {
	if c.index >= len(r.fields) {
		return math.NaN(), nil
	}
	f := r.fields[c.index]
	fault := func(text, hint string) *Error {
		return &Error{Row: r.row, Offset: f.offset, Length: f.length, Text: text, Hint: hint}
	}
	if missing(f.text) {
		return math.NaN(), nil
	}
	if scale == 0 {
		t, ok := clock(f.text)
		if !ok {
			return 0, fault(quoted(f.text)+" is not a time of day", "write hours:minutes:seconds, as in 14:03:09.25")
		}
		return t, nil
	}
	n, ok := decimal(f.text)
	if !ok {
		hint := "write a number, as in 16.7 or 16,7, or leave the field empty"
		if strings.ContainsAny(f.text, ".") && strings.ContainsAny(f.text, ",'") {
			hint = "write it without a sign between thousands"
		}
		return 0, fault(quoted(f.text)+" is not a number", hint)
	}
	value := n * scale
	switch {
	case math.Abs(value) > 1e12:
		return 0, fault(quoted(f.text)+" is too large", "check the unit of the "+c.name)
	case c.kind == quantity.Speed && (value > fastest || value < -5):
		return 0, fault(quoted(f.text)+" is "+number(value*3.6)+" km/h, which no motorcycle rides", "check the unit of the speed")
	case c.kind == quantity.Angle && math.Abs(value) > 180:
		return 0, fault(quoted(f.text)+" is no angle up to 180°", "latitude and longitude are in degrees")
	}
	return value, nil
}

const fastest = 150 // m/s

// missing reports whether a logger wrote that it has no value.
func missing(s string) bool {
	switch lower(s) {
	case "", "-", "--", "---", "nan", "null", "n/a", "na", "#n/a", "inf", "-inf":
		return true
	}
	return false
}

// decimal reads a number with a decimal point or comma. It looks before it
// parses: what strconv takes beside that, such as 0x1p-2, is no measurement.
func decimal(s string) (float64, bool) {
	if s == "" || len(s) > 40 {
		return 0, false
	}
	signs := 0
	for i := range len(s) {
		switch c := s[i]; {
		case '0' <= c && c <= '9':
		case c == '.' || c == ',':
			signs++
		case c == '+' || c == '-':
			if i > 0 && s[i-1]|0x20 != 'e' {
				return 0, false
			}
		case c|0x20 == 'e' && i > 0:
		default:
			return 0, false
		}
	}
	if signs > 1 {
		return 0, false
	}
	n, err := strconv.ParseFloat(strings.Replace(s, ",", ".", 1), 64)
	return n, err == nil && !math.IsInf(n, 0)
}

func isClock(s string) bool {
	_, ok := clock(s)
	return ok
}

// clock reads a time of day, with a date of ISO 8601 before it or none, as
// seconds. The zone is not looked at: a log has one.
func clock(s string) (float64, bool) {
	day := 0
	if at := strings.IndexAny(s, "T "); at == len("2026-05-01") {
		var ok bool
		if day, ok = date(s[:at]); !ok {
			return 0, false
		}
		s = s[at+1:]
		s = strings.TrimSuffix(s, "Z")
		if at := strings.LastIndexAny(s, "+-"); at > 0 {
			s = s[:at]
		}
	}
	parts := strings.Split(s, ":")
	if len(parts) != 2 && len(parts) != 3 {
		return 0, false
	}
	if len(parts) == 2 { // minutes and seconds
		parts = append([]string{"0"}, parts...)
	}
	total := 0.0
	for i, p := range parts {
		n, ok := decimal(p)
		if !ok || n < 0 || strings.ContainsAny(p, "+-eE") || i < 2 && strings.ContainsAny(p, ".,") || i > 0 && n >= 61 {
			return 0, false
		}
		total = total*60 + n
	}
	return float64(day)*86400 + total, true
}

// date returns the days from 1 January 2000 to a date yyyy-mm-dd.
func date(s string) (int, bool) {
	if s[4] != '-' || s[7] != '-' {
		return 0, false
	}
	y, err1 := strconv.Atoi(s[:4])
	m, err2 := strconv.Atoi(s[5:7])
	d, err3 := strconv.Atoi(s[8:10])
	if err1 != nil || err2 != nil || err3 != nil || m < 1 || m > 12 || d < 1 || d > 31 || y < 1900 {
		return 0, false
	}
	if m < 3 { // years begin in March here, so that the leap day is their last
		y, m = y-1, m+12
	}
	return 365*y + y/4 - y/100 + y/400 + (153*m-457)/5 + d - 730426, true
}
