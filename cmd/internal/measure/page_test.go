package measure

import (
	"encoding/json"
	"math"
	"os"
	"strings"
	"testing"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/quantity"
)

// logs are the demo logs of the repository; what they were made from is written beside them.
func logs(t *testing.T) []Report {
	var list []Report
	for _, name := range []string{"maren-1.csv", "maren-2.csv", "bento-1.csv", "bento-2.csv"} {
		data, err := os.ReadFile("../../../testdata/stops/" + name)
		if err != nil {
			t.Fatal(err)
		}
		r, err := File(name, data, Options{Nominal: 60 / 3.6})
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, r)
	}
	return list
}

func TestPage(t *testing.T) {
	p := Page{Reports: logs(t), Grip: 0.9, Reader: &quantity.Reader{}, Draw: func(s *figure.Scene) string { return s.SVG() }}
	var b strings.Builder
	if err := p.Write(&b); err != nil {
		t.Fatal(err)
	}
	page := strings.ReplaceAll(b.String(), "\u00a0", " ")
	for _, want := range []string{"maren-2.csv", "mean fully developed deceleration", "8.13 ± ", "corrected to 60.0 km/h", "front brake alone, laden", ": met", ": not met",
		"Braking starts in row", "<h2>Riders and runs</h2>", ">bento<th scope=\"row\">1<td>", "standard deviation", "not a promise", "95 of 100"} {
		if !strings.Contains(page, want) {
			t.Errorf("%q is missing", want)
		}
	}
	if n := strings.Count(page, "<svg"); n != 4 {
		t.Errorf("%d figures for 4 stops", n)
	}
}

// The demo logs were made with 8.1, 7.9, 6.2 and 5.4 m/s².
func TestJSON(t *testing.T) {
	var b strings.Builder
	if err := WriteJSON(&b, logs(t), 0.9); err != nil {
		t.Fatal(err)
	}
	var list []struct {
		Rider  string
		Mean   struct{ Value, Uncertainty float64 } `json:"mean_deceleration"`
		Valid  bool
		Limits []struct{ Name string }
	}
	if err := json.Unmarshal([]byte(b.String()), &list); err != nil {
		t.Fatal(err)
	}
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
