package measure

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"example.org/gripleaf/calculators/measured/trace"
	"example.org/gripleaf/calculators/quantity"
)

// A Rider is what somebody's runs come to together.
type Rider struct {
	Name      string
	Runs      []Run
	Mean      Spread // of the mean fully developed deceleration, m/s²
	Peak      Spread // m/s²
	Whole     Spread // stopping distance as ridden, m
	Corrected Spread // of the runs whose correction is valid, m
	Best      int    // the run with the greatest mean deceleration; -1 without runs
}

// A Run is one stop of a rider.
type Run struct {
	File, Name string
	Number     int // of the stop in its file, from 1
	Stop       trace.Stop
}

// A Spread says how far figures lie apart.
type Spread struct {
	Count     int     `json:"count"`
	Mean      float64 `json:"mean"`
	Deviation float64 `json:"deviation"` // standard deviation of one run; 0 if there is but one
	Least     float64 `json:"least"`
	Most      float64 `json:"most"`
}

// Riders gathers the stops of all reports by rider, in the order of their
// names, and the runs in the order of the reports.
func Riders(reports []Report) []Rider {
	var riders []Rider
	for _, r := range reports {
		i := slices.IndexFunc(riders, func(x Rider) bool { return strings.EqualFold(x.Name, r.Rider) })
		if i < 0 {
			i = len(riders)
			riders = append(riders, Rider{Name: r.Rider})
		}
		for n, s := range r.Stops {
			riders[i].Runs = append(riders[i].Runs, Run{r.File, r.Run, n + 1, s})
		}
	}
	for i := range riders {
		riders[i].sum()
	}
	slices.SortStableFunc(riders, func(a, b Rider) int { return strings.Compare(strings.ToLower(a.Name), strings.ToLower(b.Name)) })
	return riders
}

func (r *Rider) sum() {
	var mean, peak, whole, corrected []float64
	r.Best = -1
	for i, run := range r.Runs {
		if r.Best < 0 || run.Stop.Mean.Value > r.Runs[r.Best].Stop.Mean.Value {
			r.Best = i
		}
		mean = append(mean, run.Stop.Mean.Value)
		peak = append(peak, run.Stop.Peak.Value)
		whole = append(whole, run.Stop.Whole.Value)
		if run.Stop.Valid {
			corrected = append(corrected, run.Stop.Corrected.Value)
		}
	}
	r.Mean, r.Peak, r.Whole, r.Corrected = spread(mean), spread(peak), spread(whole), spread(corrected)
}

func spread(list []float64) Spread {
	if len(list) == 0 {
		return Spread{}
	}
	s := Spread{Count: len(list), Least: slices.Min(list), Most: slices.Max(list)}
	for _, x := range list {
		s.Mean += x / float64(len(list))
	}
	if len(list) > 1 {
		sum := 0.0
		for _, x := range list {
			sum += (x - s.Mean) * (x - s.Mean)
		}
		s.Deviation = math.Sqrt(sum / float64(len(list)-1))
	}
	return s
}

// Table is all riders with their runs and what those come to together, as text: a row of headings, then each rider's
// name before the first of the rider's rows.
func Table(riders []Rider, r *quantity.Reader) [][]string {
	table := [][]string{{"rider", "run",
		"mean deceleration, " + r.UnitName(slowingShown), "greatest, " + r.UnitName(slowingShown),
		"stopping distance, " + r.UnitName(distanceShown), "corrected, " + r.UnitName(distanceShown)}}
	for i := range riders {
		table = append(table, riders[i].rows(r)...)
	}
	return table
}

func (r *Rider) rows(reader *quantity.Reader) [][]string {
	var rows [][]string
	for i, run := range r.Runs {
		s := &run.Stop
		label := run.label(r.Runs)
		if i == r.Best && len(r.Runs) > 1 {
			label = strings.TrimPrefix(label+", best", ", ")
		}
		row := []string{"", label, plusMinus(reader, s.Mean, slowingShown), plusMinus(reader, s.Peak, slowingShown),
			plusMinus(reader, s.Whole, distanceShown), "–"}
		if s.Valid {
			row[5] = plusMinus(reader, s.Corrected, distanceShown)
		}
		rows = append(rows, row)
	}
	if len(r.Runs) > 1 {
		average, span, deviation := []string{"", "mean"}, []string{"", "from, to"}, []string{"", "standard deviation"}
		for i, s := range []Spread{r.Mean, r.Peak, r.Whole, r.Corrected} {
			a, b, c := s.words(reader, [...]quantity.Shown{slowingShown, slowingShown, distanceShown, distanceShown}[i])
			average, span, deviation = append(average, a), append(span, b), append(deviation, c)
		}
		rows = append(rows, average, span, deviation)
	}
	if len(rows) == 0 {
		rows = [][]string{{"", "no stop", "–", "–", "–", "–"}}
	}
	rows[0][0] = r.Name
	return rows
}

// label names a run, with the stop's number if its file holds several.
func (run *Run) label(all []Run) string {
	several := slices.ContainsFunc(all, func(x Run) bool { return x.File == run.File && x.Number != run.Number })
	switch number := "stop " + strconv.Itoa(run.Number); {
	case several && run.Name != "":
		return run.Name + ", " + number
	case several:
		return number
	}
	return run.Name
}

// words are the mean, the range and the standard deviation.
func (s Spread) words(r *quantity.Reader, shown quantity.Shown) (mean, span, deviation string) {
	if s.Count == 0 {
		return "–", "–", "–"
	}
	mean, span, deviation = r.Number(s.Mean, shown), r.Number(s.Least, shown)+" to "+r.Number(s.Most, shown), "–"
	if s.Count > 1 {
		deviation = r.Number(s.Deviation, shown)
	}
	return mean, span, deviation
}
