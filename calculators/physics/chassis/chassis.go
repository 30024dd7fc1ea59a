// Package chassis says how braking moves load from the rear tyre to the front.
package chassis

// Suspension is the spring and damper of one end, at the wheel.
type Suspension struct {
	Rate        float64 // of the spring, N/m
	Preload     float64 // force at full extension, N
	Travel      float64 // from full extension to the bump stop, m
	Compression float64 // damping while the wheel rises, N·s/m
	Rebound     float64 // damping while it falls, N·s/m
}
