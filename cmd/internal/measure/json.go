package measure

import (
	"encoding/json"
	"io"

	"example.org/gripleaf/calculators/measured/trace"
)

// WriteJSON writes all stops for machines, in SI units: {"stops":[…],"riders":[…]}, where a stop is
//
//	{"file","rider","run","stop","row","track","start","speed","mean_deceleration","peak_deceleration","braking_time",
//	 "stopping_distance","nominal","corrected_distance","valid","samples","noise","step",
//	 "limits":[{"name","most_distance","least_deceleration","met","doubtful"}],
//	 "notes":[{"row","kind","text"}]}
//
// and a rider
//
//	{"rider","runs","best":{"file","stop"},"mean_deceleration","peak_deceleration","stopping_distance","corrected_distance"}
//
// with {"count","mean","deviation","least","most"} of each. Of a stop a figure is {"value","uncertainty"}. Of a track a row is the number of a point. The notes are those of the stop,
// then those of its log that are about no stop. The corrected distance is there if a nominal
// speed was asked for.
func WriteJSON(w io.Writer, reports []Report, as Ridden) error {
	all := struct {
		Stops  []stopJSON  `json:"stops"`
		Riders []riderJSON `json:"riders"`
	}{[]stopJSON{}, []riderJSON{}}
	for _, r := range reports {
		for i := range r.Stops {
			all.Stops = append(all.Stops, newStopJSON(&r, i, as))
		}
	}
	for _, r := range Riders(reports) {
		all.Riders = append(all.Riders, newRiderJSON(&r))
	}
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	return e.Encode(all)
}

type riderJSON struct {
	Rider     string      `json:"rider"`
	Runs      int         `json:"runs"`
	Best      *bestJSON   `json:"best,omitempty"`
	Mean      *spreadJSON `json:"mean_deceleration,omitempty"`
	Peak      *spreadJSON `json:"peak_deceleration,omitempty"`
	Whole     *spreadJSON `json:"stopping_distance,omitempty"`
	Corrected *spreadJSON `json:"corrected_distance,omitempty"`
}

type bestJSON struct {
	File string `json:"file"`
	Stop int    `json:"stop"`
}

type spreadJSON struct {
	Count     int     `json:"count"`
	Mean      float64 `json:"mean"`
	Deviation float64 `json:"deviation"`
	Least     float64 `json:"least"`
	Most      float64 `json:"most"`
}

func newRiderJSON(r *Rider) riderJSON {
	of := func(s Spread) *spreadJSON {
		if s.Count == 0 {
			return nil
		}
		j := spreadJSON(s)
		return &j
	}
	j := riderJSON{Rider: r.Name, Runs: len(r.Runs), Mean: of(r.Mean), Peak: of(r.Peak), Whole: of(r.Whole), Corrected: of(r.Corrected)}
	if r.Best >= 0 {
		j.Best = &bestJSON{r.Runs[r.Best].File, r.Runs[r.Best].Number}
	}
	return j
}

type stopJSON struct {
	File      string      `json:"file"`
	Rider     string      `json:"rider"`
	Run       string      `json:"run,omitempty"`
	Stop      int         `json:"stop"`
	Row       int         `json:"row"`
	Track     bool        `json:"track,omitempty"`
	Start     valueJSON   `json:"start"`
	Speed     valueJSON   `json:"speed"`
	Mean      valueJSON   `json:"mean_deceleration"`
	Peak      valueJSON   `json:"peak_deceleration"`
	Time      valueJSON   `json:"braking_time"`
	Whole     valueJSON   `json:"stopping_distance"`
	Nominal   float64     `json:"nominal,omitempty"`
	Corrected *valueJSON  `json:"corrected_distance,omitempty"`
	Valid     bool        `json:"valid"`
	Samples   int         `json:"samples"`
	Noise     float64     `json:"noise"`
	Step      float64     `json:"step"`
	Limits    []limitJSON `json:"limits,omitempty"`
	Notes     []noteJSON  `json:"notes,omitempty"`
}

type valueJSON struct {
	Value       float64 `json:"value"`
	Uncertainty float64 `json:"uncertainty"`
}

type limitJSON struct {
	Name     string  `json:"name"`
	Most     float64 `json:"most_distance"`
	Least    float64 `json:"least_deceleration,omitempty"`
	Met      bool    `json:"met"`
	Doubtful bool    `json:"doubtful"`
}

type noteJSON struct {
	Row  int    `json:"row"`
	Kind string `json:"kind"`
	Text string `json:"text"`
}

func newStopJSON(r *Report, i int, as Ridden) stopJSON {
	s := &r.Stops[i]
	j := stopJSON{File: r.File, Rider: r.Rider, Run: r.Run, Stop: i + 1, Row: s.Row, Track: r.Track, Start: valueJSON(s.Start), Speed: valueJSON(s.Speed),
		Mean: valueJSON(s.Mean), Peak: valueJSON(s.Peak), Time: valueJSON(s.Time), Whole: valueJSON(s.Whole), Nominal: s.Nominal, Valid: s.Valid,
		Samples: s.Samples, Noise: s.Noise, Step: s.Step}
	if s.Nominal > 0 {
		corrected := valueJSON(s.Corrected)
		j.Corrected = &corrected
	}
	for _, v := range Verdicts(*s, as) {
		j.Limits = append(j.Limits, limitJSON{v.Name, v.Most, v.Least, v.Met, v.Doubtful})
	}
	for _, list := range [][]trace.Note{s.Notes, r.Elsewhere()} {
		for _, n := range list {
			j.Notes = append(j.Notes, noteJSON{n.Row, n.Kind.String(), n.Text()})
		}
	}
	return j
}
