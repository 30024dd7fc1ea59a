// Package ride rides a whole stop: from the first touch of the lever to
// standing still.
package ride

import (
	"errors"

	"example.org/gripleaf/calculators/physics/bike"
	"example.org/gripleaf/calculators/physics/tyre"
)

// Gravity is the standard acceleration of free fall, m/s² (3rd CGPM, 1901).
const Gravity = 9.80665

// Channels says which wheels the controller watches and may release.
type Channels uint8

const (
	None  Channels = iota // plain brakes
	Front                 // the front wheel; the rear is a plain brake
	Both                  // both wheels, each for itself
)

// Setup is a stop to be ridden. It is plain data and Run does not change it.
type Setup struct {
	Bike        bike.Bike
	Surface     tyre.Surface
	Patch       *tyre.Surface // another surface on the way; nil for none
	PatchStart  float64       // from where the lever is first touched, m
	PatchLength float64       // m
	Speed       float64       // at the first touch of the lever, m/s
	Grade       float64       // of the road, rad, uphill positive
	Lean        float64       // in the corner at the start, rad; the radius is then kept
	Channels    Channels
	CycleRate   float64 // release-and-rebuild cycles the controller can start a second, Hz
	Rise        float64 // time of the squeeze from nothing to the full demand, s
	Demand      float64 // brake torque asked at each wheel over what the peak grip holds once the load has moved
	LiftControl bool    // release the front before the rear lifts
	Hand        Hand    // the hand's unsteadiness; the zero Hand is steady
	Step        float64 // of the integration, s; 0 for the default
}

// Hand is how a human holds the lever about the demand: five slow waves whose
// phases a seed draws, and a reaction to a locked front wheel. The zero Hand is
// perfectly steady and does not react.
type Hand struct {
	Waves    [5]Wave
	Reaction float64 // time from a locked front wheel to letting go, s; 0 to hold on
}

// Wave is one swing of an unsteady hand: Share·sin(Rate·t + Phase).
type Wave struct {
	Share float64 // of the demand
	Rate  float64 // rad/s
	Phase float64 // rad
}

// Result is what a stop came to, in SI units.
type Result struct {
	StoppingDistance float64 // from the first touch of the lever, m
	BrakingTime      float64 // s
	MeanDeceleration float64 // speed² over twice the distance, m/s²
	PeakDeceleration float64 // m/s²
	FrontLockedTime  float64 // above 10 km/h, s
	RearLockedTime   float64 // above 10 km/h, s
	LiftHeight       float64 // greatest height of the rear tyre above the ground, m
	LiftTime         float64 // with the rear tyre in the air, s
	Cycles           int     // release-and-rebuild cycles of the front wheel (of the rear if only it cycled)
	LeverPulse       float64 // peak to peak at the lever over the demand, mean of the settled cycles
	GripUsed         float64 // mean deceleration over the limit's
	FallLikely       bool
	Over             bool // the bike pitched up to its balance point
	FrontLocks       bool
	TimeToLock       float64 // of the front wheel, s; 0 if it never locked
	PeakFrontLoad    float64 // N
	IdealDistance    float64 // at the limit's deceleration from the first instant, m
	Limit            Limit
	Energy           Energy
}

// Limit is the hardest stop that grip and balance allow on the first surface.
type Limit struct {
	Grip         float64 // deceleration at the peak grip, both wheels at it, m/s²
	Lift         float64 // deceleration that lifts the rear wheel, m/s²
	Deceleration float64 // the lower of the two, m/s²
	FrontForce   float64 // braking force that the front tyre holds at it, N
	RearForce    float64 // and the rear tyre, N
}

// Energy is the account of a stop, J: what the motion lost and where it went.
type Energy struct {
	Kinetic    float64 // lost by travel, spin, heave and pitch
	Brake      float64 // heat of discs and pads
	Slip       float64 // heat of the tyres on the ground
	Drag       float64
	Rolling    float64
	Grade      float64 // height gained times weight
	Suspension float64 // taken by dampers and left in springs and ride height
	Residual   float64 // kinetic less the rest: the error of the integration
}

// Trace holds a run at a fixed interval, one column a quantity. Make it with
// NewTrace; Run overwrites what it held.
type Trace struct {
	Interval      float64 // s
	Time          []float64
	Position      []float64 // of the front tyre from the first touch, m
	Speed         []float64 // m/s
	Deceleration  []float64 // m/s²
	Force         []float64 // braking force of both tyres, N
	FrontSpin     []float64 // rad/s
	RearSpin      []float64
	FrontAngle    []float64 // turned since the start, rad
	RearAngle     []float64
	FrontSlip     []float64 // of the wheel, 0 rolling to 1 locked
	RearSlip      []float64
	FrontPressure []float64 // at the caliper, Pa
	RearPressure  []float64
	FrontMaster   []float64 // asked by the hand, Pa
	RearMaster    []float64
	Lever         []float64 // pulse of the pump at the front lever, Pa
	FrontLoad     []float64 // N
	RearLoad      []float64
	Pitch         []float64 // nose down positive, rad
	Heave         []float64 // of the centre of mass, up positive, m
	Fork          []float64 // compression from full extension, m
	Shock         []float64
	Lift          []float64 // of the rear tyre above the ground, m
	Lean          []float64 // rad
	FrontValve    []float64 // 0 build, 1 hold, 2 dump
	RearValve     []float64
}

// NewTrace returns a Trace with room for a duration at an interval, both in
// seconds. A longer run is recorded to its end by dropping the tail.
func NewTrace(interval, duration float64) *Trace {
	return &Trace{Interval: interval}
}

// Run rides a stop and records it in t, which may be nil. It returns an error
// that says what is wrong when an input is out of range or the bike does not
// stop.
func Run(s *Setup, t *Trace) (Result, error) {
	if s.Speed <= 0 {
		return Result{}, errors.New("speed must be above 0")
	}
	return Result{}, nil
}
