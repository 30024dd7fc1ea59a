package measure

import (
	_ "embed"
	"html/template"
	"io"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/measured/trace"
	"example.org/gripleaf/calculators/quantity"
)

//go:embed page.html
var pageHTML string

// Caution stands with every figure that a log has been turned into.
const Caution = "What a log gives is no better than the log: a logger that reads wrong, or smooths before it writes, is not in the uncertainty. " +
	"Only a test service on a test surface finds a bike fit. " + kit.StandingCaution

// How the figures of a stop are shown.
var (
	speedShown    = quantity.Shown{Kind: quantity.Speed, Metric: "km/h", Imperial: "mph", MetricDecimals: 1, ImperialDecimals: 1}
	slowingShown  = quantity.Shown{Kind: quantity.Acceleration, Metric: "m/s2", Imperial: "ft/s2", MetricDecimals: 2, ImperialDecimals: 1}
	distanceShown = quantity.Shown{Kind: quantity.Length, Metric: "m", Imperial: "ft", MetricDecimals: 2, ImperialDecimals: 1}
	timeShown     = quantity.Shown{Kind: quantity.Time, Metric: "s", MetricDecimals: 2}
)

// A Line is one figure of a stop in words.
type Line struct{ Name, Text string }

// Lines are the figures of a stop, each with its uncertainty.
func Lines(s *trace.Stop, r *quantity.Reader) []Line {
	list := []Line{
		{"speed at the start", with(r, s.Speed, speedShown)},
		{"mean fully developed deceleration", with(r, s.Mean, slowingShown)},
		{"greatest deceleration over half a second", with(r, s.Peak, slowingShown)},
		{"braking time", with(r, s.Time, timeShown)},
		{"stopping distance", with(r, s.Whole, distanceShown)},
	}
	if s.Nominal > 0 {
		text := with(r, s.Corrected, distanceShown)
		if !s.Valid {
			text += " (too far from the speed asked for: not one of the regulation's)"
		}
		list = append(list, Line{"corrected to " + r.Quantity(s.Nominal, speedShown), text})
	}
	return list
}

// with prints a value and its uncertainty.
func with(r *quantity.Reader, v trace.Value, shown quantity.Shown) string {
	return quantity.Join(plusMinus(r, v, shown), r.UnitName(shown))
}

// plusMinus prints an uncertainty that is small as the smallest that its decimals allow, not as 0.
func plusMinus(r *quantity.Reader, v trace.Value, shown quantity.Shown) string {
	doubt := v.Uncertainty
	for doubt > 0 && r.Number(doubt, shown) == r.Number(0, shown) {
		doubt *= 2
	}
	return r.Number(v.Value, shown) + " ± " + r.Number(doubt, shown)
}

// Text says how a stop stands to a limit.
func (v *Verdict) Text(r *quantity.Reader) string {
	text := "at most " + r.Quantity(v.Most, distanceShown)
	if v.Least > 0 {
		text += ", or at least " + r.Quantity(v.Least, slowingShown)
	}
	switch {
	case v.Doubtful:
		return text + ": too near to tell"
	case v.Met:
		return text + ": met"
	}
	return text + ": not met"
}

// Figure draws a stop: the filtered speed, and how hard the bike slowed, over time from the start of braking. The band
// is where the mean fully developed deceleration is taken, between 80 % and 10 % of the speed.
func Figure(s *trace.Stop, style figure.Style) figure.Scene {
	if style.Reader == nil {
		style.Reader = &quantity.Reader{}
	}
	r, c := style.Reader, &s.Curve
	from, to := crossing(c, 0.8*s.Speed.Value), crossing(c, 0.1*s.Speed.Value)
	band := figure.Band{Role: "grip", Label: "80 % to 10 %", From: from, To: to}
	seconds := figure.Axis{Label: "Time from the start of braking", Shown: quantity.Shown{Kind: quantity.Time, Metric: "s"}}
	speed := figure.Chart{
		Name: "log", Title: "The stop as logged", Runs: "time", X: seconds, Y: figure.Axis{Label: "Speed", Shown: speedShown},
		Alt: "The speed falls from " + r.Quantity(s.Speed.Value, speedShown) + " to standstill in " + r.Quantity(s.Time.Value, timeShown) +
			"; on average the bike slows by " + r.Quantity(s.Mean.Value, slowingShown) + ".",
		Bands: []figure.Band{band}, Series: []figure.Series{{Role: "speed", Label: "Speed", X: c.Time, Y: c.Speed}},
	}
	slowing := figure.Chart{
		X: seconds, Y: figure.Axis{Label: "Deceleration", Shown: slowingShown},
		Series: []figure.Series{{Role: "braking", X: c.Time, Y: c.Slowing}},
		Guides: []figure.Guide{{Role: "grip", Label: "mean", At: s.Mean.Value, Level: true}},
	}
	return figure.Stack(style, &speed, &slowing)
}

// crossing is when a curve first falls below a speed.
func crossing(c *trace.Curve, speed float64) float64 {
	for i, v := range c.Speed {
		if c.Time[i] >= 0 && v < speed {
			return c.Time[i]
		}
	}
	return 0
}

// A Page is all reports, to be printed.
type Page struct {
	Reports []Report
	Ridden  Ridden
	Reader  *quantity.Reader
	Draw    func(*figure.Scene) string // as SVG
}

// Write writes the page: first the table and the chart of riders and runs, if there are several; then each rider on a
// page, with the best run, the spread, and of each stop the figures, the limits and the drawing; last what is odd
// elsewhere in the logs.
func (p *Page) Write(w io.Writer) error {
	r := p.Reader
	drawing := func(s figure.Scene) template.HTML { return template.HTML(p.Draw(&s)) }
	functions := template.FuncMap{
		"lines":    func(s trace.Stop) []Line { return Lines(&s, r) },
		"verdicts": func(s trace.Stop) []Verdict { return Verdicts(s, p.Ridden) },
		"verdict":  func(v Verdict) string { return v.Text(r) },
		"drawing": func(s trace.Stop) template.HTML {
			return drawing(Figure(&s, figure.Style{Reader: r, Width: 620, Height: 340}))
		},
		"charts": func() (list []template.HTML) {
			for _, s := range Charts(p.Riders(), figure.Style{Reader: r, Width: 620, Height: 300}) {
				list = append(list, drawing(s))
			}
			return list
		},
		"table": func(riders []Rider) [][]string { return Table(riders, r) },
		"alone": func(x Rider) []Rider { return []Rider{x} },
		"place": p.place,
	}
	return template.Must(template.New("").Funcs(functions).Parse(pageHTML)).Execute(w, p)
}

// Riders are those of all reports.
func (p *Page) Riders() []Rider { return Riders(p.Reports) }

// place names a row of a file's log.
func (p *Page) place(file string, row int) string {
	for i := range p.Reports {
		if p.Reports[i].File == file {
			return p.Reports[i].Place(row)
		}
	}
	return ""
}

// Stops is how many stops there are in all reports.
func (p *Page) Stops() int {
	n := 0
	for _, r := range p.Reports {
		n += len(r.Stops)
	}
	return n
}

// Caution stands at the end of the page.
func (p *Page) Caution() string { return Caution }
