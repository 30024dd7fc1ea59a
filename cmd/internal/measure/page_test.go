package measure

import (
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/measured/trace"
	"example.org/gripleaf/calculators/quantity"
)

// logs are the demo logs of the repository; what they were made from is written beside them.
func logs(t *testing.T) []Report {
	var list []Report
	for _, name := range []string{"maren-1.csv", "maren-2.csv", "bento-1.csv", "bento-2.csv"} {
		file, err := os.Open("../../../testdata/stops/" + name)
		if err != nil {
			t.Fatal(err)
		}
		defer file.Close()
		r, err := Read(name, file, Options{Test: trace.Test{Nominal: 60 / 3.6}})
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, r)
	}
	return list
}

func TestPage(t *testing.T) {
	p := Page{Reports: logs(t), Ridden: Ridden{"front", 0.9}, Reader: &quantity.Reader{}, Draw: func(s *figure.Scene) string { return s.SVG() }}
	var b strings.Builder
	if err := p.Write(&b); err != nil {
		t.Fatal(err)
	}
	page := strings.ReplaceAll(b.String(), "\u00a0", " ")
	for _, want := range []string{"maren-2.csv", "mean fully developed deceleration", "8.1", "corrected to 60.0 km/h", "front brake alone, laden", ": met",
		"Braking starts in row", "<h2>Riders and runs</h2>", ">bento<th scope=\"row\">1, best<td>", "standard deviation", "not a promise", "95 of 100"} {
		if !strings.Contains(page, want) {
			t.Errorf("%q is missing", want)
		}
	}
	if n := strings.Count(page, "<svg"); n != 5 {
		t.Errorf("%d figures for 4 stops and the chart", n)
	}
}

// The demo logs were made with 8.1, 7.9, 6.2 and 5.4 m/s².
func TestJSON(t *testing.T) {
	var b strings.Builder
	if err := WriteJSON(&b, logs(t), Ridden{"front", 0.9}); err != nil {
		t.Fatal(err)
	}
	var all struct {
		Stops []struct {
			Rider  string
			Mean   struct{ Value, Uncertainty float64 } `json:"mean_deceleration"`
			Valid  bool
			Limits []struct{ Name string }
		}
		Riders []struct {
			Rider string
			Best  struct{ File string }
			Mean  struct{ Count int } `json:"mean_deceleration"`
		}
	}
	if err := json.Unmarshal([]byte(b.String()), &all); err != nil {
		t.Fatal(err)
	}
	if r := all.Riders; len(r) != 2 || r[0].Rider != "bento" || r[0].Best.File != "bento-1.csv" || r[1].Mean.Count != 2 {
		t.Errorf("riders %+v", r)
	}
	list := all.Stops
	for i, want := range []float64{8.1, 7.9, 6.2, 5.4} {
		if got := list[i]; math.Abs(got.Mean.Value-want) > got.Mean.Uncertainty+0.03 || !got.Valid || len(got.Limits) == 0 {
			t.Errorf("%+v, made with %v m/s²", got, want)
		}
	}
}

func TestFigureShowsWhereTheMeanIsTaken(t *testing.T) {
	s := logs(t)[0].Stops[0]
	from, to := crossing(&s.Curve, 0.8*s.Speed.Value), crossing(&s.Curve, 0.1*s.Speed.Value)
	// At 8.1 m/s² from 61 km/h, 70 % of the speed is lost in 1.46 s; the squeeze delays the first crossing.
	if got, want := to-from, 0.7*61/3.6/8.1; math.Abs(got-want) > 0.06 {
		t.Errorf("from %v to %v s, want %v s", from, to, want)
	}
	scene := Figure(&s, figure.Style{})
	if !strings.Contains(scene.Alt, "61.0") || len(scene.Marks) < 10 {
		t.Errorf("the figure says %q with %d marks", scene.Alt, len(scene.Marks))
	}
}

// A class of twenty: the table comes first, each rider has a page, and the names fit below the charts.
func TestClass(t *testing.T) {
	var reports []Report
	for i := range 20 {
		name := "rider" + string(rune('a'+i))
		for run := range 3 {
			reports = append(reports, Report{File: name, Rider: name, Run: strconv.Itoa(run + 1), Stops: []trace.Stop{stop(6+float64((i+run)%5)/2, 30, true)}})
		}
	}
	riders := Riders(reports)
	if n := len(Charts(riders, figure.Style{Width: 620, Height: 300})); n != 3 {
		t.Errorf("%d charts of 20 riders, want 3", n)
	}
	var b strings.Builder
	if err := WriteTable(&b, riders, &quantity.Reader{}); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(strings.NewReader(b.String())).ReadAll()
	if err != nil || len(rows) != 61 || rows[0][7] != "mean deceleration (m/s²)" || rows[1][7] != "6.00" || rows[3][4] != "best" {
		t.Errorf("%v, %d rows: %v", err, len(rows), rows[:4])
	}
}
