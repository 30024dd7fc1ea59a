package ride

// Two explicit Runge-Kutta methods of fixed step. A plain stop is smooth and
// wants few evaluations. A controller decides on thresholds, hundreds of times
// a stop, and decides the same at half the step only if the motion is right to
// nine figures.

// term is a stage and its weight.
type term struct {
	stage  int
	weight float64
}

// method is a Butcher tableau without its zeros; the last stage is at the end
// of the step.
type method struct {
	nodes   []float64
	rows    [][]term // what each stage after the first is made of
	weights []term
}

// maxStages is the most that a method has.
const maxStages = 6

// classical is Kutta's method of 1901: four stages, fourth order.
var classical = method{
	nodes:   []float64{0, 0.5, 0.5, 1},
	rows:    [][]term{{{0, 0.5}}, {{1, 0.5}}, {{2, 1}}},
	weights: []term{{0, 1.0 / 6}, {1, 1.0 / 3}, {2, 1.0 / 3}, {3, 1.0 / 6}},
}

// precise is Dormand and Prince's method of 1980: six stages, fifth order; its
// rates at the end of a step are the next one's first (Hairer, Nørsett and
// Wanner, Solving Ordinary Differential Equations I, 2nd ed., table II.5.2).
var precise = method{
	nodes: []float64{0, 0.2, 0.3, 0.8, 8.0 / 9, 1},
	rows: [][]term{
		{{0, 0.2}},
		{{0, 3.0 / 40}, {1, 9.0 / 40}},
		{{0, 44.0 / 45}, {1, -56.0 / 15}, {2, 32.0 / 9}},
		{{0, 19372.0 / 6561}, {1, -25360.0 / 2187}, {2, 64448.0 / 6561}, {3, -212.0 / 729}},
		{{0, 9017.0 / 3168}, {1, -355.0 / 33}, {2, 46732.0 / 5247}, {3, 49.0 / 176}, {4, -5103.0 / 18656}},
	},
	weights: []term{{0, 35.0 / 384}, {2, 500.0 / 1113}, {3, 125.0 / 192}, {4, -2187.0 / 6784}, {5, 11.0 / 84}},
}

// step moves y on by h, and leaves the rates there in ahead.
func (p *plant) step(h float64, y *state) {
	m := p.method
	var at state
	for s, row := range m.rows {
		p.reach(row, h, y, &at)
		p.press(h*m.nodes[s+1], &at)
		p.derive(&at, &p.k[s+1])
	}
	for _, u := range m.weights {
		w, k := h*u.weight, &p.k[u.stage]
		for i := range y[:moving] {
			y[i] += w * k[i]
		}
		for i := angleF; i < numStates; i++ {
			y[i] += w * k[i]
		}
	}
	p.press(h, y)
	p.derive(y, &p.ahead)
	p.fresh = true
}

// press sets the calipers' pressures a while after the start of the step.
func (p *plant) press(after float64, y *state) {
	y[pressureF], y[pressureR] = p.line[front].At(after), p.line[rear].At(after)
}

// reach fills at with where up to five blended rates of a row lead from y within
// h. Written out, for this is a fifth of a stop's work.
func (p *plant) reach(row []term, h float64, y, at *state) {
	a, ka := h*row[0].weight, &p.k[row[0].stage]
	if len(row) == 1 {
		for i := range moving {
			at[i] = y[i] + a*ka[i]
		}
		return
	}
	b, kb := h*row[1].weight, &p.k[row[1].stage]
	if len(row) == 2 {
		for i := range moving {
			at[i] = y[i] + (a*ka[i] + b*kb[i])
		}
		return
	}
	c, kc := h*row[2].weight, &p.k[row[2].stage]
	if len(row) == 3 {
		for i := range moving {
			at[i] = y[i] + (a*ka[i] + b*kb[i] + c*kc[i])
		}
		return
	}
	d, kd := h*row[3].weight, &p.k[row[3].stage]
	e, ke := 0.0, kd
	if len(row) == 5 {
		e, ke = h*row[4].weight, &p.k[row[4].stage]
	}
	for i := range moving {
		at[i] = y[i] + ((a*ka[i] + b*kb[i]) + (c*kc[i] + d*kd[i]) + e*ke[i])
	}
}
