package antilock

// reference is the unit's guess of the ground speed. The faster wheel is taken
// to roll; a speed that falls faster than is believable is not followed. What
// is believable is learned: each time a released wheel comes back to the
// ground's speed, the slope since the last time is what the ground can do.
type reference struct {
	speed   float64
	bound   float64 // largest believable deceleration, m/s²
	learned float64 // deceleration between recoveries, m/s²; 0 before there were two
	smooth  float64 // deceleration of the reference, smoothed, m/s²
	was     float64 // speed at the last recovery
	age     float64 // time since the last recovery, s
	adrift  float64 // time for which no wheel has met the reference, s
}

const believable = 12.75 // 1.3 g: more than rubber holds on any road; invented, demo

// follow moves the reference on by a tick, given the fastest trusted wheel.
func (r *reference) follow(fastest float64) {
	before := r.speed
	if r.age += Tick; r.learned == 0 && r.smooth < 0.3 {
		r.was, r.age = fastest, 0 // not braked yet
	}
	r.speed = max(0, r.speed-r.bound*Tick)
	if fastest >= r.speed {
		r.speed, r.adrift = fastest, 0
	} else if r.adrift += Tick; r.adrift > tune.Lost {
		r.bound = min(believable, r.bound+believable*Tick/0.3)
	}
	r.smooth += ((before-r.speed)/Tick - r.smooth) * Tick / tune.Smooth
}

// recovered tells the reference that a wheel has stopped gaining speed. If it
// came back to the reference, or the reference has met no wheel for a while, it
// rolls again, and the ground moves at its speed.
func (r *reference) recovered(fastest float64) {
	if fastest < tune.Meets*r.speed && r.adrift < tune.Strays {
		return
	}
	r.speed, r.adrift = min(r.speed, 1.01*fastest), 0
	if r.age < 0.06 {
		return
	}
	slope := (r.was - r.speed) / r.age
	if r.learned == 0 {
		// The brake was still coming on for part of the time.
		r.learned = min(max(tune.First*slope, 0.2), believable)
	}
	r.learned = min(max(r.learned+0.4*(slope-r.learned), 0.2), believable)
	r.bound = min(believable, tune.Slack*r.learned+0.4)
	r.was, r.age = r.speed, 0
}

// deceleration returns the best guess of the bike's deceleration, m/s².
func (r *reference) deceleration() float64 {
	if r.learned > 0 && r.age < 0.6 {
		return r.learned
	}
	return min(max(r.smooth, 0.2), r.bound)
}
