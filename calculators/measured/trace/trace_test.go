package trace

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// near reports whether two figures agree to a relative 1e-12.
func near(a, b float64) bool {
	return a == b || math.IsNaN(a) && math.IsNaN(b) || math.Abs(a-b) <= 1e-12*max(math.Abs(a), math.Abs(b))
}

func TestRead(t *testing.T) {
	nan := math.NaN()
	tests := []struct {
		name, text  string
		columns     Columns
		time, speed []float64
		distance    []float64
		rows        []int
	}{
		{name: "comma", text: "time (s),speed (km/h)\n0,36\n0.5,18\n",
			time: []float64{0, 0.5}, speed: []float64{10, 5}, rows: []int{2, 3}},
		{name: "semicolon, decimal comma, other order", text: "Geschwindigkeit [km/h];Zeit [s]\r\n36,0;0,0\r\n18,0;0,5\r\n",
			time: []float64{0, 0.5}, speed: []float64{10, 5}, rows: []int{2, 3}},
		{name: "tab, units in a row of their own", text: "t\tv\ta\ns\tm/s\tm/s2\n0\t10\t0\n0.5\t5\t1\n",
			time: []float64{0, 0.5}, speed: []float64{10, 5}, rows: []int{3, 4}},
		{name: "titles and remarks above, a mark before", text: "\ufeff# logged at Ferndale\nFerndale yard\n\ntime_ms,brake,speed_mph\n0,0,10\n500,1,5\n",
			time: []float64{0, 0.5}, speed: []float64{4.4704, 2.2352}, rows: []int{5, 6}},
		{name: "quotes", text: "\"time, of day\",\"speed, km/h\"\n\"14:03:09,5\",\"36,0\"\n\"14:03:10.0\",\"18\"\n",
			time: []float64{50589.5, 50590}, speed: []float64{10, 5}, rows: []int{2, 3}},
		{name: "ISO 8601", text: "timestamp,speed (m/s)\n2000-01-02T00:00:01Z,10\n2000-01-02T00:00:01.25+02:00,5\n",
			time: []float64{86401, 86401.25}, speed: []float64{10, 5}, rows: []int{2, 3}},
		{name: "quantity over unit", text: "t/s;s/m\n0;0\n1;10\n",
			time: []float64{0, 1}, distance: []float64{0, 10}, rows: []int{2, 3}},
		{name: "distance of both, when asked for", text: "time (s),speed (m/s),distance (m)\n0,10,0\n1,5,10\n", columns: Columns{Distance: Column{Name: "distance"}},
			time: []float64{0, 1}, distance: []float64{0, 10}, rows: []int{2, 3}},
		{name: "no header", text: "0,36\n0.5,18\n", columns: Columns{Time: Column{"1", "s"}, Speed: Column{"2", "km/h"}},
			time: []float64{0, 0.5}, speed: []float64{10, 5}, rows: []int{1, 2}},
		{name: "unit said", text: "time (s),speed\n0,36\n", columns: Columns{Speed: Column{Unit: "km/h"}},
			time: []float64{0}, speed: []float64{10}, rows: []int{2}},
		{name: "one of two speeds", text: "time (s),front speed (km/h),rear speed (km/h)\n0,36,3\n", columns: Columns{Speed: Column{Name: "front speed (km/h)"}},
			time: []float64{0}, speed: []float64{10}, rows: []int{2}},
		{name: "two wheels, one of which locks", text: "time (s),front wheel (km/h),rear wheel (km/h),speed front (km/h),speed rear (km/h)\n0,1,2,36,35\n0.5,1,2,0,18\n",
			time: []float64{0, 0.5}, speed: []float64{10, 5}, rows: []int{2, 3}},
		{name: "since 1970, in ms", text: "unix_ms,speed (m/s)\n1777629600000,10\n1777629600500,5\n", time: []float64{1777629600, 1777629600.5}, speed: []float64{10, 5}, rows: []int{2, 3}},
		{name: "since 1970, in a unit that tells itself", text: "epoch,speed (m/s)\n1777629600500000,10\n1777629601000000,5\n", time: []float64{1777629600.5, 1777629601}, speed: []float64{10, 5}, rows: []int{2, 3}},
		{name: "UTF-16, low byte first", text: "\xff\xfet\x00/\x00s\x00;\x00v\x00 \x00i\x00n\x00 \x00m\x00/\x00s\x00\n\x000\x00;\x001\x00\n\x00", time: []float64{0}, speed: []float64{1}, rows: []int{2}},
		{name: "UTF-16, high byte first", text: "\xfe\xff\x00t\x00/\x00s\x00;\x00v\x00 \x00i\x00n\x00 \x00m\x00/\x00s\x00\n\x000\x00;\x001\x00\n", time: []float64{0}, speed: []float64{1}, rows: []int{2}},
		{name: "one value in eleven is not a number", text: "time (s),speed (m/s)\n0,10\n1,oops\n2,8\n3,7\n4,6\n5,5\n6,4\n7,3\n8,2\n9,1\n10,0\n",
			time: []float64{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10}, speed: []float64{10, nan, 8, 7, 6, 5, 4, 3, 2, 1, 0}, rows: []int{2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12}},
		{name: "knots", text: "utc,speed (knots)\n00:00:01,10\n", time: []float64{1}, speed: []float64{18520.0 / 3600}, rows: []int{2}},
		{name: "left out", text: "time (s),speed (m/s)\n0,10\n1,\n2,NaN\n3\n", time: []float64{0, 1, 2, 3}, speed: []float64{10, nan, nan, nan}, rows: []int{2, 3, 4, 5}},
		{name: "exponents and signs", text: "time (s),speed (m/s)\n1e-1,+1.5E1\n-2,1\n", time: []float64{0.1, -2}, speed: []float64{15, 1}, rows: []int{2, 3}},
		{name: "places, a thousandth of a degree north and back", text: "time (s),latitude,lon (deg)\n0,45,7\n1,45.001,7\n2,,7\n3,45.0,7\n",
			time: []float64{0, 1, 2, 3}, distance: []float64{0, 111.1317871850151, nan, 222.2635743700302}, rows: []int{2, 3, 4, 5}},
		{name: "a value over two lines", text: "time (s),speed (m/s),remark\n0,10,\"wet\nroad\"\n1,5,\n", time: []float64{0, 1}, speed: []float64{10, 5}, rows: []int{2, 4}},
	}
	for _, tt := range tests {
		log, _, err := Read(tt.text, tt.columns)
		if err != nil {
			t.Errorf("%s: %v", tt.name, err)
			continue
		}
		if !slices.EqualFunc(log.Time, tt.time, near) || !slices.EqualFunc(log.Speed, tt.speed, near) ||
			!slices.EqualFunc(log.Distance, tt.distance, near) || !slices.Equal(log.Row, tt.rows) {
			t.Errorf("%s:\n got %+v\nwant %v %v %v %v", tt.name, log, tt.time, tt.speed, tt.distance, tt.rows)
		}
	}
}

