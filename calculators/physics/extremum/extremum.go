// Package extremum has the larger and the smaller of two numbers for inner loops:
// in WebAssembly math's and the language's own are calls. Neither is given NaN.
package extremum

// Max returns the larger of two numbers, neither of which is NaN.
func Max(a, b float64) float64 {
	if b > a {
		return b
	}
	return a
}

// Min returns the smaller of two numbers, neither of which is NaN.
func Min(a, b float64) float64 {
	if b < a {
		return b
	}
	return a
}
