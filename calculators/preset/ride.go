package preset

import (
	"math"
	"slices"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/physics/ride"
	"example.org/gripleaf/calculators/physics/tyre"
	"example.org/gripleaf/calculators/quantity"
)

// Ride is the inputs of a simulated stop without those named, and with other defaults for those that are given one.
func Ride(omit []string, defaults map[string]string) []kit.Input {
	var inputs []kit.Input
	for _, in := range append(stopInputs(), Bike(true)...) {
		if d, ok := defaults[in.Name]; ok {
			in.Default = d
		}
		if !slices.Contains(omit, in.Name) {
			inputs = append(inputs, in)
		}
	}
	return inputs
}

func stopInputs() []kit.Input {
	const degree = math.Pi / 180
	patch := Surface("patch", "Other surface on the way", "A patch that the bike crosses while it brakes.", "")
	return []kit.Input{
		{Name: "speed", Symbol: "v", Label: "Speed", Shown: Speed, Default: "80km/h", Min: 10 / 3.6, Max: 300 / 3.6, Step: 1, Usual: kit.Usual{From: 10 / 3.6, To: 200 / 3.6},
			Help: "At the first touch of the lever.", Why: "slower is walking, faster is not for roads"},
		Surface("surface", "Surface", "What the tyres stand on.", "dry-asphalt"),
		{Name: "grip", Symbol: "µ", Label: "Peak grip", Shown: Grip, Min: 0.03, Max: 1.6, Step: 0.01,
			Help: "The surface's best; given, the whole curve is scaled to it.", Why: "bare ice has about 0.05, the best road tyres under 1.6"},
		{Name: "channels", Label: "Wheels with antilock (ABS)", Default: "both",
			Choices: []kit.Choice{{Value: "none", Label: "none"}, {Value: "front", Label: "front"}, {Value: "both", Label: "front and rear"}}},
		{Name: "cycle-rate", Symbol: "f_c", Label: "Cycle rate of the controller", Shown: Rate, Default: "50Hz", Min: 2, Max: 200, Step: 1,
			Help: "How often in a second it can release and rebuild.", Why: "a slower one is no antilock brake, and no valve is faster"},
		{Name: "rise", Symbol: "t_r", Label: "Time of the squeeze", Shown: Time, Default: "0.3s", Min: 0.02, Max: 2, Step: 0.01,
			Help: "From the first touch until the hand pulls fully.", Why: "no hand is faster, and slower is not an emergency"},
		{Name: "demand", Symbol: "u", Label: "How hard you brake", Shown: Share, Default: "120%", Min: 0.05, Max: 3, Step: 5,
			Help: "Brake torque asked at each wheel; 100 % is what the peak grip holds once the load has moved.", Why: "less is hardly braking, and no hand asks more"},
		{Name: "lift-control", Label: "Rear-lift control", Default: "on", Help: "Whether the controller also releases when the rear wheel is about to lift.",
			Choices: []kit.Choice{{Value: "on", Label: "on"}, {Value: "off", Label: "off"}}},
		patch,
		{Name: "patch-start", Symbol: "s_p", Label: "Patch begins after", Shown: Distance, Default: "12m", Min: 0, Max: 1000, Step: 1,
			Help: "From where the lever is first touched; it counts once there is a patch.", Why: "the bike has stopped by then"},
		{Name: "patch-length", Symbol: "l_p", Label: "Length of the patch", Shown: Distance, Default: "4m", Min: 0.1, Max: 1000, Step: 1,
			Why: "a shorter one is a stone, a longer one is the road itself"},
		{Name: "obstacle", Symbol: "s_o", Label: "Obstacle after", Shown: Distance, Min: 0.1, Max: 1000, Step: 1,
			Help: "From where the lever is first touched.", Why: "the bike has stopped by then"},
		{Name: "original", Label: "Front tyre the controller was told of", Help: "As on the tyre's side; it counts once another size is fitted.", Default: "120/70R17", Free: true, Detail: true},
		{Name: "fitted", Label: "Front tyre that is fitted", Help: "As on the tyre's side, such as 110/70R17; the bike then rolls on it.", Free: true, Detail: true},
		{Name: "lean", Symbol: "θ", Label: "Lean", Shown: Angle, Default: "0deg", Min: 0, Max: 50 * degree, Step: 1,
			Help: "In the corner that the bike is in.", Why: "no road tyre leans farther"},
		{Name: "grade", Symbol: "G", Label: "Slope, up positive", Shown: Share, Default: "0%", Min: -0.2, Max: 0.2, Step: 1, Detail: true,
			Why: "steeper roads are hardly built"},
	}
}

