package measure

import (
	"math"
	"slices"
	"strings"

	"example.org/gripleaf/calculators/trace"
)

// A Rider is what somebody's runs come to together.
type Rider struct {
	Name      string
	Runs      []Run
	Mean      Spread // of the mean fully developed deceleration, m/s²
	Peak      Spread // m/s²
	Whole     Spread // stopping distance as ridden, m
	Corrected Spread // of the runs whose correction is valid, m
}

// A Run is one stop of a rider.
type Run struct {
	File, Name string
	Number     int // of the stop in its file, from 1
	Stop       trace.Stop
}

// A Spread says how far figures lie apart.
type Spread struct {
	Count       int
	Mean        float64
	Deviation   float64 // standard deviation of one run; 0 if there is but one
	Least, Most float64
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
	for _, run := range r.Runs {
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
