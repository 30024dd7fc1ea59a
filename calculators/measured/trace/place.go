package trace

import "math"

// Receivers that log no speed log places: the way is the sum of the short ways between them.

// The ellipsoid of WGS 84 (NIMA TR8350.2): half its long axis in m, and its eccentricity squared.
const (
	halfAxis     = 6378137.0
	eccentricity = 6.69437999014e-3
)

// DegreeNorth is how many m a degree of latitude has, in the middle of them.
const DegreeNorth = 111_132.0

// Between returns the way in m between two places near each other, in degrees:
// along the meridian and the parallel, with the ellipsoid's radii of curvature.
func Between(latitude, longitude, latitude2, longitude2 float64) float64 {
	const degree = math.Pi / 180
	sin, cos := math.Sincos((latitude + latitude2) / 2 * degree)
	w := math.Sqrt(1 - eccentricity*sin*sin)
	north := halfAxis * (1 - eccentricity) / (w * w * w) * (latitude2 - latitude) * degree
	turn := longitude2 - longitude
	switch { // over the date line too
	case turn > 180:
		turn -= 360
	case turn < -180:
		turn += 360
	}
	east := halfAxis / w * cos * turn * degree
	return math.Sqrt(float64(north*north) + float64(east*east))
}

// along returns the way to each of a list of places, NaN where a place is missing.
func along(latitude, longitude []float64) []float64 {
	ways := make([]float64, len(latitude))
	way, before := 0.0, -1
	for i := range ways {
		if math.IsNaN(latitude[i]) || math.IsNaN(longitude[i]) {
			ways[i] = math.NaN()
			continue
		}
		if before >= 0 {
			way += Between(latitude[before], longitude[before], latitude[i], longitude[i])
		}
		ways[i], before = way, i
	}
	return ways
}
