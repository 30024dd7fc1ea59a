// Package rider answers: skilled hands or the controller? It rides the same stop with a crowd of hands, each a little
// unsteady about its aim, and once with the controller.
package rider

import (
	"slices"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/physics/ride"
	"example.org/gripleaf/calculators/preset"
	"example.org/gripleaf/calculators/quantity"
)

// Calculator is the rider calculator.
var Calculator = kit.Calculator{
	ID:       "rider",
	Title:    "Hands against the controller",
	Question: "Skilled hands or the controller?",
	Inputs: append(preset.Ride([]string{"obstacle", "original", "fitted"}, map[string]string{"rise": "0.4s"}),
		kit.Input{Name: "skill", Symbol: "σ", Label: "Unsteadiness of the hand", Shown: preset.Share, Default: "10%", Min: 0, Max: 0.6, Step: 1,
			Help: "Spread of the brake force about its aim; 0 is a machine.", Why: "more is not holding a lever"},
		kit.Input{Name: "aim", Symbol: "u_r", Label: "What the riders aim at", Shown: preset.Share, Default: "80%", Min: 0.2, Max: 1.5, Step: 1,
			Help: "As a share of what the peak grip holds; above 100 % even a steady hand locks.", Why: "less is hardly braking, more is grabbing"},
		kit.Input{Name: "let-go", Symbol: "t_g", Label: "Time until a rider lets a locked wheel go", Shown: preset.Time, Default: "0.3s", Min: 0.05, Max: 3, Step: 0.05,
			Help: "From the lock to opening the hand.", Why: "nobody feels it sooner, and later it no longer matters"},
		kit.Input{Name: "riders", Symbol: "n", Label: "Riders", Shown: preset.Whole, Default: "1000", Min: 10, Max: 2000, Step: 10,
			Why: "fewer say little, more take long"},
		kit.Input{Name: "seed", Label: "Which crowd", Shown: preset.Whole, Default: "1", Min: 0, Max: 1e9, Step: 1, Detail: true,
			Help: "Another number, another crowd.", Why: "every number draws one"}),
	Presets: preset.Rides(),
	Outputs: []kit.Output{
		{Name: "shorter", Symbol: "p", Label: "Riders who stop shorter than the controller, upright", Sentence: "{} of the riders stop shorter than the controller and stay upright.", Shown: preset.FineShare, Main: true},
		{Name: "controller-distance", Symbol: "s_c", Label: "Stopping distance of the controller", Sentence: "The controller needs {}.", Shown: preset.Distance, Main: true},
		{Name: "median", Symbol: "s_50", Label: "Median of the riders", Sentence: "Half of the riders need more than {}.", Shown: preset.Distance, Main: true},
		{Name: "percentile-5", Symbol: "s_5", Label: "One in twenty stops shorter than", Sentence: "One in twenty needs less than {}.", Shown: preset.Distance},
		{Name: "percentile-95", Symbol: "s_95", Label: "One in twenty stops longer than", Sentence: "One in twenty needs more than {}.", Shown: preset.Distance},
		{Name: "locked", Symbol: "p_l", Label: "Riders whose front wheel locks", Sentence: "{} of the riders lock the front wheel.", Shown: preset.FineShare, Main: true},
		{Name: "steady-distance", Symbol: "s_h", Label: "Stopping distance of a perfectly steady hand", Sentence: "A hand that never trembles, just below the limit, needs {}.", Shown: preset.Distance},
		{Name: "steady-aim", Symbol: "u_h", Label: "What it may aim at, at most", Sentence: "It may aim at {} of what the grip holds; one percent more is a fall or a locked wheel.", Shown: preset.FineShare},
		{Name: "falls", Symbol: "p_f", Label: "Riders who are likely to fall", Sentence: "{} are likely to fall.", Shown: preset.FineShare},
	},
	Figures: []kit.Figure{{Name: "spread", Title: "The riders and the controller", Draw: draw}},
	Assumptions: append([]string{
		"A hand's force swings about its aim in five slow waves with random phases; a rider who locks the front wheel lets go after a while and comes back more gently.",
		"How unsteady a hand is and what it aims at is invented for the demonstration; studies find that ordinary riders call up much less than there is.",
		"The controller is given the demand of the hand's input, held on steadily.",
	}, preset.Assumptions...),
	Sources: append([]kit.Source{
		{Title: "What riders call up", Detail: "half of the riders reached at most 56 % of the possible deceleration: H. Ecker et al., 2001, abstract; mean stop of the controller 5 % shorter than the best without: D. Green, 2006, excerpt"},
	}, preset.Sources...),
	Caution:  preset.Caution,
	Long:     true,
	Work:     work,
	Condense: condense,
	Restore:  restore,
}