// In each, the place of the first fault is in «».
func TestReadFaults(t *testing.T) {
	tests := []struct{ name, text, want string }{
		{"empty", "", "the file has no row of numbers"},
		{"prose", "a log, of\nnothing, at all\n", "the file has no row of numbers"},
		{"no unit", "time (s),«speed»\n0,36\n", "row 1: the column of the speed has no unit"},
		{"no such unit", "time (s),«speed (km)»\n0,36\n", "row 1: no column is the speed or the distance"},
		{"no time", "«gear,speed (km/h)»\n1,36\n", "row 1: no column is the time"},
		{"two speeds", "time (s),ground speed (km/h),«wheel speed (km/h)»\n0,36,36\n",
			`row 1: more than one column may be the speed: "ground speed (km/h)", "wheel speed (km/h)"`},
		{"a row without an end", "time (s),speed (m/s)\n0,10\n" + strings.Repeat("1,", 300) + "\n", "row 3: the row has more than 200 values"},
		{"no number", "time (s),speed (km/h)\n0,36\n1,«fast»\n2,x\n", `row 3: "fast" is not a number (and 1 more)`},
		{"thousands", "time (s);speed (km/h)\n0;36\n«1.234,5»;36\n", `row 3: "1.234,5" is not a number`},
		{"hexadecimal", "time (s),speed (km/h)\n0,36\n1,«0x10»\n", `row 3: "0x10" is not a number`},
		{"too fast", "time (s),speed (m/s)\n0,36\n1,«360»\n", `row 3: "360" is 1296 km/h, which no motorcycle rides`},
		{"no clock", "utc,speed (m/s)\n10:00:00,36\n«10:61:00»,36\n", `row 3: "10:61:00" is not a time of day`},
		{"open quotation", "time (s),speed (m/s)\n0,10\n1,«\"»10\n2,10\n", "row 3: this quotation mark is never closed"},
		{"not text", "time (s),speed (m/s)\n0,«\x00»\n", "row 2: this is not a text file"},
	}
	for _, tt := range tests {
		text := strings.NewReplacer("«", "", "»", "").Replace(tt.text)
		_, _, err := Read(text, Columns{})
		var list Errors
		if !errors.As(err, &list) {
			t.Errorf("%s: %v, want Errors", tt.name, err)
			continue
		}
		if err.Error() != tt.want {
			t.Errorf("%s:\n got %v\nwant %s", tt.name, err, tt.want)
		}
		if list[0].Hint == "" {
			t.Errorf("%s: no hint", tt.name)
		}
		if start, end, ok := cut(tt.text); ok && tt.name != "no such unit" && (list[0].Offset != start || list[0].Length != end-start) {
			t.Errorf("%s: at %d+%d, want %d+%d", tt.name, list[0].Offset, list[0].Length, start, end-start)
		}
	}
	if _, _, err := Read("a;b\n1;2\n", Columns{Time: Column{Name: "c"}}); err == nil || err.(Errors)[0].Hint != `the header has "a", "b"` {
		t.Errorf("a column that is not there: %v", err)
	}
}

