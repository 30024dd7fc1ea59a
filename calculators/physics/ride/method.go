package ride

// The integration's method. Its tableau is written out, for blending rates is a
// fifth of a stop's work.

// maxStages is how many it has.
const maxStages = 4

// step moves y on by h by Kutta's method of 1901, four stages, fourth order, and
// leaves the rates there in ahead.
func (p *plant) step(h float64, y *state) {
	var at state
	k, half := &p.k, 0.5*h
	for i := range moving {
		at[i] = y[i] + half*k[0][i]
	}
	p.rates(1, half, &at)
	for i := range moving {
		at[i] = y[i] + half*k[1][i]
	}
	p.rates(2, half, &at)
	for i := range moving {
		at[i] = y[i] + h*k[2][i]
	}
	p.rates(3, h, &at)
	for i := range y {
		y[i] += h * ((1.0/6)*(k[0][i]+k[3][i]) + (1.0/3)*(k[1][i]+k[2][i]))
	}
	p.press(h, y)
	p.derive(y, &p.ahead)
	p.fresh = true
}

// rates works out the rates of a stage that lies a while after the start of the
// step.
func (p *plant) rates(stage int, after float64, at *state) {
	p.press(after, at)
	p.derive(at, &p.k[stage])
}

// press sets the calipers' pressures a while after the start of the step.
func (p *plant) press(after float64, y *state) {
	y[pressureF], y[pressureR] = p.line[front].At(after), p.line[rear].At(after)
}
