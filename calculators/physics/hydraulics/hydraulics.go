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

// Modulator is the valve block of one circuit. The figures are invented, demo,
// of the size that fills a caliper in a few hundredths of a second.
type Modulator struct {
	Inlet       float64 // orifice from the master, m³/s per √Pa
	Outlet      float64 // orifice into the accumulator, m³/s per √Pa
	Accumulator float64 // pressure in the accumulator, Pa
	Pump        float64 // flow back to the master while there is fluid, m³/s
	Lever       float64 // fluid the lever takes for a pressure, m³/Pa
	Yield       float64 // time in which the hand gives way to a pulse, s
	Delay       float64 // from the controller's command to the valve, s
}

// Standard returns the block fitted to every demo bike.
func Standard() Modulator {
	return Modulator{
		Inlet: 1.1e-8, Outlet: 1.0e-8, Accumulator: 0.3e5,
		Pump: 4e-6, Lever: 3e-13, Yield: 0.08, Delay: 0.002,
	}
}

// laminar is the pressure drop below which an orifice's flow is no longer
// turbulent and tends to grow with the drop itself.
const laminar = 2e5

// Orifice returns flow over the orifice's coefficient for a pressure drop in
// pascals: √drop for a large one, and linear near nothing, where the square
// root would have no slope to integrate.
func Orifice(drop float64) float64 {
	return drop / math.Sqrt(math.Abs(drop)+laminar)
}

// Drop returns the pressure drop that passes what Orifice returns for it.
func Drop(flow float64) float64 {
	q := flow * flow
	return 0.5 * (q + math.Abs(flow)*math.Sqrt(q+4*laminar))
}
