// Package hydraulics carries the hand's force to the wheel: lever, master
// cylinder, line, caliper, disc, and the valve that an antilock controller
// puts between master and caliper.
package hydraulics

import "math"

// Circuit is one brake from lever to disc.
type Circuit struct {
	LeverRatio     float64 // force on the master piston over force of the hand
	MasterDiameter float64 // of the master piston, m
	Discs          float64 // discs on the wheel
	Pistons        float64 // pistons on one side of each caliper
	PistonDiameter float64 // m
	PadFriction    float64 // pad on disc
	DiscRadius     float64 // effective, m
	Uptake         float64 // fluid the caliper takes for a pressure, m³/Pa
}

// Pressure returns the line pressure in pascals for a hand force in newtons.
func (c *Circuit) Pressure(hand float64) float64 {
	return hand * c.LeverRatio / disc(c.MasterDiameter)
}

// Clamp returns the force in newtons that presses each pad to its disc.
func (c *Circuit) Clamp(pressure float64) float64 {
	return c.Pistons * pressure * disc(c.PistonDiameter)
}

// Gain returns brake torque over pressure, N·m/Pa: both faces of every disc
// rub at the effective radius, T = discs·clamp·2·friction·radius.
func (c *Circuit) Gain() float64 {
	return c.Discs * c.Clamp(1) * 2 * c.PadFriction * c.DiscRadius
}

// disc returns the area of a circle of a diameter.
func disc(diameter float64) float64 { return math.Pi / 4 * diameter * diameter }

// Valve is the position of the modulator between master and caliper.
type Valve uint8

const (
	Build Valve = iota // the caliper follows the master through an orifice
	Hold               // the caliper is shut off
	Dump               // the caliper empties into the accumulator
)