func cut(marked string) (start, end int, ok bool) {
	start = strings.Index(marked, "«")
	end = strings.Index(marked, "»") - len("«")
	return start, end, start >= 0
}

// steady is a ride whose answers are textbook ones: from 20 m/s with 8 m/s², at once. Distance v²/(2a) = 25 m, time v/a
// = 2.5 s, mean deceleration 8 m/s². No hand is so quick: the start is found up to 0.05 s early.
var steady = ride{speed: 20, rise: 1e-9, slowing: 8, start: 3}

func TestSteady(t *testing.T) {
	for _, l := range []logger{{rate: 100}, {rate: 20}, {rate: 100, distance: true}} {
		stops, notes, err := Measure(l.log(steady, rand.New(rand.NewPCG(1, 1))), Test{Nominal: 20})
		if err != nil || len(stops) != 1 || len(notes) != 0 {
			t.Fatalf("%v: %d stops, %v, %v", l, len(stops), notes, err)
		}
		s := stops[0]
		for name, v := range map[string][3]float64{
			"start": {s.Start.Value, 3, 0.05}, "speed": {s.Speed.Value, 20, 0.02}, "time": {s.Time.Value, 2.5, 0.05},
			"distance": {s.Whole.Value, 25, 1}, "mean": {s.Mean.Value, 8, 0.03}, "peak": {s.Peak.Value, 8, 0.03},
			// 80 % of the speed is left after (1 - 0.64) of the way, 10 % after (1 - 0.01).
			"at 80 %": {s.At80, 9, 1}, "at 10 %": {s.At10, 24.75, 1},
			// The regulation's mean from its own marks, in km/h: (57.6² - 7.2²)/(25.92·15.75) = 8.
			"regulation": {(57.6*57.6 - 7.2*7.2) / (25.92 * (s.At10 - s.At80)), 8, 0.03},
			"corrected":  {s.Corrected.Value, 25, 1},
		} {
			if math.Abs(v[0]-v[1]) > v[2] {
				t.Errorf("%v Hz: %s is %.4f, want %.4f ± %.2f", l.rate, name, v[0], v[1], v[2])
			}
		}
		if !s.Valid {
			t.Error("a stop from the nominal speed is not valid")
		}
	}
}

