package preset

import (
	"strconv"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/physics/bike"
	"example.org/gripleaf/calculators/quantity"
)

// part is a figure of a bike that a reader may set.
type part struct {
	kit.Input
	of func(*bike.Bike) *float64
}

// parts lists the settable figures of a bike: the four that every calculation of loads needs, then the details.
func parts() []part {
	inertia := quantity.Shown{Kind: quantity.Inertia, Metric: "kgm2", Imperial: "lbft2", MetricDecimals: 2, ImperialDecimals: 1}
	rate := quantity.Shown{Kind: quantity.Stiffness, Metric: "N/mm", Imperial: "lbf/in", MetricDecimals: 1}
	area := quantity.Shown{Kind: quantity.Area, Metric: "m2", Imperial: "ft2", MetricDecimals: 2, ImperialDecimals: 1}
	return []part{
		{kit.Input{Name: "mass", Symbol: "m", Label: "Mass of bike and rider", Shown: Mass, Min: 80, Max: 800, Step: 5,
			Why: "from a moped to the heaviest tourer with two aboard"}, func(b *bike.Bike) *float64 { return &b.Mass }},
		{kit.Input{Name: "wheelbase", Symbol: "L", Label: "Wheelbase", Shown: Part, Min: 1, Max: 2.2, Step: 10,
			Help: "From axle to axle.", Why: "roadworthy bikes are not shorter or longer"}, func(b *bike.Bike) *float64 { return &b.Wheelbase }},
		{kit.Input{Name: "cg-height", Symbol: "h", Label: "Height of the centre of gravity", Shown: Part, Min: 0.3, Max: 1.1, Step: 10,
			Help: "Of bike and rider together, above the road.", Why: "a rider sits higher than this only standing up"}, func(b *bike.Bike) *float64 { return &b.CGHeight }},
		{kit.Input{Name: "front-share", Symbol: "f", Label: "Share of the weight on the front tyre at rest", Shown: Share, Min: 0.3, Max: 0.65, Step: 1,
			Why: "with less the front wheel is hard to keep down, with more the rear"}, func(b *bike.Bike) *float64 { return &b.FrontShare }},
		{kit.Input{Name: "gyration", Label: "Radius of gyration in pitch", Shown: Part, Min: 0.25, Max: 0.8, Step: 10, Detail: true,
			Help: "How far from the centre of gravity the mass sits, on average.", Why: "bikes lie between"}, func(b *bike.Bike) *float64 { return &b.Gyration }},
		{kit.Input{Name: "drag-area", Label: "Drag area", Shown: area, Min: 0, Max: 1.5, Step: 0.05, Detail: true,
			Help: "Drag coefficient times frontal area.", Why: "published values run from 0.18 to 0.7 m²"}, func(b *bike.Bike) *float64 { return &b.DragArea }},
		{kit.Input{Name: "front-radius", Label: "Rolling radius in front", Shown: Part, Min: 0.18, Max: 0.4, Step: 1, Detail: true,
			Why: "from scooter wheels to 21 inches"}, func(b *bike.Bike) *float64 { return &b.Front.Radius }},
		{kit.Input{Name: "rear-radius", Label: "Rolling radius behind", Shown: Part, Min: 0.18, Max: 0.4, Step: 1, Detail: true,
			Why: "from scooter wheels to 21 inches"}, func(b *bike.Bike) *float64 { return &b.Rear.Radius }},
		{kit.Input{Name: "front-inertia", Label: "Spin inertia of the front wheel", Shown: inertia, Min: 0.1, Max: 2, Step: 0.05, Detail: true,
			Why: "a published set has 0.58 kg·m²"}, func(b *bike.Bike) *float64 { return &b.Front.Inertia }},
		{kit.Input{Name: "rear-inertia", Label: "Spin inertia of the rear wheel", Shown: inertia, Min: 0.1, Max: 2, Step: 0.05, Detail: true,
			Why: "a published set has 0.74 kg·m²"}, func(b *bike.Bike) *float64 { return &b.Rear.Inertia }},
		{kit.Input{Name: "front-teeth", Label: "Teeth of the front sensor ring", Shown: Whole, Min: 20, Max: 120, Step: 1, Detail: true,
			Why: "rings with 40 to 100 teeth are in use"}, func(b *bike.Bike) *float64 { return &b.Front.Teeth }},
		{kit.Input{Name: "rear-teeth", Label: "Teeth of the rear sensor ring", Shown: Whole, Min: 20, Max: 120, Step: 1, Detail: true,
			Why: "rings with 40 to 100 teeth are in use"}, func(b *bike.Bike) *float64 { return &b.Rear.Teeth }},
		{kit.Input{Name: "fork-rate", Label: "Spring rate in front, at the wheel", Shown: rate, Min: 8e3, Max: 6e4, Step: 0.5, Detail: true,
			Why: "road bikes are no softer or harder"}, func(b *bike.Bike) *float64 { return &b.Front.Suspension.Rate }},
		{kit.Input{Name: "shock-rate", Label: "Spring rate behind, at the wheel", Shown: rate, Min: 8e3, Max: 8e4, Step: 0.5, Detail: true,
			Why: "road bikes are no softer or harder"}, func(b *bike.Bike) *float64 { return &b.Rear.Suspension.Rate }},
	}
}

