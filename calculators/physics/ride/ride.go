package ride

import (
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
	FrontTold   float64 // radius of the front wheel that the controller was told, m; 0 for the true one
	Obstacle    float64 // on the way, from the first touch of the lever, m; 0 for none
	Hand        Hand    // the hand's unsteadiness; the zero Hand is steady
	Ripple      Ripple  // of the grip along the road; the zero Ripple is even
	Step        float64 // of the integration, s; 0 for the default. Without a controller one longer than its tick is the hand's clock too: for crowds
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
	Fall             Fall
	FallTime         float64 // when that was; 0 without a fall, s
	FrontLocks       bool
	TimeToLock       float64 // of the front wheel, s; 0 if it never locked
	PeakFrontLoad    float64 // N
	IdealDistance    float64 // at the limit's deceleration from the first instant, m
	ImpactSpeed      float64 // of the front tyre at the obstacle; 0 if it stops before, m/s
	Limit            Limit
	Energy           Energy
}

// Fall is why a bike is likely to go down, the first reason that came.
type Fall uint8

const (
	Upright        Fall = iota
	FrontLocked         // for longer than a rider can balance a wheel that steers nothing
	OverTheFront        // the bike pitched up to its balance point
	SlidOut             // the corner asked for more grip than there was
	RearSteppedOut      // the rear wheel locked in a lean
)

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
