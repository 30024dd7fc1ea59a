package ride

import (
	"testing"

	"example.org/gripleaf/calculators/physics/bike"
	"example.org/gripleaf/calculators/physics/tyre"
)

// benchStop is a plain stop from 100 km/h on dry asphalt.
func benchStop(channels Channels) Setup {
	b, _ := bike.Find("roadster")
	s, _ := tyre.Find("dry-asphalt")
	return Setup{Bike: b, Surface: s, Speed: 100 / 3.6, Rise: 0.3, Demand: 0.9, CycleRate: 50, Channels: channels, LiftControl: true}
}

func BenchmarkStop(b *testing.B) {
	for name, c := range map[string]Channels{"plain": None, "antilock": Both} {
		b.Run(name, func(b *testing.B) {
			s := benchStop(c)
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Run(&s, nil); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
