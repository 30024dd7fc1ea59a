package measure

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"example.org/gripleaf/calculators/measured/trace"
	"example.org/gripleaf/cmd/internal/fault"
)

// sampled returns an invented stop on the Ferndale yard: 3 s at a speed, then a slowing that rises evenly for 0.3 s and
// stays to standstill, and a second more. Its answers are textbook ones: the rise takes a·r/2 off the speed in v·r -
// a·r²/6 of way, and the rest v²/(2a).
func sampled(speed, slowing, step float64) (t, v, s []float64) {
	const start, rise = 3.0, 0.3
	end := speed/slowing + rise/2
	for i := 0; float64(i)*step < start+end+1; i++ {
		now := float64(i) * step
		d := min(max(now-start, 0), end)
		x, after := min(d, rise), max(d-rise, 0)
		slow := speed - slowing*x*x/(2*rise)
		t = append(t, now)
		v = append(v, slow-slowing*after)
		s = append(s, speed*min(now, start)+speed*x-slowing*x*x*x/(6*rise)+slow*after-slowing*after*after/2)
	}
	return t, v, s
}

func table(speed, slowing float64, noise *rand.Rand) []byte {
	t, v, _ := sampled(speed, slowing, 0.02)
	var b strings.Builder
	b.WriteString("Zeit (s);Geschwindigkeit (km/h)\n")
	for i := range t {
		line := fmt.Sprintf("%.2f;%.2f\n", t[i], 3.6*(v[i]+0.03*noise.NormFloat64()))
		b.WriteString(strings.ReplaceAll(line, ".", ","))
	}
	return []byte(b.String())
}

// track writes the stop as GPX 1.1, riding north from an invented place.
func track(speed, slowing float64, speeds bool) []byte {
	t, v, s := sampled(speed, slowing, 0.1)
	var b strings.Builder
	b.WriteString("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<gpx version=\"1.1\" creator=\"Ferndale\" xmlns=\"http://www.topografix.com/GPX/1/1\">\n<trk><trkseg>\n")
	for i := range t {
		extra := ""
		if speeds {
			extra = fmt.Sprintf("<extensions><x:speed xmlns:x=\"urn:ferndale\">%.2f</x:speed></extensions>", v[i])
		}
		fmt.Fprintf(&b, "<trkpt lat=\"%.9f\" lon=\"8.5\"><time>2026-05-01T10:00:%06.3fZ</time>%s</trkpt>\n", 45+s[i]/111131.745, t[i], extra)
	}
	b.WriteString("</trkseg></trk>\n</gpx>\n")
	return []byte(b.String())
}

func TestFile(t *testing.T) {
	noise := rand.New(rand.NewPCG(1, 2))
	for name, data := range map[string][]byte{
		"logs/ann-2.csv": table(60/3.6, 8, noise),
		"ann/2.gpx":      track(60/3.6, 8, true),
		"ann_2.gpx":      track(60/3.6, 8, false),
	} {
		r, err := Read(name, bytes.NewReader(data), Options{Test: trace.Test{Nominal: 60 / 3.6}})
		if err != nil || len(r.Stops) != 1 || len(r.Notes) != 0 {
			t.Errorf("%s: %d stops, notes %v, %v", name, len(r.Stops), r.Notes, err)
			continue
		}
		if r.Rider != "ann" || r.Run != "2" || r.File != name {
			t.Errorf("%s: rider %q, run %q", name, r.Rider, r.Run)
		}
		s := r.Stops[0]
		for what, v := range map[string]struct {
			got  trace.Value
			want float64
		}{"speed": {s.Speed, 60 / 3.6}, "mean": {s.Mean, 8}, "distance": {s.Whole, 19.831}, "corrected": {s.Corrected, 19.831}, "time": {s.Time, 2.233}} {
			if math.Abs(v.got.Value-v.want) > v.got.Uncertainty+5e-3*v.want || v.got.Uncertainty > 0.25*v.want {
				t.Errorf("%s: %s is %.3f ± %.3f, want %.3f", name, what, v.got.Value, v.got.Uncertainty, v.want)
			}
		}
		if !s.Valid {
			t.Errorf("%s: not valid", name)
		}
	}
}

