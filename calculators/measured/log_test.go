package measured_test

import (
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/measured"
	"example.org/gripleaf/calculators/quantity"
)

var logs = kit.Set{measured.Logged()}

// logged works a query out with a log.
func logged(t *testing.T, query, log string) (*kit.Work, error) {
	t.Helper()
	q, faults := kit.Parse(query)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	w, err := logs.Prepare(q)
	if err != nil {
		t.Fatal(err)
	}
	w.Attachment = log
	return w, w.Run()
}

func read(t *testing.T, name string) string {
	t.Helper()
	text, err := os.ReadFile("../../testdata/stops/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// The logs are invented; testdata/stops/README.md says what the rides behind them came to.
func TestLogs(t *testing.T) {
	for name, want := range map[string]struct{ speed, mean, way, time float64 }{
		"maya-1.csv":  {60.8, 7.100, 22.914, 2.548},
		"maya-2.csv":  {61.9, 7.601, 21.778, 2.399},
		"jonas-1.csv": {58.7, 6.200, 25.275, 2.868},
		"rosa-1.csv":  {62.3, 6.900, 24.371, 2.663},
	} {
		w, err := logged(t, "test", read(t, name))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if got := w.Number("speed") * 3.6; math.Abs(got-60) > 1e-9 {
			t.Errorf("%s: a stop from about 60 km/h is set against %v km/h", name, got)
		}
		if got := w.Number("start-speed") * 3.6; math.Abs(got-want.speed) > 0.5 {
			t.Errorf("%s: from %v km/h, want %v", name, got, want.speed)
		}
		for output, value := range map[string]float64{"mfdd": want.mean, "braking-time": want.time} {
			i, _ := w.Calculator.Output(output)
			if doubt := w.Doubts[i]; doubt <= 0 || math.Abs(w.Outputs[i]-value) > 1.5*doubt { // three standard deviations: in one of twenty logs it is more than two
				t.Errorf("%s: %s is %v ± %v, want %v", name, output, w.Outputs[i], doubt, value)
			}
		}
		reader := &quantity.Reader{}
		if text := w.Tell("mfdd", reader); !strings.Contains(text, "\u00a0±\u00a0") || !strings.HasSuffix(text, "\u00a0m/s²") {
			t.Errorf("%s: the uncertainty is not told: %s", name, text)
		}
		// The link of the answer holds what was measured, and works without the log.
		again, err := set.Work(w.Canonical() + "&speed=60km/h")
		if err != nil {
			t.Errorf("%s: %s: %v", name, w.Canonical(), err)
		} else if a, b := again.Output("mean-deceleration"), w.Output("mean-deceleration"); math.Abs(a-b) > 1e-4 {
			t.Errorf("%s: the link gives %v, the log %v", name, a, b)
		}
	}
}

// What is odd in a log stands in a table with its row; numbers are written as the reader writes them.
func TestNotesOfLog(t *testing.T) {
	w, err := logged(t, "test", read(t, "rosa-1.csv"))
	if err != nil {
		t.Fatal(err)
	}
	r := kit.ParseReader("decimal=,\n\nthere is nothing for {} s before this row; the usual step is {} s\t{} s lang nichts, sonst alle {} s\n")
	notes := w.Series[0]
	var got []string
	for row := range notes.Rows() {
		got = append(got, notes.Columns[0].Printed(&r)[row]+": "+notes.Columns[1].Printed(&r)[row])
	}
	want := []string{
		"22: the row has no speed and is left out",
		"33: the row repeats row 32 and is left out",
		"65: 0,25 s lang nichts, sonst alle 0,05 s",
		"71: the speed is far off its neighbours (118,4 km/h); the row is left out",
		"117: the time runs backwards, by 5,85 s; what follows is taken as another log",
	}
	if !slices.Equal(got, want) {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

func TestLogRefused(t *testing.T) {
	stop := read(t, "maya-1.csv")
	for name, tt := range map[string]struct{ query, log, text, input string }{
		"no numbers":      {"test", "hello", "the file has no row of numbers", ""},
		"no unit":         {"test", strings.Replace(stop, "speed (km/h)", "speed", 1), "row 2: the column of the speed has no unit", "log-speed"},
		"no such stop":    {"test?stop=2", stop, "stop: the log has no stop 2", "stop"},
		"many bad values": {"test", "time (s),speed (km/h)\n0,1\n" + strings.Repeat("1,x\n", 30), "and 22 more", ""},
	} {
		_, err := logged(t, tt.query, tt.log)
		faults, ok := err.(kit.Faults)
		if !ok || !slices.ContainsFunc(faults, func(f kit.Fault) bool { return f.Text == tt.text && f.Input == tt.input }) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := set.Work("test"); err != nil {
		t.Error(err)
	}
}

// A stop too far off the nominal speed has its mean, but no place among the limits.
func TestLogOffNominal(t *testing.T) {
	w, err := logged(t, "test?speed=100km/h", read(t, "maya-1.csv"))
	if err != nil {
		t.Fatal(err)
	}
	for i, out := range w.Calculator.Outputs {
		if want := out.Name == "corrected-distance" || out.Name == "met"; w.Moot[i] != want {
			t.Errorf("%s: moot %t", out.Name, w.Moot[i])
		}
	}
	if page := string(kit.AppendAnswer(nil, w.Answer(&quantity.Reader{}, nil))); !strings.Contains(page, "too far off the nominal speed") {
		t.Error("the figure of the limits does not say why it shows no stop")
	}
}

// A long list of notes is cut, and says by how much.
func TestManyNotes(t *testing.T) {
	var b strings.Builder
	b.WriteString(read(t, "maya-1.csv"))
	for i := range 100 {
		b.WriteString("9.00," + strconv.Itoa(i) + ",0\n")
	}
	w, err := logged(t, "test", b.String())
	if err != nil {
		t.Fatal(err)
	}
	notes := w.Series[0]
	last := notes.Columns[1].Printed(&quantity.Reader{})[notes.Rows()-1]
	if notes.Rows() != 41 || !strings.HasPrefix(last, "from here on ") {
		t.Errorf("%d notes, the last: %s", notes.Rows(), last)
	}
}

// A log without units can be given them, and a slope is taken off: 9.80665·0.02/√(1 + 0.02²) = 0.196 m/s².
func TestWhatALogDoesNotSay(t *testing.T) {
	full := read(t, "maya-1.csv")
	said, err := logged(t, "test?slope=2%", full)
	if err != nil {
		t.Fatal(err)
	}
	bare := strings.Replace(strings.Replace(full, "speed (km/h)", "speed", 1), "time (s)", "time", 1)
	w, err := logged(t, "test?log-speed=kmh&log-time=s", bare)
	if err != nil || math.Abs(w.Output("mfdd")-said.Output("mfdd")-0.196) > 0.02 {
		t.Errorf("%v, %v", err, w.Output("mfdd"))
	}
}
