package tyre

import (
	"math"
	"testing"
)

// Burckhardt's surfaces have round peaks when the coefficients carry all their
// digits: M. Burckhardt, Fahrwerktechnik: Radschlupf-Regelsysteme (1993), as
// tabulated in Kiencke & Nielsen, Automotive Control Systems. Rounded
// coefficients seen, last digits from memory, peaks derived from them.
func TestBurckhardtPeaks(t *testing.T) {
	for _, c := range []struct {
		id                 string
		slip, peak, locked float64
	}{
		{"dry-asphalt", 0.17001, 1.17002, 0.76010},
		{"wet-asphalt", 0.13084, 0.80134, 0.51000},
		{"dry-concrete", 0.16000, 1.08998, 0.66000},
		{"cobble-dry", 0.40001, 1.00002, 0.70005},
		{"cobble-wet", 0.14001, 0.37997, 0.28000},
		{"snow", 0.06000, 0.19004, 0.13000},
		{"ice", 0.03145, 0.04997, 0.04900},
	} {
		s, ok := Find(c.id)
		if !ok {
			t.Fatalf("no surface %q", c.id)
		}
		slip, peak := s.Peak()
		for _, v := range []struct {
			what      string
			got, want float64
		}{{"peak slip", slip, c.slip}, {"peak grip", peak, c.peak}, {"locked grip", s.Locked(), c.locked}} {
			if math.Abs(v.got-v.want) > 0.6e-5 {
				t.Errorf("%s: %s is %.6f, published %.5f", c.id, v.what, v.got, v.want)
			}
		}
	}
}

// The second parameterisation, slip in percent, for dry concrete: its peak
// 0.9146 at 17.08 % and 0.7290 locked (coefficients seen, peaks derived).
func TestPercentForm(t *testing.T) {
	s := Surface{C1: 0.9 * 1.07, C2: 27.73, C3: 0.9 * 0.26}
	slip, peak := s.Peak()
	if math.Abs(slip-0.1708) > 5e-5 || math.Abs(peak-0.9146) > 5e-5 || math.Abs(s.Locked()-0.7290) > 5e-5 {
		t.Errorf("peak %.4f at %.4f, locked %.4f", peak, slip, s.Locked())
	}
}

// The closed form of the peak is the best of a fine sweep, on every surface.
func TestPeakIsTheBest(t *testing.T) {
	for _, s := range Surfaces() {
		slip, peak := s.Peak()
		if got := s.Grip(slip); math.Abs(got-peak) > 1e-12 {
			t.Errorf("%s: grip at the peak's slip is %v, peak %v", s.ID, got, peak)
		}
		for k := range 10001 {
			if g := s.Grip(float64(k) / 10000); g > peak+1e-9 {
				t.Fatalf("%s: grip %v at slip %v beats the peak %v", s.ID, g, float64(k)/10000, peak)
			}
		}
	}
}

// On loose ground the locked wheel holds most; on firm ground it does not.
func TestLooseGroundHoldsALockedWheel(t *testing.T) {
	loose := map[string]bool{"gravel": true, "deep-sand": true, "loose-snow": true}
	for _, s := range Surfaces() {
		slip, _ := s.Peak()
		if s.Loose() != loose[s.ID] || (slip == 1) != loose[s.ID] {
			t.Errorf("%s: loose %v, peak at slip %v", s.ID, s.Loose(), slip)
		}
	}
}

func TestScaled(t *testing.T) {
	for _, s := range Surfaces() {
		slip, _ := s.Peak()
		half := s.Scaled(0.5)
		if at, peak := half.Peak(); math.Abs(peak-0.5) > 1e-12 || math.Abs(at-slip) > 1e-9 {
			t.Errorf("%s: scaled peak %v at %v, want 0.5 at %v", s.ID, peak, at, slip)
		}
	}
	if s := (Surface{}).Scaled(0.5); s.Grip(0.1) != 0 {
		t.Errorf("a surface without grip gained some")
	}
}

func TestGripIsOddAndBounded(t *testing.T) {
	for _, s := range Surfaces() {
		if g := s.Grip(0); g != 0 {
			t.Errorf("%s: grip %v without slip", s.ID, g)
		}
		for _, k := range []float64{1e-9, 0.03, 0.2, 1} {
			if s.Grip(k) != -s.Grip(-k) {
				t.Errorf("%s: grip is not odd at %v", s.ID, k)
			}
		}
		for _, k := range []float64{1, 5, math.Inf(1)} {
			if s.Grip(k) != s.Locked() {
				t.Errorf("%s: grip at slip %v is not the locked wheel's", s.ID, k)
			}
		}
	}
}

func TestSaturation(t *testing.T) {
	for x := 0.0; x < 50; x += 0.00731 {
		if got, want := Saturation(x), -math.Expm1(-x); math.Abs(got-want) > 1e-15 {
			t.Fatalf("1 - e^-%v is %v, want %v", x, got, want)
		}
	}
	for _, x := range []float64{math.Inf(1), math.NaN(), 1e300} {
		if Saturation(x) != 1 {
			t.Errorf("Saturation(%v) is %v", x, Saturation(x))
		}
	}
}

// Cornering at 30 and 40 degrees on a grip of 1 leaves 0.8165 and 0.5440 for
// braking, at 45 nothing (friction circle: identity, values derived).
func TestLeft(t *testing.T) {
	for _, c := range []struct{ degrees, want float64 }{{0, 1}, {30, 0.8165}, {40, 0.5440}, {45, 0}, {60, 0}} {
		got := Left(math.Tan(c.degrees*math.Pi/180), 1)
		if math.Abs(got-c.want) > 5e-5 {
			t.Errorf("%v degrees leave %v, want %v", c.degrees, got, c.want)
		}
	}
	if Left(0, 0) != 0 {
		t.Error("no grip leaves some")
	}
}

// The coefficient of rolling resistance of firm paving and of loose ground is
// Carvill's (1993): new asphalt 0.01, loose gravel 0.04, sand 0.1 to 0.2 (seen).
func TestRollingResistance(t *testing.T) {
	for _, c := range []struct {
		id        string
		low, high float64
	}{{"dry-asphalt", 0.01, 0.01}, {"dry-concrete", 0.01, 0.01}, {"gravel", 0.04, 0.04}, {"deep-sand", 0.1, 0.2}} {
		if s, _ := Find(c.id); s.Rolling < c.low || s.Rolling > c.high {
			t.Errorf("%s: %v, want %v to %v", c.id, s.Rolling, c.low, c.high)
		}
	}
}

func TestFind(t *testing.T) {
	if _, ok := Find("moon"); ok {
		t.Error("found the moon")
	}
	seen := map[string]bool{}
	for _, s := range Surfaces() {
		if seen[s.ID] || s.Name == "" || s.Source == "" {
			t.Errorf("%q: twice, or without name or source", s.ID)
		}
		seen[s.ID] = true
	}
}
