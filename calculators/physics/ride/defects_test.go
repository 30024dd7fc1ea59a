package ride

import (
	"fmt"
	"math"
	"testing"

	"example.org/gripleaf/calculators/physics/bike"
	"example.org/gripleaf/calculators/physics/tyre"
)

func TestDefects(t *testing.T) {
	for _, c := range []struct {
		s     string
		kmh   float64
		grade float64
		lean  float64
		rate  float64
	}{
		{"dry-asphalt", 80, 0, 24, 50}, {"dry-asphalt", 80, 0, 10, 50}, {"dry-asphalt", 80, 0, 35, 50}, {"dry-asphalt", 50, 0, 24, 10}, {"wet-asphalt", 60, 0, 20, 50}, {"wet-asphalt", 60, 0, 20, 10},
		{"ice", 50, -0.02, 0, 50}, {"ice", 50, -0.04, 0, 50}, {"cobble-wet", 60, -0.12, 0, 10}, {"snow", 60, -0.12, 0, 10}, {"snow", 60, -0.12, 0, 50},
		{"dry-asphalt", 80, -0.1, 0, 50}, {"dry-asphalt", 80, 0.1, 0, 50},
	} {
		for _, bn := range []string{"roadster", "sport"} {
			b, _ := bike.Find(bn)
			sf, _ := tyre.Find(c.s)
			s := Setup{Bike: b, Surface: sf, Speed: c.kmh / 3.6, CycleRate: c.rate, Rise: 0.3, Demand: 1.2, LiftControl: true, Channels: Both, Grade: math.Atan(c.grade), Lean: c.lean * math.Pi / 180}
			r, err := Run(&s, nil)
			fmt.Printf("%-9s %-12s %3.0f km/h grade %5.2f lean %2.0f %3.0f Hz: d %.2f ideal %.2f used %.3f locked %.3f %.3f lift %.0f mm over %v fall %v %v\n", bn, c.s, c.kmh, c.grade, c.lean, c.rate, r.StoppingDistance, r.IdealDistance, r.GripUsed, r.FrontLockedTime, r.RearLockedTime, 1000*r.LiftHeight, r.Over, r.FallLikely, err)
		}
	}
	sand, _ := tyre.Find("deep-sand")
	for _, l := range []float64{2, 4, 8} {
		for _, ch := range []Channels{None, Both} {
			s := on("dry-asphalt")
			s.Demand, s.Patch, s.PatchStart, s.PatchLength, s.Channels = 0.85, &sand, 8, l, ch
			tr := NewTrace(0.002, 40)
			r, err := Run(&s, tr)
			back := 0.0
			for i := range tr.Time {
				if tr.Position[i] > 8+l && back == 0 && tr.FrontForce[i] > 0.8*2400 {
					back = tr.Time[i]
					for k := range tr.Time {
						if tr.Position[k] > 8+l {
							back -= tr.Time[k]
							break
						}
					}
				}
			}
			fmt.Println("patch", l, ch, r.StoppingDistance, r.FrontLockedTime, r.FallLikely, "grip back after", back, err)
		}
	}
}
