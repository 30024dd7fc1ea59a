package trace

import (
	stdxml "encoding/xml"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

// trackOf writes a ride as GPX 1.1, going north from an invented place, on a road that rises.
func trackOf(r ride, rate, slope float64, speeds bool) string {
	t, v, s := r.samples(1 / rate)
	rnd := rand.New(rand.NewPCG(3, 4))
	var b strings.Builder
	b.WriteString("<?xml version=\"1.0\"?><!-- Ferndale -->\n<gpx version='1.1' xmlns='http://www.topografix.com/GPX/1/1'><metadata><time>2026-05-01T09:00:00Z</time></metadata><trk><trkseg>")
	for i := range t {
		extra := ""
		if speeds {
			extra = fmt.Sprintf("<extensions><x:speed xmlns:x=\"urn:ferndale\">%.2f</x:speed></extensions>", max(0, v[i]+0.05*rnd.NormFloat64()))
		}
		fmt.Fprintf(&b, "<trkpt lat=\"%.9f\" lon=\"8.5\"><ele>%.2f</ele><time>2026-05-01T10:00:%06.3fZ</time>%s</trkpt>", 45+s[i]/111131.745, 300+slope*s[i]+0.05*rnd.NormFloat64(), t[i], extra)
	}
	b.WriteString("</trkseg></trk></gpx>")
	return b.String()
}

// On a road that rises by 3 %, gravity slows the bike by 9.80665·0.03/√(1 + 0.03²) = 0.294 m/s².
func TestSlope(t *testing.T) {
	r := ride{speed: 60 / 3.6, rise: 0.3, slowing: 7.294, coast: 0.294, start: 3}
	log, notes, err := Read(trackOf(r, 10, 0.03, true), Columns{})
	if err != nil || len(notes) > 0 || !log.Track || math.Abs(log.Way[len(log.Way)-1]-(50+0.294*9/2+r.truth().whole)) > 0.01 {
		t.Fatal(err, notes)
	}
	for name, tt := range map[string]struct {
		test Test
		want float64
	}{"as ridden": {Test{}, 7.294}, "by heights": {Test{ByHeights: true}, 7}, "as said": {Test{Slope: Value{0.03, 0.002}}, 7}} {
		stops, _, err := Measure(log, tt.test)
		if err != nil || math.Abs(stops[0].Mean.Value-tt.want) > stops[0].Mean.Uncertainty {
			t.Errorf("%s: %v, %+v, want %v", name, err, stops[0].Mean, tt.want)
		}
		if tt.test.ByHeights {
			if n := stops[0].Notes; len(n) == 0 || !strings.HasPrefix(n[0].Text(), "by the heights of the track the road rises by 2.9") && !strings.HasPrefix(n[0].Text(), "by the heights of the track the road rises by 3.0") {
				t.Errorf("notes %v", n)
			}
		}
	}
}

// One bad point does not spoil a track, and is named by its number, for all may stand on one line.
func TestTrackWithGaps(t *testing.T) {
	text := trackOf(steady, 10, 0, true)
	text = strings.Replace(text, "<time>2026-05-01T10:00:01.000Z</time>", "<time>noon</time>", 1)
	text = strings.Replace(text, "<time>2026-05-01T10:00:02.000Z</time>", "<time><![CDATA[2026-05-01T10:00:02.000Z]]></time>", 1)
	at := strings.Index(text, "<x:speed")
	end := strings.Index(text, "</x:speed>")
	text = text[:at] + "<x:speed>NaN" + text[end:]
	log, notes, err := Read(text, Columns{})
	if err != nil || len(notes) != 2 || notes[0].Row != 1 || notes[1].Row != 11 || len(log.Time) != 63 {
		t.Fatalf("%v, %v, %d points", err, notes, len(log.Time))
	}
	if _, _, err := Read(strings.ReplaceAll(text, "<time>", "<tim>"), Columns{}); err == nil || err.Error() != "track point 1: too many track points lack a time, a place or a speed: 65 of 65" {
		t.Error(err)
	}
}

// FuzzXML holds the small reader against encoding/xml: of what that takes, both see the same points.
func FuzzXML(f *testing.F) {
	f.Add(trackOf(steady, 1, 0, true))
	f.Add("<gpx><trkpt lat='1' lon='2'><time>2026-05-01T10:00:00Z</time><speed>3</speed></trkpt></gpx>")
	f.Add("<gpx><trkpt lat='1'><a><b/></a></trkpt>\n<trkpt")
	f.Add("<a:gpx xmlns:a='x'><!-- <trkpt> --><a:trkpt lon = \"1\" x='>' lat='2'/><![CDATA[<trkpt/>]]></a:gpx>")
	f.Fuzz(func(t *testing.T, text string) {
		x := xml{text: text}
		points, fault := x.points()
		if fault != nil && (fault.Hint == "" || fault.Offset > len(text)) {
			t.Fatalf("%+v", fault)
		}
		d := stdxml.NewDecoder(strings.NewReader(text))
		var want []string
		for {
			token, err := d.Token()
			if token == nil {
				if err.Error() != "EOF" {
					return // no XML, and no more is asked
				}
				break
			}
			if start, ok := token.(stdxml.StartElement); ok {
				if len(want) == 0 && start.Name.Local != "gpx" {
					return
				}
				if start.Name.Local == "trkpt" {
					want = append(want, "")
				} else if len(want) == 0 {
					want = []string{}
				}
			}
		}
		if fault == nil && len(points) != len(want) {
			t.Fatalf("%d points, encoding/xml sees %d in %q", len(points), len(want), text)
		}
	})
}
