// Package tyre says how much braking force the ground gives for a given slip.
//
// Slip is the share of the ground speed that the tread does not follow,
//
//	slip = (v - ω·R) / v
//
// 0 for a rolling wheel and 1 for a locked one; grip is braking force over
// load. On firm ground the curve is Burckhardt's,
//
//	grip(slip) = C1·(1 - exp(-C2·slip)) - C3·slip
//
// (M. Burckhardt, Fahrwerktechnik: Radschlupf-Regelsysteme, 1993). It rises
// steeply, peaks, and falls to the grip of a sliding tyre. On loose ground a
// wheel that slides heaps up what it slides over, and the heap pushes back: a
// wedge term that grows with the square of slip is added, and the locked wheel
// holds most.
package tyre

import "math"

// Surface is the ground under a tyre. The zero Surface has no grip.
type Surface struct {
	ID         string  // stable, as links carry it
	Name       string  // for readers
	C1, C2, C3 float64 // Burckhardt's coefficients, each at least 0
	Wedge      float64 // grip that the heap before a locked wheel adds
	Rolling    float64 // rolling resistance over load
	Source     string  // where the figures come from
}

// Loose reports whether a sliding wheel digs in.
func (s Surface) Loose() bool { return s.Wedge > 0 }

// Grip returns braking force over load at a slip, odd in slip and held at the
// value of a locked wheel outside -1 to 1.
func (s *Surface) Grip(slip float64) float64 {
	k := math.Abs(slip)
	if k > 1 {
		k = 1
	}
	grip := s.C1*Saturation(s.C2*k) - s.C3*k + s.Wedge*k*k
	if slip < 0 {
		return -grip
	}
	return grip
}

// Peak returns the slip of greatest grip between rolling and locked, and that
// grip: the crest of the curve, or on loose ground the locked wheel's.
func (s *Surface) Peak() (slip, grip float64) {
	slip, grip = s.Crest()
	if locked := s.Locked(); locked >= grip {
		return 1, locked
	}
	return slip, grip
}

// Crest returns the slip at which the rolling tyre's own curve is highest,
// ln(C1·C2/C3)/C2, and the grip there, the wedge included. On loose ground it
// is the best that a wheel has which is kept turning. A curve that only rises
// has its crest at the locked wheel.
func (s *Surface) Crest() (slip, grip float64) {
	if s.C3 > 0 && s.C2 > 0 && s.C1*s.C2 > s.C3 {
		if slip = math.Log(s.C1*s.C2/s.C3) / s.C2; slip < 1 {
			return slip, s.Grip(slip)
		}
	}
	return 1, s.Locked()
}

// Locked returns the grip of a wheel that does not turn.
func (s *Surface) Locked() float64 { return s.Grip(1) }

// Scaled returns the same curve with its ordinates scaled so that the greatest
// grip is peak. A surface without grip stays without.
func (s Surface) Scaled(peak float64) Surface {
	_, have := s.Peak()
	if have <= 0 {
		return s
	}
	f := peak / have
	s.C1, s.C3, s.Wedge = s.C1*f, s.C3*f, s.Wedge*f
	return s
}

// Left returns the share of braking grip that a corner leaves, by the ellipse
// of combined grip (Fx/Fx,max)² + (Fy/Fy,max)² = 1, when the corner asks for
// the lateral force over load and the surface gives at most peak. It is 0 when
// the corner asks for all there is.
func Left(lateral, peak float64) float64 {
	if peak <= 0 {
		return 0
	}
	q := lateral / peak
	if q = 1 - q*q; q > 0 {
		return math.Sqrt(q)
	}
	return 0
}
