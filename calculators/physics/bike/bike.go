// Package bike holds the motorcycles of the Ferndale school. They are made up:
// every figure is invented, demo, chosen to be of the size that the published
// sets beside it show, and none is of a machine on sale.
//
//   - wheel spin inertia: 0.58 front and 0.74 rear kg·m² (Sharp 1994)
//   - drag area 0.18 to 0.7 m² (Cossalter, Motorcycle Dynamics, quoted second hand)
//   - height of the centre of mass over wheelbase: 0.50 for a tourer, 0.55 for
//     a sport bike (J. R. Davis, Stoppies part 1)
package bike

import (
	"example.org/gripleaf/calculators/physics/chassis"
	"example.org/gripleaf/calculators/physics/hydraulics"
)

// Bike is a motorcycle with its rider aboard, at rest on level ground.
type Bike struct {
	ID, Name   string
	Mass       float64 // bike and rider, kg
	Wheelbase  float64 // m
	CGHeight   float64 // of the centre of mass of bike and rider, m
	FrontShare float64 // of the weight on the front tyre
	Gyration   float64 // radius of gyration in pitch, m
	DragArea   float64 // drag coefficient times frontal area, m²
	Front      End
	Rear       End
}

// End is one end of a bike: wheel, suspension and brake.
type End struct {
	Radius     float64 // of the rolling tyre, m
	Inertia    float64 // of the wheel in spin, kg·m²
	Unsprung   float64 // mass that follows the ground, kg
	Relaxation float64 // length the tread rolls while force builds, m
	Teeth      float64 // of the sensor's ring
	Suspension chassis.Suspension
	Brake      hydraulics.Circuit
}

// Find returns the preset with an ID.
func Find(id string) (Bike, bool) {
	for _, b := range Presets() {
		if b.ID == id {
			return b, true
		}
	}
	return Bike{}, false
}