// The corrected distance by the regulation's formula (UN R78-03 annex 3, GTR 3, from memory), worked by hand: V_s 60,
// V_a 62 km/h, S_a 24 m: 6 + (24 - 6.2)·3600/3844 = 22.670 m. It holds within 5 km/h.
func TestCorrected(t *testing.T) {
	s := Stop{Speed: Value{62 / 3.6, 0}, Whole: Value{24, 0.5}}
	s.Correct(60 / 3.6)
	if math.Abs(s.Corrected.Value-22.670) > 0.0005 || !s.Valid {
		t.Errorf("corrected %.4f, valid %t; want 22.670, true", s.Corrected.Value, s.Valid)
	}
	if want := 0.5 * 3600 / 3844; math.Abs(s.Corrected.Uncertainty-want) > 1e-9 {
		t.Errorf("uncertainty %.4f, want %.4f", s.Corrected.Uncertainty, want)
	}
	for off, want := range map[float64]bool{4.9: true, -4.9: true, 5.1: false, -5.1: false} {
		s := Stop{Speed: Value{(60 + off) / 3.6, 0}, Whole: Value{24, 0}}
		if s.Correct(60 / 3.6); s.Valid != want {
			t.Errorf("%v km/h off: valid %t", off, s.Valid)
		}
	}
}

// Twice the speed, four times the way; the same log in other units gives the same.
func TestScales(t *testing.T) {
	fast := steady
	fast.speed = 40
	a, _, _ := Measure(logger{rate: 50}.log(steady, rand.New(rand.NewPCG(1, 1))), Test{})
	b, _, _ := Measure(logger{rate: 50}.log(fast, rand.New(rand.NewPCG(1, 1))), Test{})
	if r := b[0].Whole.Value / a[0].Whole.Value; math.Abs(r-4) > 0.04 {
		t.Errorf("twice the speed takes %.3f times the way, want 4", r)
	}
	if a[0].Corrected != (Value{}) || a[0].Valid {
		t.Error("corrected without a nominal speed")
	}
}

