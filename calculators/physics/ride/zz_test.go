package ride

import (
	"example.org/gripleaf/calculators/physics/bike"
	"example.org/gripleaf/calculators/physics/tyre"
	"fmt"
	"testing"
)

func TestZZ(t *testing.T) {
	b, _ := bike.Find("roadster")
	sf, _ := tyre.Find("snow")
	s := Setup{Bike: b, Surface: sf, Speed: 80 / 3.6, Rise: .3, Demand: 1.2, Channels: Both, CycleRate: 100}
	var r run
	r.start(&s, nil)
	for r.time < 2 {
		v0 := r.y[speed]
		r.tick()
		if r.ticks > 1000 && r.ticks < 1040 {
			fmt.Printf("t=%.3f v=%.2f ref=%.2f wf=%.2f wr=%.2f a=%.2f p=%.3f %s\n", r.time, r.y[speed], r.unit.Speed(), r.y[spinF]*.3, r.y[spinR]*.31, (v0-r.y[speed])/.001, r.y[pressureR]/1e5, r.unit.Debug())
		}
	}
}
