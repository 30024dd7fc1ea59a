package trace

import (
	"math"
	"math/rand/v2"
)

// A ride is an invented stop whose answers are known: an even speed, or one that falls a little with the throttle shut,
// then a slowing that grows over a while, stays, and ends in standstill.
type ride struct {
	speed, coast, rise, slowing float64   // m/s, m/s², s, m/s²
	start                       float64   // s
	soft                        float64   // how the slowing rises: along a straight line (0), along an S (1), or between them
	wander                      []float64 // what the hand adds, m/s² each wanderStep
	pulse                       float64   // of an antilock brake, m/s² at 8 Hz
}

// truth is what the ride comes to, by adding up steps of 0.1 ms. Its peak is the largest mean over half a second.
type truth struct{ start, speed, time, whole, mean, peak float64 }

// at returns the slowing at a time.
func (r ride) at(t float64) float64 {
	if t < r.start {
		return r.coast
	}
	d := t - r.start
	share := min(d/r.rise, 1)
	share = (1-r.soft)*share + r.soft*share*share*(3-2*share)
	full := r.slowing + r.pulse*math.Sin(2*math.Pi*8*d)
	if k := int(d / wanderStep); len(r.wander) > 0 {
		k = min(k, len(r.wander)-2)
		full += r.wander[k] + (r.wander[k+1]-r.wander[k])*min(d/wanderStep-float64(k), 1)
	}
	return r.coast + (full-r.coast)*share
}

const wanderStep = 0.02 // s

// samples returns speed and distance at steps of time up to a second after standstill.
func (r ride) samples(step float64) (t, v, s []float64) {
	const dt = 1e-4
	speed, way, now, still := r.speed+r.coast*r.start, 0.0, 0.0, 0.0
	for next := 0.0; still < 1; now += dt {
		if now >= next-dt/2 {
			t, v, s = append(t, next), append(v, speed), append(s, way)
			next += step
		}
		before := speed
		speed = max(0, speed-r.at(now+dt/2)*dt)
		way += (before + speed) / 2 * dt
		if speed == 0 {
			still += dt
		}
	}
	return t, v, s
}

func (r ride) truth() truth {
	const dt, second = 1e-4, 10_000
	out := truth{start: r.start, speed: r.speed}
	v, way, at80, at10 := r.speed, 0.0, 0.0, 0.0
	var speeds []float64
	t := 0.0
	for ; v > 0; t += dt {
		next := max(0, v-r.at(r.start+t+dt/2)*dt)
		way += (v + next) / 2 * dt
		if v > 0.8*r.speed && next <= 0.8*r.speed {
			at80 = way - (0.8*r.speed-next)/(v-next)*(v+next)/2*dt
		}
		if v > 0.1*r.speed && next <= 0.1*r.speed {
			at10 = way - (0.1*r.speed-next)/(v-next)*(v+next)/2*dt
		}
		v = next
		speeds = append(speeds, v)
		if n := len(speeds); n > second/2 {
			out.peak = max(out.peak, 2*(speeds[n-1-second/2]-v))
		}
	}
	out.time, out.whole, out.mean = t, way, MFDD(r.speed, at80, at10)
	return out
}

// A logger writes what it reads at a rate, with noise, on a grid.
type logger struct {
	rate        float64 // Hz
	noise, grid float64 // m/s, or m of one that logs distance
	jitter      float64 // share of a step that times are off, known to the log
	distance    bool
}

func (l logger) log(r ride, rnd *rand.Rand) Log {
	t, v, s := r.samples(1 / l.rate)
	if l.jitter > 0 {
		t, v, s = r.uneven(1/l.rate, l.jitter, rnd)
	}
	log := Log{Time: t, Grid: l.grid}
	values := v
	if l.distance {
		values = s
	}
	for i := range values {
		x := values[i] + l.noise*rnd.NormFloat64()
		if l.grid > 0 {
			x = math.Round(x/l.grid) * l.grid
		}
		values[i] = x
		log.Row = append(log.Row, i+2)
	}
	if l.distance {
		log.Distance = values
	} else {
		log.Speed = values
	}
	return log
}

// uneven samples at times that are off the even ones.
func (r ride) uneven(step, jitter float64, rnd *rand.Rand) (t, v, s []float64) {
	ft, fv, fs := r.samples(step / 20)
	for i := 0; i < len(ft); i += 20 {
		j := min(max(i+int(20*jitter*(rnd.Float64()-0.5)), 0), len(ft)-1)
		t, v, s = append(t, ft[j]), append(v, fv[j]), append(s, fs[j])
	}
	return t, v, s
}

// someRide draws a ride. Half of the hands hold still, the others wander: a random walk that is pulled back within a
// second or so.
func someRide(rnd *rand.Rand) ride {
	r := ride{
		speed:   (40 + 70*rnd.Float64()) / 3.6,
		coast:   0.5 * rnd.Float64(),
		rise:    0.1 + 0.5*rnd.Float64(),
		slowing: 4 + 6*rnd.Float64(),
		start:   2 + rnd.Float64(),
		soft:    rnd.Float64(),
		pulse:   max(0, rnd.Float64()-0.5),
	}
	if rnd.IntN(2) == 0 {
		size, x := 0.2*math.Exp(2*rnd.Float64()), 0.0
		for range 1000 {
			r.wander = append(r.wander, x)
			x += -x*wanderStep + size*math.Sqrt(wanderStep)*rnd.NormFloat64()
			x = max(x, -0.6*r.slowing)
		}
	}
	return r
}