func TestFaults(t *testing.T) {
	gpx := func(points string) string {
		return "<gpx><trk><trkseg>\n" + points + "</trkseg></trk></gpx>"
	}
	tests := []struct{ name, data, want string }{
		{"unit.csv", "time (s),speed\n0,50\n", "unit.csv:1:10: the column of the speed has no unit"},
		{"number.csv", "time (s),speed (m/s)\n0,50\n1,ä5\n", `number.csv:3:3: "ä5" is not a number`},
		{"short.csv", "time (s),speed (m/s)\n0,20\n1,20\n2,0\n3,0\n", "short.csv: there is no stop in the log: its speed never falls from over 15 km/h to standstill"},
		{"other.xml", "<html></html>", "other.xml:1:1: this is XML, but no GPX"},
		{"none.gpx", "<gpx></gpx>", "none.gpx: the file has no track point"},
		{"place.gpx", gpx("<trkpt lat='91' lon='0'><time>2026-05-01T10:00:00Z</time></trkpt>\n<trkpt lat='x' lon='0'/>"), `place.gpx:2:1: track point 1: too many track points lack a time, a place or a speed: 2 of 2`},
		{"broken.gpx", "<gpx>\n<trk>\n<trkpt lat='1' lon='0'>", "broken.gpx:3:1: the XML breaks off within a track point"},
	}
	for _, tt := range tests {
		_, err := Read(tt.name, strings.NewReader(tt.data), Options{})
		var list fault.List
		if !errors.As(err, &list) || err.Error() != tt.want {
			t.Errorf("%s:\n got %v\nwant %s", tt.name, err, tt.want)
			continue
		}
		if list[0].Hint == "" {
			t.Errorf("%s: no hint", tt.name)
		}
	}
}

func TestPartlyMissing(t *testing.T) {
	data := string(track(60/3.6, 8, true))
	data = strings.Replace(data, "<time>2026-05-01T10:00:01.000Z</time>", "", 1)
	data = strings.Replace(data, ">16.67</x:speed>", "></x:speed>", 1)
	r, err := Read("ann.gpx", strings.NewReader(data), Options{})
	if err != nil || len(r.Notes) != 2 || r.Notes[0].Row != 1 || r.Notes[1].Row != 11 {
		t.Errorf("notes %v, %v; want points 1 and 11", r.Notes, err)
	}
}

// A degree of latitude and of longitude on WGS 84 at 0°, 45° and 89°, in m, as tables of geodesy have them (National
// Geospatial-Intelligence Agency, length of a degree; from memory): 110 574.3 and 111 319.5; 111 131.7 and 78 846.8;
// 111 693.9 and 1 949.4 m.
func TestDegrees(t *testing.T) {
	for _, tt := range []struct{ lat, north, east float64 }{{0, 110574.3, 111319.5}, {45, 111131.7, 78846.8}, {89, 111693.9, 1949.4}} {
		const part = 0.001
		north := trace.Between(tt.lat-part/2, 0, tt.lat+part/2, 0) / part
		east := trace.Between(tt.lat, 179.9995, tt.lat, -179.9995) / part
		if math.Abs(north-tt.north) > 0.5 || math.Abs(east-tt.east) > 0.5 {
			t.Errorf("at %v°: %.1f and %.1f m, want %.1f and %.1f", tt.lat, north, east, tt.north, tt.east)
		}
	}
}

func TestWho(t *testing.T) {
	for name, want := range map[string][2]string{
		"ann-2.csv": {"ann", "2"}, "logs/Ann Fern 03.gpx": {"Ann Fern", "03"}, "ben/1.csv": {"ben", "1"},
		"ben.csv": {"ben", ""}, `7.csv`: {".", "7"}, "run_12.tsv": {"run", "12"},
	} {
		if rider, run := who(name); rider != want[0] || run != want[1] {
			t.Errorf("who(%q) = %q, %q, want %q", name, rider, run, want)
		}
	}
}

func stop(mean, corrected float64, valid bool) trace.Stop {
	return trace.Stop{Nominal: 60 / 3.6, Mean: trace.Value{Value: mean, Uncertainty: 0.1}, Corrected: trace.Value{Value: corrected, Uncertainty: 1}, Valid: valid}
}

func TestRiders(t *testing.T) {
	riders := Riders([]Report{
		{File: "ben-1.csv", Rider: "Ben", Run: "1", Stops: []trace.Stop{stop(6, 30, true)}},
		{File: "ann-1.csv", Rider: "ann", Run: "1", Stops: []trace.Stop{stop(7, 26, true), stop(9, 20, true)}},
		{File: "ann-2.csv", Rider: "Ann", Run: "2", Stops: []trace.Stop{stop(8, 99, false)}},
		{File: "cat-1.csv", Rider: "cat", Run: "1"},
	})
	if len(riders) != 3 || riders[0].Name != "ann" || len(riders[0].Runs) != 3 || riders[0].Runs[1].Number != 2 || riders[2].Mean.Count != 0 {
		t.Fatalf("riders %+v", riders)
	}
	// The standard deviation of 7, 8, 9 is 1; of 26 and 20 it is √18.
	if got, want := riders[0].Mean, (Spread{3, 8, 1, 7, 9}); math.Abs(got.Mean-want.Mean) > 1e-12 || math.Abs(got.Deviation-want.Deviation) > 1e-12 || got.Least != 7 || got.Most != 9 {
		t.Errorf("mean %+v, want %+v", got, want)
	}
	if got := riders[0].Corrected; got.Count != 2 || math.Abs(got.Deviation-math.Sqrt(18)) > 1e-12 {
		t.Errorf("corrected %+v, want two runs with a deviation of √18", got)
	}
	if got, want := riders[1].Corrected, (Spread{1, 30, 0, 30, 30}); got != want {
		t.Errorf("one run: %+v, want %+v", got, want)
	}
}