func TestOdd(t *testing.T) {
	clean := logger{rate: 20}.log(steady, rand.New(rand.NewPCG(1, 1)))
	at := func(time float64) int { return int(time * 20) }
	tests := []struct {
		name  string
		spoil func(l *Log)
		kind  Kind
		row   int
		text  string
	}{
		{"gap", func(l *Log) { l.drop(at(4), at(4.3)) }, Gap, 2 + at(4.3), "there is nothing for 0.35 s before this row; the usual step is 0.05 s"},
		{"same row twice", func(l *Log) { l.Time[at(1)], l.Speed[at(1)] = l.Time[at(1)-1], l.Speed[at(1)-1] }, Doubled, 2 + at(1), "the row repeats row 21 and is left out"},
		{"same time twice", func(l *Log) { l.Time[at(4)] = l.Time[at(4)-1] }, Doubled, 2 + at(4), "the time is that of row 81, with another value; the row is left out"},
		{"spike", func(l *Log) { l.Speed[at(4)] += 9 }, Spike, 2 + at(4), "the speed is far off its neighbours (75.6 km/h); the row is left out"},
		{"dropout", func(l *Log) { l.Speed[at(2)] = 0 }, Spike, 2 + at(2), "the speed is far off its neighbours (0 km/h); the row is left out"},
		{"one row steps back", func(l *Log) { l.Time[at(4)] -= 2 }, Doubled, 2 + at(4), "the row steps back and is left out; the next one goes on"},
		{"clock set back after the stop", func(l *Log) { l.Time[len(l.Time)-1] = 0 }, Reset, 1 + len(clean.Time), "the time runs backwards, by 6.4 s; what follows is taken as another log"},
	}
	for _, tt := range tests {
		l := Log{Time: slices.Clone(clean.Time), Speed: slices.Clone(clean.Speed), Row: slices.Clone(clean.Row)}
		tt.spoil(&l)
		stops, notes, err := Measure(l, Test{})
		if err != nil || len(stops) != 1 {
			t.Errorf("%s: %d stops, %v", tt.name, len(stops), err)
			continue
		}
		i := slices.IndexFunc(notes, func(n Note) bool { return n.Kind == tt.kind })
		if i < 0 || notes[i].Text() != tt.text || notes[i].Row != tt.row {
			t.Errorf("%s: %v\nwant row %d: %s", tt.name, notes, tt.row, tt.text)
		}
		if s := stops[0]; math.Abs(s.Mean.Value-8) > max(0.1, s.Mean.Uncertainty) || math.Abs(s.Whole.Value-25) > max(0.5, s.Whole.Uncertainty) {
			t.Errorf("%s: mean %+v, distance %+v", tt.name, s.Mean, s.Whole)
		}
		inside := l.Row[0] <= tt.row && tt.row >= stops[0].Row && tt.kind != Reset
		if has := slices.ContainsFunc(stops[0].Notes, func(n Note) bool { return n.Kind == tt.kind }); has != inside {
			t.Errorf("%s: told with the stop: %t, want %t", tt.name, has, inside)
		}
	}
}

func (l *Log) drop(from, to int) {
	l.Time, l.Speed, l.Row = slices.Delete(l.Time, from, to), slices.Delete(l.Speed, from, to), slices.Delete(l.Row, from, to)
}

func TestNoStop(t *testing.T) {
	long := logger{rate: 20}.log(steady, rand.New(rand.NewPCG(1, 1)))
	part := func(from, to float64) Log {
		a, b := int(from*20), int(to*20)
		return Log{Time: long.Time[a:b], Speed: long.Speed[a:b], Row: long.Row[a:b]}
	}
	for name, tt := range map[string]struct {
		log  Log
		want string
	}{
		"empty":      {Log{}, "there is no stop in the log: its speed never falls from over 15 km/h to standstill"},
		"cut short":  {part(0, 4.5), "there is no stop in the log: its speed never falls from over 15 km/h to standstill"},
		"begun late": {part(3.5, 6), "row 72: the log begins when the brake is already on"},
	} {
		_, _, err := Measure(tt.log, Test{})
		if err == nil || err.Error() != tt.want {
			t.Errorf("%s: %v, want %s", name, err, tt.want)
		}
	}
}

// From one value a second little can be said, and that is said.
func TestCoarse(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 1))
	for range 5 {
		stops, _, err := Measure(logger{rate: 1, noise: 0.1}.log(steady, rnd), Test{})
		if err != nil || len(stops) != 1 {
			t.Fatal(len(stops), err)
		}
		s := stops[0]
		if math.Abs(s.Mean.Value-8) > s.Mean.Uncertainty || math.Abs(s.Whole.Value-25) > s.Whole.Uncertainty || s.Whole.Uncertainty < 2 {
			t.Errorf("mean %+v, distance %+v", s.Mean, s.Whole)
		}
		if !slices.ContainsFunc(s.Notes, func(n Note) bool { return n.Kind == Coarse }) {
			t.Errorf("notes %v", s.Notes)
		}
	}
}

