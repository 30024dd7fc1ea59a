package measured

// Requirement is one limit of a motorcycle brake regulation: the corrected distance in m from V in km/h is at most
// Linear·V + Square·V², or the mean fully developed deceleration in m/s² is at least Deceleration.
type Requirement struct {
	Name           string
	Linear, Square float64
	Deceleration   float64 // 0: the regulation gives none
	ByGrip         bool    // Square is divided, and Deceleration multiplied, by the peak braking coefficient
	Speed          float64 // nominal speed of the test, km/h
	Brakes         string  // what the test is ridden with: "front", "rear", "combined", "secondary" or "all"
	// LeastGrip and MostGrip bound the surfaces that the test is ridden on, LeastSpeed the bikes it is for; 0: any.
	LeastGrip, MostGrip, LeastSpeed float64
}

// Holds reports whether a limit is one for a stop with some brakes, from a nominal speed in km/h, on a surface of a
// peak braking coefficient.
func (q *Requirement) Holds(brakes string, speed, peak float64) bool {
	return q.Brakes == brakes && peak >= q.LeastGrip && (q.MostGrip == 0 || peak <= q.MostGrip) && speed >= q.LeastSpeed
}

// Distance is the longest distance in m from a speed in km/h on a surface of a peak braking coefficient.
func (q *Requirement) Distance(speed, peak float64) float64 {
	square := q.Square
	if q.ByGrip {
		square /= peak
	}
	return q.Linear*speed + square*speed*speed
}

// Least is the least mean fully developed deceleration in m/s² on a surface of a peak braking coefficient.
func (q *Requirement) Least(peak float64) float64 {
	if q.ByGrip {
		return q.Deceleration * peak
	}
	return q.Deceleration
}

// Requirements are all limits. They are not to be changed.
func Requirements() []Requirement { return requirements[:] }

// Brakes are what tests are ridden with, as Requirement.Brakes has them, and in words.
func Brakes() [][2]string {
	return [][2]string{{"all", "all brakes"}, {"front", "front brake alone"}, {"rear", "rear brake alone"},
		{"combined", "one control of combined brakes"}, {"secondary", "secondary brake"}}
}

// requirements are the limits for two-wheeled motorcycles (category 3-3). The first two are also those of Council
// Directive 93/14/EEC, annex, appendix 1 (V²/115 and V²/75), which was read; the others are UN GTR No. 3, UN R78-03
// annex 3 and 49 CFR 571.122 from memory.
var requirements = [...]Requirement{
	{Name: "front brake alone, laden", Linear: 0.1, Square: 0.0087, Deceleration: 4.4, Speed: 60, Brakes: "front"},
	{Name: "rear brake alone, laden", Linear: 0.1, Square: 0.0133, Deceleration: 2.9, Speed: 60, Brakes: "rear"},
	{Name: "combined brakes, one control", Linear: 0.1, Square: 0.0076, Deceleration: 5.1, Speed: 60, Brakes: "combined"},
	{Name: "secondary brake", Linear: 0.1, Square: 0.0154, Deceleration: 2.5, Speed: 60, Brakes: "secondary"},
	{Name: "all brakes", Square: 0.0060, Speed: 100, Brakes: "all"},
	{Name: "high speed", Linear: 0.1, Square: 0.0067, Deceleration: 5.8, Speed: 160, Brakes: "all", LeastSpeed: 100},
	{Name: "antilock, high grip", Square: 0.0063, Deceleration: 6.17, Speed: 60, Brakes: "all", LeastGrip: 0.9},
	{Name: "antilock, low grip", Square: 0.0056, Deceleration: 6.87, ByGrip: true, Speed: 60, Brakes: "all", MostGrip: 0.45},
}
