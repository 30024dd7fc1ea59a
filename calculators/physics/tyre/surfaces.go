package tyre

// The surfaces that lessons may name, in the order they are offered.

const (
	burckhardt = "Burckhardt 1993, coefficients as tabulated in Kiencke & Nielsen, Automotive Control Systems; last digits from memory"
	invented   = "invented, demo: sized to published locked-wheel grip and to the mean loss of nine cars with antilock brakes on gravel, 27.2 % (NHTSA Light Vehicle ABS Research Program, Task 4)"
)

// Surfaces returns every surface in a fixed order, firm before loose.
// Rolling resistance: Carvill 1993 for new and worn paving, loose gravel and
// sand; cobbles, snow and ice are invented, demo.
func Surfaces() []Surface {
	return []Surface{
		{"dry-asphalt", "dry asphalt", 1.2801, 23.99, 0.52, 0, 0.01, burckhardt},
		{"wet-asphalt", "wet asphalt", 0.857, 33.822, 0.347, 0, 0.01, burckhardt},
		{"dry-concrete", "dry concrete", 1.1973, 25.168, 0.5373, 0, 0.01, burckhardt},
		{"cobble-dry", "dry cobblestones", 1.3713, 6.4565, 0.6691, 0, 0.015, burckhardt},
		{"cobble-wet", "wet cobblestones", 0.4004, 33.708, 0.1204, 0, 0.015, burckhardt},
		{"snow", "packed snow", 0.1946, 94.129, 0.0646, 0, 0.015, burckhardt},
		{"ice", "ice", 0.05, 306.39, 0.001, 0, 0.01, burckhardt},
		{"gravel", "loose gravel", 0.55, 22, 0.08, 0.18, 0.04, invented},
		{"deep-sand", "deep sand", 0.38, 16, 0.03, 0.25, 0.15, invented},
		{"loose-snow", "loose snow", 0.22, 30, 0.04, 0.12, 0.06, invented},
	}
}

// Find returns the surface with an ID.
func Find(id string) (Surface, bool) {
	for _, s := range Surfaces() {
		if s.ID == id {
			return s, true
		}
	}
	return Surface{}, false
}
