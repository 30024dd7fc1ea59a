package measure

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"strconv"
	"strings"
	"time"

	"example.org/gripleaf/calculators/trace"
)

// GPX 1.1 is the exchange format of satellite receivers: track points with a
// place and a time. Many receivers add the speed in m/s as an extension. It is
// taken if most points have it, since it is measured better than places are;
// else the way between the places is.

const maxPoints = 200_000

// A point is a track point; its row is the line that it begins on.
type point struct {
	row      int
	offset   int
	lat, lon float64   // degrees
	time     time.Time // zero if there is none
	speed    float64   // m/s, NaN if there is none

	latGrid, speedGrid float64 // between the values that can be written
}

// readGPX reads the track of a GPX file as a log. The error is a
// [trace.Errors] with every point that cannot be right.
func readGPX(data []byte) (trace.Log, []trace.Note, error) {
	d := gpxDecoder{Decoder: xml.NewDecoder(bytes.NewReader(data))}
	if err := d.points(); err != nil {
		d.faults = append(d.faults, err)
	}
	if len(d.faults) > 0 {
		return trace.Log{}, nil, d.faults
	}
	if len(d.list) == 0 {
		return trace.Log{}, nil, trace.Errors{{Text: "the file has no track point", Hint: "export the track (trk), not the route or the way points"}}
	}
	log, notes := logOf(d.list)
	return log, notes, nil
}

type gpxDecoder struct {
	*xml.Decoder
	list   []point
	faults trace.Errors
}

// points reads all track points of all segments.
func (d *gpxDecoder) points() *trace.Error {
	root := true
	for {
		at := int(d.InputOffset())
		token, err := d.Token()
		if err != nil {
			return d.broken(err, root)
		}
		start, ok := token.(xml.StartElement)
		if !ok {
			continue
		}
		row, _ := d.InputPos()
		if root && start.Name.Local != "gpx" {
			return &trace.Error{Row: row, Offset: at, Text: "this is XML, but no GPX", Hint: "export the track as GPX 1.1 or as CSV"}
		}
		root = false
		if start.Name.Local != "trkpt" {
			continue
		}
		if len(d.list) == maxPoints {
			return &trace.Error{Row: row, Offset: at, Text: "there are more than " + strconv.Itoa(maxPoints) + " track points", Hint: "cut the track to the stop"}
		}
		if err := d.point(start, row, at); err != nil {
			return d.broken(err, false)
		}
	}
}

// broken tells the end of a file from what is no XML.
func (d *gpxDecoder) broken(err error, root bool) *trace.Error {
	row, _ := d.InputPos()
	switch {
	case errors.Is(err, io.EOF) && !root:
		return nil
	case errors.Is(err, io.EOF):
		return &trace.Error{Text: "the file is empty", Hint: "export the track as GPX 1.1 or as CSV"}
	}
	text := err.Error()
	var syntax *xml.SyntaxError
	if errors.As(err, &syntax) {
		row, text = syntax.Line, syntax.Msg
	}
	return &trace.Error{Row: row, Text: "the XML breaks off: " + text, Hint: "export the track again"}
}

// point reads one track point to its end.
func (d *gpxDecoder) point(start xml.StartElement, row, at int) error {
	p := point{row: row, offset: at, speed: math.NaN()}
	for _, a := range start.Attr {
		if a.Name.Local == "lat" {
			p.latGrid = grid(a.Value)
		}
	}
	p.lat, p.lon = d.degrees(start, "lat", 90, p), d.degrees(start, "lon", 180, p)
	for depth, name := 1, ""; depth > 0; {
		token, err := d.Token()
		if err != nil {
			if errors.Is(err, io.EOF) {
				return io.ErrUnexpectedEOF
			}
			return err
		}
		switch token := token.(type) {
		case xml.StartElement:
			depth, name = depth+1, token.Name.Local
		case xml.EndElement:
			depth, name = depth-1, ""
		case xml.CharData:
			d.child(&p, name, strings.TrimSpace(string(token)))
		}
	}
	d.list = append(d.list, p)
	return nil
}

func (d *gpxDecoder) fault(p point, text, hint string) {
	d.faults = append(d.faults, &trace.Error{Row: p.row, Offset: p.offset, Length: 1, Text: text, Hint: hint})
}

func (d *gpxDecoder) degrees(start xml.StartElement, name string, most float64, p point) float64 {
	for _, a := range start.Attr {
		if a.Name.Local != name {
			continue
		}
		n, err := strconv.ParseFloat(strings.TrimSpace(a.Value), 64)
		if err != nil || !(math.Abs(n) <= most) {
			d.fault(p, name+" "+strconv.Quote(a.Value)+" is no angle up to "+strconv.Itoa(int(most))+"°", "export the track again")
		}
		return n
	}
	d.fault(p, "the track point has no "+name, "export the track again")
	return 0
}

// child takes what the element of a name within a point holds.
func (d *gpxDecoder) child(p *point, name, text string) {
	if text == "" {
		return
	}
	switch name {
	case "time":
		t, err := time.Parse(time.RFC3339, text)
		if err != nil || t.Year() < 1900 || t.Year() > 2200 {
			d.fault(*p, strconv.Quote(text)+" is no time of ISO 8601", "write it as 2026-05-01T14:03:09.25Z")
			return
		}
		p.time = t
	case "speed":
		v, err := strconv.ParseFloat(text, 64)
		if err != nil || !(v >= 0 && v <= 150) {
			d.fault(*p, strconv.Quote(text)+" is no speed in m/s", "GPX has speeds in m/s")
			return
		}
		p.speed, p.speedGrid = v, grid(text)
	}
}

// grid returns the unit of the last decimal of a number.
func grid(number string) float64 {
	_, decimals, _ := strings.Cut(strings.TrimSpace(number), ".")
	return math.Pow10(-len(decimals))
}

// logOf makes a log of points. A point without a time, or without a speed
// where the others have one, is noted and left out.
func logOf(points []point) (trace.Log, []trace.Note) {
	var log trace.Log
	var notes []trace.Note
	speeds := 0
	for _, p := range points {
		if !math.IsNaN(p.speed) {
			speeds++
		}
	}
	bySpeed := 2*speeds > len(points)
	log.Grid = math.Inf(1)
	first, way, before := time.Time{}, 0.0, point{}
	for _, p := range points {
		if p.time.IsZero() {
			notes = append(notes, trace.Note{Row: p.row, Kind: trace.Missing, Says: "the track point has no time and is left out"})
			continue
		}
		if bySpeed && math.IsNaN(p.speed) {
			notes = append(notes, trace.Note{Row: p.row, Kind: trace.Missing, Says: "the track point has no speed and is left out"})
			continue
		}
		if len(log.Time) == 0 {
			first, before = p.time, p
		}
		way += trace.Between(before.lat, before.lon, p.lat, p.lon)
		before = p
		log.Time = append(log.Time, p.time.Sub(first).Seconds())
		log.Row = append(log.Row, p.row)
		if bySpeed {
			log.Speed = append(log.Speed, p.speed)
			log.Grid = min(log.Grid, p.speedGrid)
		} else {
			log.Distance = append(log.Distance, way)
			log.Grid = min(log.Grid, p.latGrid*trace.DegreeNorth)
		}
	}
	return log, notes
}
