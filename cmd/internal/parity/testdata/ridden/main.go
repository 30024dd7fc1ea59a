// Command ridden is a module that rides one stop after another, so that a
// browser can tell how long one takes without the answer about it.
package main

import (
	"example.org/gripleaf/calculators/physics/bike"
	"example.org/gripleaf/calculators/physics/ride"
	"example.org/gripleaf/calculators/physics/tyre"
)

func main() {}

// stops rides from 100 km/h, n times, with the controller or without, and
// returns the distance in m.
//
//go:wasmexport stops
func stops(n, controlled int32) float64 {
	b, _ := bike.Find("roadster")
	s, _ := tyre.Find("dry-asphalt")
	setup := ride.Setup{Bike: b, Surface: s, Speed: 100 / 3.6, Rise: 0.3, Demand: 0.9, CycleRate: 50, LiftControl: true}
	if controlled != 0 {
		setup.Channels = ride.Both
	}
	distance := 0.0
	for range n {
		r, err := ride.Run(&setup, nil)
		if err != nil {
			return 0
		}
		distance = r.StoppingDistance
	}
	return distance
}