// BikeFigures is how many of a bike's inputs say where its weight is; the others describe its wheels and springs.
const BikeFigures = 4

// Bike is the choice of a bike and the figures that it sets, all of them or only where the weight is.
func Bike(all bool) []kit.Input {
	choice := kit.Input{Name: "bike", Label: "Bike", Help: "Sets the figures of the bike, which you may then change.", Default: "roadster"}
	for _, b := range bike.Presets() {
		choice.Choices = append(choice.Choices, kit.Choice{Value: b.ID, Label: bikeLabels[b.ID]})
	}
	inputs := []kit.Input{choice}
	for i, p := range parts() {
		if i < BikeFigures || all {
			inputs = append(inputs, p.Input)
		}
	}
	return inputs
}

var bikeLabels = map[string]string{"roadster": "roadster", "scooter": "scooter", "tourer": "tourer", "sport": "sport bike"}

// Bikes lets the choice of a bike set the inputs that Bike gives, and further ones by a function that may be nil.
func Bikes(all bool, further func(*bike.Bike) []kit.Setting) []kit.Preset {
	var list []kit.Preset
	for _, b := range bike.Presets() {
		p := kit.Preset{Input: "bike", Choice: b.ID}
		for i, part := range parts() {
			if i < BikeFigures || all {
				p.Sets = append(p.Sets, Setting(part.Name, *part.of(&b), part.Shown))
			}
		}
		if further != nil {
			p.Sets = append(p.Sets, further(&b)...)
		}
		list = append(list, p)
	}
	return list
}

// Setting writes an SI value as a link does, in the metric unit it is shown in.
func Setting(input string, si float64, shown quantity.Shown) kit.Setting {
	u, _ := shown.In(quantity.Metric)
	return kit.Setting{Input: input, Value: strconv.FormatFloat(u.From(si), 'g', 8, 64) + u.Symbol}
}

// Chosen is the bike that a calculation is about: the preset with every figure that was set laid over it.
func Chosen(w *kit.Work) bike.Bike {
	b, _ := bike.Find(w.Word("bike")) // the input's choices are the bikes
	for _, p := range parts() {
		if _, ok := w.Calculator.Input(p.Name); ok {
			*p.of(&b) = w.Number(p.Name)
		}
	}
	return b
}

// endFigure is a figure of one end of a bike that no input sets.
type endFigure struct {
	label string
	shown *quantity.Shown
	of    func(*bike.End) float64
}

var damping = quantity.Shown{Kind: quantity.Damping, Metric: "Ns/m", Imperial: "lbf-s/in", ImperialDecimals: 1}

// endFigures are the columns of the two tables, chassis and brakes: data, so that no reader has to load code for them.
var endFigures = [2][]endFigure{{
	{"Mass that follows the ground", &Mass, func(e *bike.End) float64 { return e.Unsprung }},
	{"Distance the tread rolls while its force builds", &Part, func(e *bike.End) float64 { return e.Relaxation }},
	{"Spring force at full extension", &Force, func(e *bike.End) float64 { return e.Suspension.Preload }},
	{"Suspension travel", &Part, func(e *bike.End) float64 { return e.Suspension.Travel }},
	{"Damping inwards", &damping, func(e *bike.End) float64 { return e.Suspension.Compression }},
	{"Damping outwards", &damping, func(e *bike.End) float64 { return e.Suspension.Rebound }},
}, {
	{"Lever ratio", &Ratio, func(e *bike.End) float64 { return e.Brake.LeverRatio }},
	{"Master cylinder", &Bore, func(e *bike.End) float64 { return e.Brake.MasterDiameter }},
	{"Discs", &Whole, func(e *bike.End) float64 { return e.Brake.Discs }},
	{"Pistons on a side", &Whole, func(e *bike.End) float64 { return e.Brake.Pistons }},
	{"Piston diameter", &Bore, func(e *bike.End) float64 { return e.Brake.PistonDiameter }},
	{"Pad friction", &Grip, func(e *bike.End) float64 { return e.Brake.PadFriction }},
	{"Effective disc radius", &Part, func(e *bike.End) float64 { return e.Brake.DiscRadius }},
}}

// BikeTables lists the figures of a bike that no input sets, so that nothing it brings along is hidden.
func BikeTables(b *bike.Bike) []figure.Table {
	tables := make([]figure.Table, len(endFigures))
	for i, figures := range endFigures {
		tables[i].Basis = true
		tables[i].Columns = []figure.Column{{Label: "Of this bike (invented)", Words: []string{"front", "rear"}}}
		for _, f := range figures {
			tables[i].Columns = append(tables[i].Columns, figure.Column{Label: f.label, Shown: *f.shown,
				Values: []float64{f.of(&b.Front), f.of(&b.Rear)}})
		}
	}
	return tables
}
