package ride

import (
	"flag"
	"fmt"
	"math"
	"sort"
	"strconv"
	"strings"
	"testing"

	"example.org/gripleaf/calculators/physics/bike"
	"example.org/gripleaf/calculators/physics/tyre"
)

var exSurf = flag.String("xs", "dry-asphalt,wet-asphalt,dry-concrete,cobble-dry,cobble-wet,snow,ice,gravel,deep-sand,loose-snow", "")
var exRate = flag.String("xr", "5,10,20,50,100", "")
var exBike = flag.String("xb", "roadster", "")
var exDemand = flag.Float64("xd", 1.2, "")
var exSeeds = flag.Int("xn", 0, "")
var exSeed = flag.Uint64("xseed", 0, "")
var exShow = flag.Bool("xshow", false, "")
var exStep = flag.Float64("xv", 1, "")

// fitSmooth returns relative residuals of d to c0 + c1 v + ... c4 v^4 weighted by 1/d.
func fitSmooth(v, d []float64) []float64 {
	const n = 5
	var a [n][n + 1]float64
	row := func(x, y float64) (r [n + 1]float64) {
		x /= 20
		p := 1.0
		for i := range n {
			r[i] = p / y
			p *= x
		}
		r[n] = 1
		return
	}
	for i := range v {
		r := row(v[i], d[i])
		for j := range n {
			for k := range n + 1 {
				a[j][k] += r[j] * r[k]
			}
		}
	}
	for c := range n {
		p := c
		for r := c; r < n; r++ {
			if math.Abs(a[r][c]) > math.Abs(a[p][c]) {
				p = r
			}
		}
		a[c], a[p] = a[p], a[c]
		for r := range n {
			if r != c {
				f := a[r][c] / a[c][c]
				for k := c; k <= n; k++ {
					a[r][k] -= f * a[c][k]
				}
			}
		}
	}
	res := make([]float64, len(v))
	for i := range v {
		r := row(v[i], d[i])
		sum := 0.0
		for j := range n {
			sum += r[j] * a[j][n] / a[j][j]
		}
		res[i] = 1 - sum
	}
	return res
}

func TestExplore(t *testing.T) {
	b, _ := bike.Find(*exBike)
	for _, sn := range strings.Split(*exSurf, ",") {
		sf, _ := tyre.Find(sn)
		crest, _ := sf.Crest()
		for _, rs := range strings.Split(*exRate, ",") {
			rate, _ := strconv.ParseFloat(rs, 64)
			var vs, ds []float64
			var slips, effs, cps []float64
			lock, lift, over, maxlift := 0, 0, 0, 0.0
			top := 150.0
			if sn == "ice" || sn == "snow" || sn == "loose-snow" {
				top = 90
			}
			for kmh := 30.0; kmh <= top; kmh += *exStep {
				s := Setup{Bike: b, Surface: sf, Speed: kmh / 3.6, CycleRate: rate, Rise: 0.3, Demand: *exDemand, LiftControl: true, Channels: Both}
				var r Result
				tr := NewTrace(0.002, 40)
				var err error
				if *exSeeds == 0 {
					r, err = Run(&s, tr)
				} else {
					var rr []Result
					for k := range *exSeeds {
						s2 := s
						s2.vary(k)
						r, err = Run(&s2, nil)
						if err != nil {
							break
						}
						rr = append(rr, r)
					}
					s.vary(0)
					Run(&s, tr)
					sort.Slice(rr, func(i, j int) bool { return rr[i].StoppingDistance < rr[j].StoppingDistance })
					r = rr[len(rr)/2]
				}
				if err != nil {
					fmt.Println(sn, rate, kmh, err)
					continue
				}
				vs, ds = append(vs, s.Speed), append(ds, r.StoppingDistance)
				if r.FrontLockedTime > 0.03 {
					if *exShow {
						fmt.Printf("  locked at %.1f km/h: %.3f s\n", kmh, r.FrontLockedTime)
					}
					lock++
				}
				if r.LiftHeight > 0.02 {
					lift++
				}
				maxlift = max(maxlift, r.LiftHeight)
				if r.Over {
					over++
				}
				from := -1
				for i := range tr.Time {
					if tr.Time[i] > 0.5 && tr.Speed[i] > 10/3.6 {
						slips = append(slips, tr.FrontSlip[i])
						if from < 0 {
							from = i
						}
					} else if from >= 0 && tr.Speed[i] <= 10/3.6 {
						a := (sq(tr.Speed[from]) - sq(tr.Speed[i])) / 2 / (tr.Position[i] - tr.Position[from])
						k := 0.5 * airDensity * b.DragArea / b.Mass
						effs = append(effs, (a-k*(sq(tr.Speed[from])+sq(tr.Speed[i]))/2)/r.Limit.Deceleration)
						break
					}
				}
				if *exShow && len(effs) > 0 {
					fmt.Printf("  %.0f km/h eff %.3f d %.2f\n", kmh, effs[len(effs)-1], r.StoppingDistance)
				}
				cps = append(cps, float64(r.Cycles)/r.BrakingTime)
			}
			sort.Float64s(slips)
			sort.Float64s(effs)
			fall, rms, step := 0.0, 0.0, 0.0
			res := fitSmooth(vs, ds)
			high := 0.0
			for i := range ds {
				high = max(high, ds[i])
				fall = max(fall, 1-ds[i]/high)
				rms += res[i] * res[i]
				if i > 0 {
					step = max(step, math.Abs(res[i]-res[i-1]))
				}
			}
			q := func(x []float64, p float64) float64 {
				if len(x) == 0 {
					return math.NaN()
				}
				return x[int(p*float64(len(x)-1))]
			}
			fmt.Printf("%-12s %4.0f Hz fall %4.1f rms %5.2f step %5.1f lock %2d over %d lift>2cm %2d max %3.0f mm  slip %.3f (peak %.3f; %.3f-%.3f) eff %.3f-%.3f-%.3f  d80 %.2f cyc/s %.1f\n", sn, rate, 100*fall, 100*math.Sqrt(rms/float64(len(ds))), 100*step, lock, over, lift, 1000*maxlift,
				q(slips, .5), crest, q(slips, .1), q(slips, .9), q(effs, 0), q(effs, .5), q(effs, 1), ds[min(len(ds)-1, int(50 / *exStep))], func() float64 { sort.Float64s(cps); return q(cps, .5) }())
		}
	}
}

func sq(x float64) float64 { return x * x }

func (s *Setup) vary(k int) { *s = s.Varied(uint64(k) + *exSeed) }
