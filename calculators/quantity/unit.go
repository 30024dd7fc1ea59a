// Package quantity is a number with its unit: parsed as it stands in a link or in prose,
// converted, and printed for one reader.
//
// Values inside are SI (metre, second, kilogram, newton, pascal, kelvin, radian), shares are fractions.
// It links neither fmt nor reflect, because it travels to the reader's phone in the WebAssembly module.
package quantity

import (
	"math"
	"slices"
)

// Kind says what a number measures. A number of one kind is never read in a unit of another.
type Kind uint8

// The kinds, with the SI unit that a value of each is kept in.
const (
	Number       Kind = iota // a plain number, such as a grip of 0.8
	Share                    // a fraction, printed in percent
	Whole                    // a whole number, such as the teeth of a ring
	YesNo                    // 0 or 1
	Length                   // m
	Speed                    // m/s
	Acceleration             // m/s²
	Time                     // s
	Mass                     // kg
	Force                    // N
	Pressure                 // Pa
	Torque                   // N·m
	Energy                   // J
	Power                    // W
	Temperature              // K, of a thing
	Warming                  // K, a difference
	Angle                    // rad
	Frequency                // Hz
	Inertia                  // kg·m²
	Stiffness                // N/m
	HeatCapacity             // J/(kg·K), of a material
	Area                     // m²
	Damping                  // N·s/m
)

var kindNames = [...]string{
	Number: "a plain number", Share: "a percentage", Whole: "a whole number", YesNo: "yes or no",
	Length: "a distance", Speed: "a speed", Acceleration: "an acceleration", Time: "a time", Mass: "a mass",
	Force: "a force", Pressure: "a pressure", Torque: "a torque", Energy: "an energy", Power: "a power",
	Temperature: "a temperature", Warming: "a temperature difference", Angle: "an angle", Frequency: "a frequency",
	Inertia: "a moment of inertia", Stiffness: "a stiffness", HeatCapacity: "a specific heat",
	Area: "an area", Damping: "a damping rate",
}

// String names the kind with its article, as messages use it.
func (k Kind) String() string { return kindNames[k] }

// Unit is one unit of one kind: SI = value·Scale + Offset.
type Unit struct {
	Symbol string   // as a link writes it, in ASCII where that is usual: "m/s2"
	Shown  string   // as a reader sees it: "m/s²"
	Kind   Kind     // what it measures
	Scale  float64  // SI per unit
	Offset float64  // SI value of zero, for temperatures
	Spoken []string // other spellings, symbols and words, that prose and links may use
}

// Exact factors. International foot, mile, pound: the 1959 agreement; standard gravity: 3rd CGPM (1901), BIPM.
const (
	StandardGravity = 9.80665    // m/s²
	foot            = 0.3048     // m
	inch            = 0.0254     // m
	mile            = 1609.344   // m
	pound           = 0.45359237 // kg
	zeroCelsius     = 273.15     // K
)

