package ride

import (
	"flag"
	"fmt"
	"testing"

	"example.org/gripleaf/calculators/physics/bike"
	"example.org/gripleaf/calculators/physics/tyre"
)

var exSpeed = flag.Float64("xkmh", 80, "")

func TestDump(t *testing.T) {
	b, _ := bike.Find(*exBike)
	sf, _ := tyre.Find(*exSurf)
	var rate float64
	fmt.Sscan(*exRate, &rate)
	s := Setup{Bike: b, Surface: sf, Speed: *exSpeed / 3.6, CycleRate: rate, Rise: 0.3, Demand: *exDemand, LiftControl: true, Channels: Both}
	tr := NewTrace(0.002, 40)
	r, err := Run(&s, tr)
	fmt.Println(r, err)
	for i := range tr.Time {
		if i%int(*exStep) == 0 {
			fmt.Printf("%.3f v %.2f slip %.3f p %.2f m %.1f valve %d F %.0f N %.0f mu %.3f | r slip %.3f p %.2f N %.0f v %d pitch %.4f lift %.0f\n", tr.Time[i], tr.Speed[i], tr.FrontSlip[i], tr.FrontPressure[i]/1e5, tr.FrontMaster[i]/1e5, tr.FrontValve[i], tr.FrontForce[i], tr.FrontLoad[i], tr.FrontForce[i]/tr.FrontLoad[i], tr.RearSlip[i], tr.RearPressure[i]/1e5, tr.RearLoad[i], tr.RearValve[i], tr.Pitch[i], 1000*tr.Lift[i])
		}
	}
}
