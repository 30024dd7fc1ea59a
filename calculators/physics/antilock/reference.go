package antilock

// reference is the unit's guess of the ground speed. The faster wheel is taken
// to roll; a speed that falls faster than is believable is not followed. What
// is believable is learned: each time a released wheel comes back to the
// ground's speed, the slope since the last time is what the ground can do.
type reference struct {
	speed    float64
	bound    float64 // largest believable deceleration, m/s²
	learned  float64 // deceleration between two recoveries, m/s²; 0 before there were two
	smooth   float64 // deceleration of the reference, smoothed, m/s²
	since    float64 // time of the last recovery
	was      float64 // speed at the last recovery
	adrift   float64 // time for which no wheel has met the reference, s
	recently bool    // there was a recovery
}

const (
	believable = 12.75 // 1.3 g: more than rubber holds on any road, invented, demo
	margin     = 1.5   // above what was learned, m/s²
	smoothing  = 0.05  // s
)

// follow moves the reference on by a tick, given the fastest trusted wheel.
func (r *reference) follow(fastest float64) {
	before := r.speed
	r.speed = max(0, r.speed-r.bound*Tick)
	if fastest >= r.speed {
		r.speed, r.adrift = fastest, 0
	} else if r.adrift += Tick; r.adrift > 0.25 {
		r.bound = min(believable, r.bound+believable*Tick/0.3)
	}
	r.smooth += ((before-r.speed)/Tick - r.smooth) * Tick / smoothing
}

// recovered tells the reference that a wheel has stopped gaining speed: it
// rolls again, so at t the ground moves at its speed or a little faster.
func (r *reference) recovered(t, fastest float64) {
	r.speed, r.adrift = min(r.speed, fastest*1.01), 0
	if !r.recently {
		r.recently, r.since, r.was = true, t, r.speed
		return
	}
	if t-r.since < 0.04 {
		return
	}
	slope := min(max((r.was-r.speed)/(t-r.since), 0.2), believable)
	if r.learned == 0 {
		r.learned = slope
	}
	r.learned += 0.4 * (slope - r.learned)
	r.bound = min(believable, 1.2*r.learned+margin)
	r.since, r.was = t, r.speed
}

// deceleration returns the best guess of the bike's deceleration, m/s².
func (r *reference) deceleration() float64 {
	if r.learned > 0 {
		return r.learned
	}
	return min(max(r.smooth, 0), believable)
}