// units holds every unit once; the first of a kind is its SI unit.
var units = []Unit{
	{"", "", Number, 1, 0, nil},
	{"", "", Whole, 1, 0, nil},
	{"", "", YesNo, 1, 0, nil},
	{"%", "%", Share, 0.01, 0, []string{"percent", "per cent", "Prozent", "प्रतिशत", "٪", "بالمئة"}},
	{"m", "m", Length, 1, 0, []string{"metre", "metres", "meter", "meters", "Meter", "Metern", "मीटर", "متر", "م"}},
	{"km", "km", Length, 1000, 0, []string{"kilometres", "kilometre", "Kilometer"}},
	{"cm", "cm", Length, 0.01, 0, []string{"centimetres", "centimetre", "Zentimeter"}},
	{"mm", "mm", Length, 0.001, 0, []string{"millimetres", "millimetre", "Millimeter"}},
	{"ft", "ft", Length, foot, 0, []string{"feet", "foot"}},
	{"in", "in", Length, inch, 0, []string{"inch", "inches", "″"}},
	{"yd", "yd", Length, 3 * foot, 0, []string{"yards", "yard"}},
	{"mi", "mi", Length, mile, 0, []string{"miles", "mile"}},
	{"m/s", "m/s", Speed, 1, 0, []string{"metres per second", "meters per second", "मी/से", "م/ث"}},
	{"km/h", "km/h", Speed, 1 / 3.6, 0, []string{"kmh", "kilometres per hour", "किमी/घंटा", "कि.मी./घंटा", "كم/س"}},
	{"mph", "mph", Speed, mile / 3600, 0, []string{"miles per hour"}},
	{"ft/s", "ft/s", Speed, foot, 0, nil},
	{"m/s2", "m/s²", Acceleration, 1, 0, []string{"m/s²", "m/s^2", "metres per second squared", "मी/से²", "م/ث²"}},
	{"g", "g", Acceleration, StandardGravity, 0, nil},
	{"ft/s2", "ft/s²", Acceleration, foot, 0, []string{"ft/s²", "ft/s^2"}},
	{"s", "s", Time, 1, 0, []string{"second", "seconds", "sec", "Sekunde", "Sekunden", "सेकंड", "ثانية", "ث"}},
	{"ms", "ms", Time, 0.001, 0, []string{"milliseconds", "Millisekunden"}},
	{"min", "min", Time, 60, 0, []string{"minutes", "minute", "Minuten"}},
	{"h", "h", Time, 3600, 0, []string{"hours", "hour"}},
	{"kg", "kg", Mass, 1, 0, []string{"kilograms", "kilogram", "Kilogramm"}},
	{"lb", "lb", Mass, pound, 0, []string{"lbs", "pounds", "pound"}},
	{"t", "t", Mass, 1000, 0, []string{"tonnes", "tonne"}},
	{"N", "N", Force, 1, 0, []string{"newtons", "newton", "Newton"}},
	{"kN", "kN", Force, 1000, 0, nil},
	{"lbf", "lbf", Force, pound * StandardGravity, 0, []string{"pounds-force", "pound-force"}},
	{"Pa", "Pa", Pressure, 1, 0, nil},
	{"bar", "bar", Pressure, 1e5, 0, nil},
	{"kPa", "kPa", Pressure, 1e3, 0, nil},
	{"MPa", "MPa", Pressure, 1e6, 0, nil},
	{"psi", "psi", Pressure, pound * StandardGravity / (inch * inch), 0, nil},
	{"Nm", "N·m", Torque, 1, 0, []string{"N·m", "N m"}},
	{"lbf-ft", "lbf·ft", Torque, pound * StandardGravity * foot, 0, []string{"lbf·ft", "lb-ft", "lb·ft"}},
	{"J", "J", Energy, 1, 0, []string{"joules", "joule"}},
	{"kJ", "kJ", Energy, 1e3, 0, []string{"kilojoules"}},
	{"MJ", "MJ", Energy, 1e6, 0, nil},
	{"ft-lbf", "ft·lbf", Energy, pound * StandardGravity * foot, 0, []string{"ft·lbf"}},
	{"BTU", "BTU", Energy, 1055.05585262, 0, nil}, // International Table BTU
	{"W", "W", Power, 1, 0, []string{"watts"}},
	{"kW", "kW", Power, 1e3, 0, []string{"kilowatts"}},
	{"hp", "hp", Power, 550 * foot * pound * StandardGravity, 0, []string{"horsepower"}},
	{"K", "K", Temperature, 1, 0, []string{"kelvin"}},
	{"degC", "°C", Temperature, 1, zeroCelsius, []string{"°C", "C"}},
	{"degF", "°F", Temperature, 5.0 / 9, zeroCelsius - 32*5.0/9, []string{"°F", "F"}},
	{"K", "K", Warming, 1, 0, []string{"kelvin", "degC", "°C"}},
	{"degF", "°F", Warming, 5.0 / 9, 0, []string{"°F"}},
	{"rad", "rad", Angle, 1, 0, nil},
	{"deg", "°", Angle, math.Pi / 180, 0, []string{"°", "degrees", "degree", "Grad"}},
	{"Hz", "Hz", Frequency, 1, 0, []string{"/s", "hertz"}},
	{"kHz", "kHz", Frequency, 1e3, 0, nil},
	{"kgm2", "kg·m²", Inertia, 1, 0, []string{"kg·m²", "kg m²"}},
	{"lbft2", "lb·ft²", Inertia, pound * foot * foot, 0, []string{"lb·ft²"}},
	{"N/m", "N/m", Stiffness, 1, 0, nil},
	{"N/mm", "N/mm", Stiffness, 1e3, 0, nil},
	{"lbf/in", "lbf/in", Stiffness, pound * StandardGravity / inch, 0, []string{"lb/in"}},
	{"m2", "m²", Area, 1, 0, []string{"m²"}},
	{"ft2", "ft²", Area, foot * foot, 0, []string{"ft²"}},
	{"Ns/m", "N·s/m", Damping, 1, 0, []string{"N·s/m"}},
	{"lbf-s/in", "lbf·s/in", Damping, pound * StandardGravity / inch, 0, []string{"lbf·s/in"}},
	{"J/kgK", "J/(kg·K)", HeatCapacity, 1, 0, []string{"J/(kg·K)"}},
	{"BTU/lbF", "BTU/(lb·°F)", HeatCapacity, 1055.05585262 / pound * 9 / 5, 0, nil},
}

// Find gives the unit of a kind that is written so, by symbol, shown form or other spelling.
func Find(kind Kind, written string) (*Unit, bool) {
	for i := range units {
		u := &units[i]
		if u.Kind == kind && u.spelt(written) {
			return u, true
		}
	}
	return nil, false
}

// Must is Find for units named in code; an unknown one is a mistake in the program.
func Must(kind Kind, symbol string) *Unit {
	u, ok := Find(kind, symbol)
	if !ok {
		panic("quantity: " + kind.String() + " has no unit " + symbol)
	}
	return u
}

func (u *Unit) spelt(written string) bool {
	return written == u.Symbol || written == u.Shown || slices.Contains(u.Spoken, written)
}

// Symbols lists what a link may write for a kind, in the order of the table.
func Symbols(kind Kind) []string {
	var list []string
	for i := range units {
		if units[i].Kind == kind && units[i].Symbol != "" {
			list = append(list, units[i].Symbol)
		}
	}
	return list
}

// SI converts a number in u to SI. A unit that is a whole part of the SI unit divides, so that 1400 mm are 1.4 m to the
// last digit.
func (u *Unit) SI(n float64) float64 {
	if parts, ok := u.parts(); ok {
		return n/parts + u.Offset
	}
	return float64(n*u.Scale) + u.Offset
}

// From converts an SI value to a number in u.
func (u *Unit) From(si float64) float64 {
	if parts, ok := u.parts(); ok {
		return (si - u.Offset) * parts
	}
	return (si - u.Offset) / u.Scale
}

// parts is how many of u make one SI unit, if that is a whole number.
func (u *Unit) parts() (float64, bool) {
	parts := math.Round(1 / u.Scale)
	return parts, parts > 1 && 1/parts == u.Scale
}