// crowd is what is known so far. It is the Data of a calculation.
type crowd struct {
	controller [3]float64 // stopping distance: the middle of many rides, and the limits between which nine of ten lie, m
	steadiest  [2]float64 // a perfectly steady hand: what it may aim at, and how far it then needs, m
	distances  []float64  // of the riders so far, in order of their size
	shorter    int        // without a likely fall
	locked     int
	falls      int
}

// clock is the tick and longest step of a rider of a crowd, s. It moves a stop with a lock by about a thousandth, and
// one without a lock by a hundred-thousandth.
const clock = 0.004

// reports is how often progress is told.
const reports = 20

func work(w *kit.Work) error {
	setup := preset.Setup(w)
	if setup.Channels == ride.None {
		return w.Refuse("channels", "channels: there is no controller to ride against", "choose front or both")
	}
	controlled, err := preset.Many(w, &setup)
	if err != nil {
		return err
	}
	c := &crowd{}
	for i, share := range c.limits() {
		c.controller[i] = controlled.Quantile(share, func(r *ride.Result) float64 { return r.StoppingDistance })
	}
	w.Data = c
	if c.steadiest, err = steady(setup); err != nil {
		return preset.Refusal(w, err)
	}
	setup.Channels, setup.LiftControl, setup.Demand, setup.Step = ride.None, false, w.Number("aim"), clock
	riders := int(w.Number("riders"))
	every := max(1, riders/reports)
	for i := range riders {
		setup.Hand = ride.Unsteady(w.Number("skill"), w.Number("let-go"), seedOf(w.Number("seed"), i))
		r, err := ride.Run(&setup, nil)
		if err != nil {
			return preset.Refusal(w, err)
		}
		c.count(&r)
		if (i+1)%every == 0 || i+1 == riders {
			c.tell(w)
			if err := w.Step(i+1, riders); err != nil {
				return err
			}
		}
	}
	return nil
}

// condense gives the controller's distance, how many stop shorter, lock, and fall, and the riders' distances.
func condense(w *kit.Work) []float64 {
	c := w.Data.(*crowd)
	return append([]float64{c.controller[0], c.controller[1], c.controller[2], c.steadiest[0], c.steadiest[1], float64(c.shorter), float64(c.locked), float64(c.falls)}, c.distances...)
}

func restore(w *kit.Work, numbers []float64) bool {
	if len(numbers) != 8+int(w.Number("riders")) {
		return false
	}
	c := &crowd{
		controller: [3]float64(numbers[:3]), steadiest: [2]float64(numbers[3:5]),
		shorter: int(numbers[5]), locked: int(numbers[6]), falls: int(numbers[7]), distances: numbers[8:],
	}
	w.Data = c
	c.tell(w)
	return true
}

// limits are the shares of the controller's rides that are told: the middle, and the ends of nine in ten.
func (*crowd) limits() [3]float64 { return [3]float64{0.5, 0.05, 0.95} }

// steady finds what a perfectly steady hand may aim at without a locked front wheel or a fall, to a thousandth of what
// the grip holds, and how far it then needs.
func steady(setup ride.Setup) (found [2]float64, err error) {
	setup.Channels, setup.LiftControl = ride.None, false
	low, high := 0.05, 1.5
	for high-low > 0.001 {
		setup.Demand = 0.5 * (low + high)
		r, err := ride.Run(&setup, nil)
		if err != nil && err != ride.ErrNoStop {
			return found, err
		}
		if err == nil && (r.FrontLocks || r.Fall != ride.Upright) {
			high = setup.Demand
		} else {
			low, found = setup.Demand, [2]float64{setup.Demand, r.StoppingDistance}
		}
	}
	return found, nil
}

