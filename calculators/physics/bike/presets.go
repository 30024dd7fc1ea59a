package bike

import (
	"example.org/gripleaf/calculators/physics/chassis"
	"example.org/gripleaf/calculators/physics/hydraulics"
)

// Presets returns the school's bikes in a fixed order; the first, the
// roadster, is the default. All figures are invented, demo.
func Presets() []Bike {
	return []Bike{roadster(), scooter(), tourer(), sport()}
}

// roadster is the school's workhorse.
func roadster() Bike {
	return Bike{
		ID: "roadster", Name: "Roadster",
		Mass: 260, Wheelbase: 1.400, CGHeight: 0.650, FrontShare: 0.48, Gyration: 0.45, DragArea: 0.45,
		Front: End{
			Radius: 0.300, Inertia: 0.45, Unsprung: 17, Relaxation: 0.15, Teeth: 48,
			Suspension: chassis.Suspension{Rate: 15000, Preload: 550, Travel: 0.130, Compression: 450, Rebound: 1300},
			Brake:      hydraulics.Circuit{LeverRatio: 5, MasterDiameter: 0.016, Discs: 2, Pistons: 2, PistonDiameter: 0.030, PadFriction: 0.45, DiscRadius: 0.125, Uptake: 1.3e-13},
		},
		Rear: End{
			Radius: 0.310, Inertia: 0.70, Unsprung: 24, Relaxation: 0.18, Teeth: 48,
			Suspension: chassis.Suspension{Rate: 20000, Preload: 350, Travel: 0.120, Compression: 900, Rebound: 1900},
			Brake:      hydraulics.Circuit{LeverRatio: 4, MasterDiameter: 0.014, Discs: 1, Pistons: 1, PistonDiameter: 0.034, PadFriction: 0.45, DiscRadius: 0.100, Uptake: 0.8e-13},
		},
	}
}

// scooter is light, on small wheels, with its weight far back.
func scooter() Bike {
	return Bike{
		ID: "scooter", Name: "Scooter",
		Mass: 205, Wheelbase: 1.340, CGHeight: 0.620, FrontShare: 0.41, Gyration: 0.42, DragArea: 0.50,
		Front: End{
			Radius: 0.255, Inertia: 0.25, Unsprung: 13, Relaxation: 0.13, Teeth: 44,
			Suspension: chassis.Suspension{Rate: 11000, Preload: 350, Travel: 0.105, Compression: 350, Rebound: 900},
			Brake:      hydraulics.Circuit{LeverRatio: 5, MasterDiameter: 0.0127, Discs: 1, Pistons: 2, PistonDiameter: 0.027, PadFriction: 0.45, DiscRadius: 0.105, Uptake: 0.9e-13},
		},
		Rear: End{
			Radius: 0.255, Inertia: 0.35, Unsprung: 22, Relaxation: 0.15, Teeth: 44,
			Suspension: chassis.Suspension{Rate: 18000, Preload: 300, Travel: 0.095, Compression: 700, Rebound: 1400},
			Brake:      hydraulics.Circuit{LeverRatio: 5, MasterDiameter: 0.0127, Discs: 1, Pistons: 1, PistonDiameter: 0.032, PadFriction: 0.45, DiscRadius: 0.095, Uptake: 0.8e-13},
		},
	}
}

// tourer is long, low and heavy: its front locks before its rear lifts.
func tourer() Bike {
	return Bike{
		ID: "tourer", Name: "Tourer",
		Mass: 395, Wheelbase: 1.620, CGHeight: 0.610, FrontShare: 0.47, Gyration: 0.48, DragArea: 0.60,
		Front: End{
			Radius: 0.312, Inertia: 0.62, Unsprung: 21, Relaxation: 0.17, Teeth: 48,
			Suspension: chassis.Suspension{Rate: 22000, Preload: 700, Travel: 0.125, Compression: 650, Rebound: 1900},
			Brake:      hydraulics.Circuit{LeverRatio: 5, MasterDiameter: 0.016, Discs: 2, Pistons: 2, PistonDiameter: 0.032, PadFriction: 0.45, DiscRadius: 0.130, Uptake: 1.4e-13},
		},
		Rear: End{
			Radius: 0.320, Inertia: 0.90, Unsprung: 30, Relaxation: 0.20, Teeth: 48,
			Suspension: chassis.Suspension{Rate: 30000, Preload: 550, Travel: 0.110, Compression: 1300, Rebound: 2700},
			Brake:      hydraulics.Circuit{LeverRatio: 4, MasterDiameter: 0.014, Discs: 1, Pistons: 2, PistonDiameter: 0.030, PadFriction: 0.45, DiscRadius: 0.115, Uptake: 1.0e-13},
		},
	}
}

// sport is short and tall: its rear lifts before its front locks.
func sport() Bike {
	return Bike{
		ID: "sport", Name: "Sport",
		Mass: 265, Wheelbase: 1.390, CGHeight: 0.700, FrontShare: 0.51, Gyration: 0.44, DragArea: 0.35,
		Front: End{
			Radius: 0.299, Inertia: 0.42, Unsprung: 16, Relaxation: 0.15, Teeth: 48,
			Suspension: chassis.Suspension{Rate: 17000, Preload: 550, Travel: 0.120, Compression: 500, Rebound: 1400},
			Brake:      hydraulics.Circuit{LeverRatio: 5, MasterDiameter: 0.016, Discs: 2, Pistons: 2, PistonDiameter: 0.030, PadFriction: 0.45, DiscRadius: 0.130, Uptake: 1.3e-13},
		},
		Rear: End{
			Radius: 0.315, Inertia: 0.75, Unsprung: 24, Relaxation: 0.18, Teeth: 48,
			Suspension: chassis.Suspension{Rate: 22000, Preload: 400, Travel: 0.125, Compression: 950, Rebound: 1950},
			Brake:      hydraulics.Circuit{LeverRatio: 4, MasterDiameter: 0.014, Discs: 1, Pistons: 1, PistonDiameter: 0.034, PadFriction: 0.45, DiscRadius: 0.095, Uptake: 0.8e-13},
		},
	}
}