// Two stops in one log are two stops, and a pause in braking ends one.
func TestSeveral(t *testing.T) {
	a := logger{rate: 20}.log(steady, rand.New(rand.NewPCG(1, 1)))
	n := len(a.Time)
	both := Log{Time: slices.Clone(a.Time), Speed: append(slices.Clone(a.Speed), a.Speed...)}
	for i := range n {
		both.Time = append(both.Time, a.Time[n-1]+a.Time[i]+5)
	}
	for i := range both.Time {
		both.Row = append(both.Row, i+2)
	}
	stops, notes, err := Measure(both, Test{})
	if err != nil || len(stops) != 2 || math.Abs(stops[0].Whole.Value-stops[1].Whole.Value) > 0.05 {
		t.Fatalf("%d stops, %v", len(stops), err)
	}
	if len(notes) != 1 || notes[0].Kind != Gap || len(stops[0].Notes)+len(stops[1].Notes) != 0 {
		t.Errorf("notes %v: want the gap between the stops, and in none of them", notes)
	}
}

// csv writes a log as a file.
func csv(l Log) string {
	var b strings.Builder
	b.WriteString("time (s),speed (m/s)\n")
	for i := range l.Time {
		b.WriteString(strconv.FormatFloat(l.Time[i], 'f', 3, 64) + "," + strconv.FormatFloat(l.Speed[i], 'f', 2, 64) + "\n")
	}
	return b.String()
}

// FuzzRead asks of any text: no panic; faults within it; figures that are numbers.
func FuzzRead(f *testing.F) {
	f.Add(csv(logger{rate: 10}.log(steady, rand.New(rand.NewPCG(1, 1)))))
	for _, s := range []string{"t;v\ns;km/h\n0;50,1\n0,1;49\n", "\"a\"\"\",b\n1,2\n", "t/s\tx/m\n1:02\t3\n", "# x\n\ntime (s),speed (m/s)\n0,10\n0,10\n-1,5\n9,0\n"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		log, notes, err := Read(text, Columns{})
		if err != nil {
			for _, e := range err.(Errors) {
				if e.Offset < 0 || e.Length < 0 || e.Offset+e.Length > len(text) || e.Row > strings.Count(text, "\n")+1 || e.Hint == "" {
					t.Fatalf("fault outside of the file: %+v", e)
				}
			}
			return
		}
		for _, n := range notes {
			if n.Row < 1 || n.Text() == "" {
				t.Fatalf("note %+v", n)
			}
		}
		stops, _, _ := Measure(log, Test{Nominal: 50 / 3.6})
		for _, s := range stops {
			for _, v := range []Value{s.Start, s.Speed, s.Time, s.Mean, s.Peak, s.Whole, s.Corrected} {
				if math.IsNaN(v.Value) || math.IsInf(v.Value, 0) || !(v.Uncertainty >= 0) || math.IsInf(v.Uncertainty, 0) {
					t.Fatalf("%+v of %q", s, text)
				}
			}
		}
	})
}

func BenchmarkMeasure(b *testing.B) {
	log := logger{rate: 100, noise: 0.05}.log(steady, rand.New(rand.NewPCG(1, 1)))
	for b.Loop() {
		if _, _, err := Measure(log, Test{Nominal: 20}); err != nil {
			b.Fatal(err)
		}
	}
}

// What is written to one decimal of a km/h can be told apart by 0.1 km/h.
func TestGrid(t *testing.T) {
	for text, want := range map[string]float64{
		"time (s),speed (km/h)\n0.25,50\n1,36.1\n": 0.1 / 3.6, "t/s;s/m\n0;1,25\n1;2\n": 0.01, "t/s;s/m\n0,1;1\n1;2\n": 1,
	} {
		if log, _, err := Read(text, Columns{}); err != nil || !near(log.Grid, want) {
			t.Errorf("%q: grid %v, want %v, %v", text, log.Grid, want, err)
		}
	}
}
