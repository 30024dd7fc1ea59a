package measure

import (
	"encoding/json"
	"io"
	"slices"

	"example.org/gripleaf/calculators/measured/trace"
)

// WriteJSON writes all stops for machines, in SI units: {"stops":[…],"riders":[…]}, where a stop is
//
//	{"file","rider","run","stop","track","row","start","speed","mean_deceleration","peak_deceleration","braking_time",
//	 "stopping_distance","nominal","corrected_distance","valid","samples","noise","step",
//	 "limits":[{"name","most_distance","least_deceleration","met","doubtful"}],
//	 "notes":[{"row","kind","text"}]}
//
// and a rider
//
//	{"rider","runs","best":{"file","stop"},"mean_deceleration","peak_deceleration","stopping_distance","corrected_distance"}
//
// with {"count","mean","deviation","least","most"} of each. A figure of a stop is {"value","uncertainty"}; a row of a
// track is the number of a point. The notes are those of the stop, then those of its log that are about no stop. The
// corrected distance is there if a nominal speed was asked for.
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
	Rider     string    `json:"rider"`
	Runs      int       `json:"runs"`
	Best      *bestJSON `json:"best,omitempty"`
	Mean      Spread    `json:"mean_deceleration,omitzero"`
	Peak      Spread    `json:"peak_deceleration,omitzero"`
	Whole     Spread    `json:"stopping_distance,omitzero"`
	Corrected Spread    `json:"corrected_distance,omitzero"`
}

type bestJSON struct {
	File string `json:"file"`
	Stop int    `json:"stop"`
}

func newRiderJSON(r *Rider) riderJSON {
	j := riderJSON{r.Name, len(r.Runs), nil, r.Mean, r.Peak, r.Whole, r.Corrected}
	if r.Best >= 0 {
		j.Best = &bestJSON{r.Runs[r.Best].File, r.Runs[r.Best].Number}
	}
	return j
}

type stopJSON struct {
	File   string `json:"file"`
	Rider  string `json:"rider"`
	Run    string `json:"run,omitempty"`
	Number int    `json:"stop"`
	Track  bool   `json:"track,omitempty"`
	*trace.Stop
	Limits []Verdict  `json:"limits,omitempty"`
	Notes  []noteJSON `json:"notes,omitempty"`
}

type noteJSON struct {
	Row  int    `json:"row"`
	Kind string `json:"kind"`
	Text string `json:"text"`
}

func newStopJSON(r *Report, i int, as Ridden) stopJSON {
	s := &r.Stops[i]
	j := stopJSON{r.File, r.Rider, r.Run, i + 1, r.Track, s, Verdicts(*s, as), nil}
	for _, n := range slices.Concat(s.Notes, r.Elsewhere()) {
		j.Notes = append(j.Notes, noteJSON{n.Row, n.Kind.String(), n.Text()})
	}
	return j
}
