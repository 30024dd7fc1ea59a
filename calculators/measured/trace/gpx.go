package trace

import (
	"math"
	"strconv"
	"strings"
)

// GPX 1.1 is the exchange format of satellite receivers: track points with a place and a time, perhaps a height. Many
// receivers add the speed in m/s as an extension. It is taken if most points have it, since it is measured better than
// places are; else the way between the places is.

// isXML reports whether a text begins as XML does.
func isXML(text string) bool {
	return strings.HasPrefix(strings.TrimLeft(strings.TrimPrefix(text, byteOrder), " \t\r\n"), "<")
}

// A point is a track point. What is not there or no number is NaN.
type point struct {
	number, offset                int // from 1; byte that it begins at
	time, lat, lon, height, speed float64
	latGrid, speedGrid            float64 // between the values that can be written
}

// track reads the track of a GPX file as a log. Its rows are the numbers of the points.
func track(text string) (Log, []Note, error) {
	x := xml{text: text}
	points, fault := x.points()
	if fault != nil {
		return Log{}, nil, Errors{fault}
	}
	if len(points) == 0 {
		return Log{}, nil, Errors{{Text: "the file has no track point", Hint: "export the track (trk), not the route or the way points"}}
	}
	log, notes := logOf(points)
	if len(log.Time) < len(points)-len(points)/spoilt {
		return log, notes, Errors{{Row: notes[0].Row, Offset: points[notes[0].Row-1].offset, Length: 1, Track: true,
			Text: "too many track points lack a time, a place or a speed: " + strconv.Itoa(len(points)-len(log.Time)) + " of " + strconv.Itoa(len(points)),
			Hint: "export the track again"}}
	}
	return log, notes, nil
}

// points reads all track points of all segments.
func (x *xml) points() ([]point, *Error) {
	var list []point
	first, in := true, false
	for {
		kind, name, fault := x.next()
		switch {
		case fault != nil:
			return nil, fault
		case kind == ended && first:
			return nil, &Error{Text: "the file is empty", Hint: "export the track as GPX 1.1 or as CSV"}
		case kind == ended && in:
			return nil, x.fault(x.start, "the XML breaks off within a track point", "export the track again")
		case kind == ended:
			return list, nil
		case kind == opens && first && name != "gpx":
			return nil, x.fault(x.start, "this is XML, but no GPX", "export the track as GPX 1.1 or as CSV")
		case kind == opens && name == "trkpt":
			if len(list) == maxRows {
				return nil, x.fault(x.start, "there are more than "+strconv.Itoa(maxRows)+" track points", "cut the track to the stop")
			}
			list = append(list, x.point(len(list)+1))
			in = !x.empty
		case kind == closes && name == "trkpt":
			in = false
		case kind == opens && in && !x.empty:
			list[len(list)-1].child(name, x.words())
		}
		first = first && kind != opens
	}
}

func (x *xml) point(number int) point {
	lat := x.attribute("lat")
	return point{number: number, offset: x.start, time: math.NaN(), height: math.NaN(), speed: math.NaN(),
		lat: degrees(lat, 90), lon: degrees(x.attribute("lon"), 180), latGrid: grid(lat)}
}

func degrees(text string, most float64) float64 {
	if n, ok := decimal(text); ok && math.Abs(n) <= most {
		return n
	}
	return math.NaN()
}

// child takes what the element of a name within a point holds.
func (p *point) child(name, text string) {
	n, ok := decimal(text)
	switch {
	case name == "time":
		if t, ok := clock(text); ok {
			p.time = t
		}
	case name == "ele" && ok:
		p.height = n
	case name == "speed" && ok && n >= 0 && n <= fastest:
		p.speed, p.speedGrid = n, grid(text)
	}
}

// grid returns the unit of the last decimal of a number.
func grid(number string) float64 {
	_, decimals, _ := strings.Cut(strings.TrimSpace(number), ".")
	unit := 1.0
	for range min(len(decimals), 15) {
		unit /= 10
	}
	return unit
}

// logOf makes a log of points. A point without a time, a place or, where the
// others have one, a speed is noted and left out.
func logOf(points []point) (Log, []Note) {
	speeds := 0
	for _, p := range points {
		if !math.IsNaN(p.speed) {
			speeds++
		}
	}
	log := Log{Track: true, Grid: math.Inf(1)}
	bySpeed := 2*speeds > len(points)
	var notes []Note
	before, way := -1, 0.0
	for i, p := range points {
		lacks := ""
		switch {
		case math.IsNaN(p.time):
			lacks = "the track point has no time and is left out"
		case bySpeed && math.IsNaN(p.speed):
			lacks = "the track point has no speed and is left out"
		case !bySpeed && math.IsNaN(p.lat+p.lon):
			lacks = "the track point has no place and is left out"
		}
		if lacks != "" {
			notes = append(notes, Note{Row: p.number, Kind: Missing, Says: lacks})
			continue
		}
		if before >= 0 && !math.IsNaN(p.lat+p.lon) {
			way += Between(points[before].lat, points[before].lon, p.lat, p.lon)
		}
		if !math.IsNaN(p.lat + p.lon) {
			before = i
		}
		log.Time, log.Row = append(log.Time, p.time), append(log.Row, p.number)
		log.Way, log.Height = append(log.Way, way), append(log.Height, p.height)
		if bySpeed {
			log.Speed, log.Grid = append(log.Speed, p.speed), min(log.Grid, p.speedGrid)
		} else {
			log.Distance, log.Grid = append(log.Distance, way), min(log.Grid, p.latGrid*DegreeNorth)
		}
	}
	return log, notes
}