// Limits at 60 km/h: S ≤ 0.1·60 + 0.0087·3600 = 37.32 m, or 4.4 m/s², with the
// front brake alone (Council Directive 93/14/EEC: V²/115, printed 4.4).
func TestVerdicts(t *testing.T) {
	if Verdicts(stop(9, 20, false), Ridden{"front", 1}) != nil {
		t.Error("verdicts without a valid correction")
	}
	for _, tt := range []struct {
		mean, corrected float64
		met, doubtful   bool
	}{{6, 30, true, false}, {3, 45, false, false}, {4.45, 37, true, true}, {3, 37, true, true}, {4.35, 50, false, true}, {6, 50, true, false}} {
		v := Verdicts(stop(tt.mean, tt.corrected, true), Ridden{"front", 0.9})[0]
		if v.Name != "front brake alone, laden" || math.Abs(v.Most-37.32) > 1e-9 || v.Least != 4.4 {
			t.Fatalf("limit %+v", v)
		}
		if v.Met != tt.met || v.Doubtful != tt.doubtful {
			t.Errorf("%v m/s², %v m: met %t, doubtful %t", tt.mean, tt.corrected, v.Met, v.Doubtful)
		}
	}
}

// Only the limits of the test that was ridden are told: on low grip those for
// low grip, and the one for high speeds only from there.
func TestLimitsOfTheTest(t *testing.T) {
	for _, tt := range []struct {
		as   Ridden
		want string
	}{
		{Ridden{"all", 0.9}, "all brakes; antilock, high grip"}, {Ridden{"all", 0.7}, "all brakes"}, {Ridden{"all", 0.3}, "all brakes; antilock, low grip"},
		{Ridden{"rear", 0.3}, "rear brake alone, laden"}, {Ridden{"combined", 0.9}, "combined brakes, one control"},
	} {
		var names []string
		for _, v := range Verdicts(stop(6, 30, true), tt.as) {
			names = append(names, v.Name)
		}
		if got := strings.Join(names, "; "); got != tt.want {
			t.Errorf("%+v: %s, want %s", tt.as, got, tt.want)
		}
	}
	fast := stop(6, 30, true)
	fast.Nominal = 100 / 3.6
	if n := len(Verdicts(fast, Ridden{"all", 0.9})); n != 3 {
		t.Errorf("%d limits from 100 km/h, want 3", n)
	}
}

// endless is a log that never ends, as a device may be.
type endless struct{ read int }

func (e *endless) Read(b []byte) (int, error) {
	clear(b)
	e.read += len(b)
	return len(b), nil
}

func TestBound(t *testing.T) {
	var e endless
	_, err := Read("device", &e, Options{})
	if err == nil || err.Error() != "device: this log is longer than 20 MB" || e.read > 1<<26 {
		t.Errorf("%v after %d bytes", err, e.read)
	}
	_, err = Read("wide.csv", strings.NewReader(strings.Repeat("1,", 9_000_000)), Options{})
	if err == nil || err.Error() != "wide.csv:1:1: the row has more than 200 values" {
		t.Error(err)
	}
}

// FuzzGPX asks of any XML: no panic, and faults within the file.
func FuzzGPX(f *testing.F) {
	f.Add(string(track(20, 8, true))[:2000])
	f.Add("<gpx><trkpt lat='1' lon='2'><time>2026-05-01T10:00:00Z</time><speed>3</speed></trkpt></gpx>")
	f.Add("<gpx><trkpt lat='1'><a><b/></a></trkpt>\n<trkpt")
	f.Fuzz(func(t *testing.T, text string) {
		_, err := Read("x.gpx", strings.NewReader("<"+text), Options{Test: trace.Test{Nominal: 14}})
		var list fault.List
		if err != nil && !errors.As(err, &list) {
			t.Fatalf("%T", err)
		}
		for _, e := range list {
			if e.Text == "" || e.Line > strings.Count(text, "\n")+1 {
				t.Fatalf("fault %+v", e)
			}
		}
	})
}
