package ride

import (
	"fmt"
	"math"
	"testing"
)

func TestZZ(t *testing.T) {
	for name, s := range scenarios() {
		if s.Channels == None {
			continue
		}
		var a, b run
		h := s
		a.start(&s, nil)
		h.Step = a.step / 2
		b.start(&h, nil)
		worst := 0.0
		jump := ""
		for a.y[speed] > standing && b.y[speed] > standing && !a.tally.over {
			a.tick()
			b.tick()
			d := 0.0
			at := 0
			for i := range moving {
				sc := math.Abs(a.y[i]) + 1e-2
				if x := math.Abs(a.y[i]-b.y[i]) / sc; x > d {
					d, at = x, i
				}
			}
			if d > 10*worst && d > 1e-7 {
				jump += fmt.Sprintf(" [%.3f st%d %.1e k%.4f %.4f w %.2f %.2f N%.0f %.0f]", a.time, at, d, a.y[slipF], a.y[slipR], a.y[spinF], a.y[spinR], a.plant.out[0].load, a.plant.out[1].load)
			}
			worst = max(worst, d)
			if a.orders != b.orders {
				fmt.Printf("%-24s first differs t=%.3f v=%.2f worst %.1e jumps%s\n", name, a.time, a.y[speed], worst, jump)
				break
			}
		}
		if a.orders == b.orders {
			fmt.Printf("%-24s same to the end, worst %.1e %s\n", name, worst, jump)
		}
	}
}