// seedOf gives each rider of each crowd a seed of its own.
func seedOf(crowd float64, rider int) uint64 { return uint64(crowd)*1_000_003 + uint64(rider) }

func (c *crowd) count(r *ride.Result) {
	at, _ := slices.BinarySearch(c.distances, r.StoppingDistance)
	c.distances = slices.Insert(c.distances, at, r.StoppingDistance)
	fell := r.Fall != ride.Upright
	if r.StoppingDistance < c.controller[0] && !fell {
		c.shorter++
	}
	if r.FrontLocks {
		c.locked++
	}
	if fell {
		c.falls++
	}
}

func (c *crowd) tell(w *kit.Work) {
	n := float64(len(c.distances))
	w.PutBand("controller-distance", c.controller[0], c.controller[1], c.controller[2])
	w.Put("steady-aim", c.steadiest[0])
	w.Put("steady-distance", c.steadiest[1])
	w.Put("shorter", float64(c.shorter)/n)
	w.Put("locked", float64(c.locked)/n)
	w.Put("falls", float64(c.falls)/n)
	w.Put("percentile-5", ride.Quantile(c.distances, 0.05))
	w.Put("median", ride.Quantile(c.distances, 0.5))
	w.Put("percentile-95", ride.Quantile(c.distances, 0.95))
	w.Series = []figure.Table{c.histogram().table()}
}

// histogram counts distances in classes of equal width. The last class also holds all that lie beyond it.
type histogram struct {
	from, width float64
	shares      []float64
}

const classes = 24

// histogram spans the distances up to half as much again as the 90th in a hundred, so that a few who rolled on for
// long do not press the others together.
func (c *crowd) histogram() histogram {
	low, high := c.distances[0], min(c.distances[len(c.distances)-1], 1.5*ride.Quantile(c.distances, 0.9)-0.5*c.distances[0])
	h := histogram{from: low, width: max((high-low)/classes, 0.05), shares: make([]float64, classes)}
	for _, d := range c.distances {
		h.shares[min(classes-1, int((d-low)/h.width))] += 1 / float64(len(c.distances))
	}
	return h
}

func (h histogram) table() figure.Table {
	t := figure.Table{Columns: []figure.Column{
		{Label: "Stopping distance from", Shown: preset.Distance}, {Label: "to", Shown: preset.Distance}, {Label: "Riders", Shown: preset.FineShare},
	}}
	for i, share := range h.shares {
		from := h.from + float64(i)*h.width
		for k, v := range [...]float64{from, from + h.width, share} {
			t.Columns[k].Values = append(t.Columns[k].Values, v)
		}
	}
	return t
}

func draw(w *kit.Work, s figure.Style) figure.Scene {
	c, r := w.Data.(*crowd), s.Reader
	h := c.histogram()
	chart := figure.Chart{
		Runs: "distance",
		Alt: r.Say("Half of the riders need more than {}, one in twenty more than {}; the controller needs {}. {} stop shorter and stay upright.",
			w.Tell("median", r), w.Tell("percentile-95", r),
			r.Quantity(c.controller[0], preset.Distance), w.Tell("shorter", r)),
		X:      figure.Axis{Label: "Stopping distance, from first touch", Shown: quantity.Shown{Kind: quantity.Length, Metric: "m", Imperial: "ft"}, From: c.controller[0], To: c.controller[0]},
		Y:      figure.Axis{Label: "Riders", Shown: preset.Share},
		Guides: []figure.Guide{{Role: "controller", Label: "controller", At: c.controller[0]}, {Role: "median", Label: "median rider", At: w.Output("median")}},
		Table:  h.table(),
	}
	for i, share := range h.shares {
		from := h.from + float64(i)*h.width
		chart.Bars = append(chart.Bars, figure.Bar{Role: "riders", From: from, To: from + 0.9*h.width, Height: share})
	}
	return chart.Scene(s)
}