// Rides are the presets of those inputs.
func Rides() []kit.Preset { return append(GripOf("surface", "grip"), Bikes(true, nil)...) }

// Setup is the stop that the inputs describe; what a calculator does not ask for is left out.
func Setup(w *kit.Work) ride.Setup {
	surface, _ := tyre.Find(w.Word("surface")) // the input's choices are the surfaces
	if w.Given("grip") {
		surface = surface.Scaled(w.Number("grip"))
	}
	s := ride.Setup{Bike: Chosen(w), Surface: surface, Speed: w.Number("speed"), Demand: w.Number("demand"), Rise: w.Number("rise"),
		Lean: w.Number("lean"), Grade: math.Atan(w.Number("grade"))}
	if w.Has("patch") {
		patch, _ := tyre.Find(w.Word("patch"))
		s.Patch, s.PatchStart, s.PatchLength = &patch, w.Number("patch-start"), w.Number("patch-length")
	}
	if _, ok := w.Calculator.Input("channels"); ok {
		s.Channels = map[string]ride.Channels{"none": ride.None, "front": ride.Front, "both": ride.Both}[w.Word("channels")]
		s.LiftControl = w.Word("lift-control") == "on"
	}
	if _, ok := w.Calculator.Input("cycle-rate"); ok {
		s.CycleRate = w.Number("cycle-rate")
	}
	if _, ok := w.Calculator.Input("obstacle"); ok && w.Has("obstacle") {
		s.Obstacle = w.Number("obstacle")
	}
	return s
}

// Refusal says in the calculator's words why a stop could not be ridden.
func Refusal(w *kit.Work, err error) error {
	if outside, ok := err.(*ride.RangeError); ok {
		if _, ok := w.Calculator.Input(outside.Input); ok {
			return w.Refuse(outside.Input, err.Error(), "bring it into that range")
		}
		return w.Refuse("bike", "these figures make no bike that can be ridden: "+err.Error(), "keep nearer to the bike that was chosen")
	}
	switch err {
	case ride.ErrLean:
		return w.Refuse("lean", "the corner alone asks for more grip than the surface has: the bike slides out", "lean less or find more grip")
	case ride.ErrNoStop:
		return w.Refuse("demand", "the bike does not stop within five minutes", "brake harder, or make the slope gentler")
	}
	return w.Refuse("bike", "these figures lead to motion that cannot be followed", "keep nearer to the bike that was chosen")
}

// Caution is what every calculator says that rides a simulated stop.
const Caution = "A simulated stop is a lesson, not a test of your brakes."

// Assumptions hold for every simulated stop.
var Assumptions = []string{
	"The bike moves in its plane of symmetry: it dives, pitches and lifts its rear wheel, but does not fall over; whether it would is told as likely or not. The picture lays it down then; the numbers stay those of an upright bike.",
	"Grip follows a published curve for firm surfaces, of a car's tyre on a road that is no more than wet: a film of water deep enough to float the tyre is not in it. On loose ground a wedge is added that a sliding wheel pushes up, over about a metre and of a size that is our estimate.",
	"The controller reads the speed of its wheels, the pressures and an inertial sensor exactly, every 2 ms; a real one estimates them, and stops a little longer. It acts through a valve with three positions.",
	"A stop with a controller is ridden 21 times, each with the grip swinging by 2 % along the road and the hand by 3 % in another way (invented). What is told is the middle of these rides, with the limits between which nine of ten lie; the ride that is shown is the middle one.",
	"The bikes to choose from are invented; their remaining figures stand in the tables.",
}

// Sources are where the simulation has its models from.
var Sources = []kit.Source{
	{Title: "Tyre", Detail: "M. Burckhardt, Fahrwerktechnik: Radschlupf-Regelsysteme, 1993, as tabulated in Kiencke and Nielsen, Automotive Control Systems; loose surfaces invented for the demonstration"},
	{Title: "Load transfer and lift", Detail: "statics as in V. Cossalter, Motorcycle Dynamics, chapter 8 (from memory)"},
	{Title: "Loose ground", Detail: "a controller lengthens stops on loose gravel, by 27.2 % on average of nine cars: NHTSA Light Vehicle ABS Research Program, Task 4"},
}

// Joules shows an energy of a stop.
var Joules = quantity.Shown{Kind: quantity.Energy, Metric: "kJ", Imperial: "BTU", MetricDecimals: 1, ImperialDecimals: 1}
