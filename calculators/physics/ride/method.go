package ride

// Two explicit Runge-Kutta methods of fixed step. A plain stop is smooth and
// wants few evaluations. A controller decides on thresholds, hundreds of times
// a stop: only when the motion is right to nine figures does it decide the same
// at half the step.

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
const maxStages = 12

// classical is Kutta's method of 1901: four stages, fourth order.
var classical = method{
	nodes:   []float64{0, 0.5, 0.5, 1},
	rows:    [][]term{{{0, 0.5}}, {{1, 0.5}}, {{2, 1}}},
	weights: []term{{0, 1.0 / 6}, {1, 1.0 / 3}, {2, 1.0 / 3}, {3, 1.0 / 6}},
}

// precise is Dormand and Prince's method of 1981 as in DOP853: twelve stages,
// eighth order (Hairer, Nørsett and Wanner, Solving Ordinary Differential
// Equations I, 2nd ed., sec. II.5 and its program).
var precise = method{
	nodes: []float64{
		0, 0.05260015195876773, 0.0789002279381516, 0.1183503419072274, 0.2816496580927726, 1.0 / 3,
		0.25, 0.3076923076923077, 0.6512820512820513, 0.6, 0.8571428571428571, 1,
	},
	rows: [][]term{
		{{0, 0.05260015195876773}},
		{{0, 0.0197250569845379}, {1, 0.0591751709536137}},
		{{0, 0.02958758547680685}, {2, 0.08876275643042054}},
		{{0, 0.2413651341592667}, {2, -0.8845494793282861}, {3, 0.924834003261792}},
		{{0, 0.037037037037037035}, {3, 0.17082860872947386}, {4, 0.12546768756682242}},
		{{0, 0.037109375}, {3, 0.17025221101954405}, {4, 0.06021653898045596}, {5, -0.017578125}},
		{{0, 0.03709200011850479}, {3, 0.17038392571223998}, {4, 0.10726203044637328}, {5, -0.015319437748624402}, {6, 0.008273789163814023}},
		{{0, 0.6241109587160757}, {3, -3.3608926294469414}, {4, -0.868219346841726}, {5, 27.59209969944671}, {6, 20.154067550477894}, {7, -43.48988418106996}},
		{{0, 0.47766253643826434}, {3, -2.4881146199716677}, {4, -0.590290826836843}, {5, 21.230051448181193}, {6, 15.279233632882423}, {7, -33.28821096898486}, {8, -0.020331201708508627}},
		{{0, -0.9371424300859873}, {3, 5.186372428844064}, {4, 1.0914373489967295}, {5, -8.149787010746927}, {6, -18.52006565999696}, {7, 22.739487099350505}, {8, 2.4936055526796523}, {9, -3.0467644718982196}},
		{{0, 2.273310147516538}, {3, -10.53449546673725}, {4, -2.0008720582248625}, {5, -17.9589318631188}, {6, 27.94888452941996}, {7, -2.8589982771350235}, {8, -8.87285693353063}, {9, 12.360567175794303}, {10, 0.6433927460157636}},
	},
	weights: []term{
		{0, 0.054293734116568765}, {5, 4.450312892752409}, {6, 1.8915178993145003}, {7, -5.801203960010585},
		{8, 0.3111643669578199}, {9, -0.1521609496625161}, {10, 0.20136540080403034}, {11, 0.04471061572777259},
	},
}

// step moves y from t by h.
func (p *plant) step(m *method, t, h float64, y *state) {
	var at state
	p.derive(t, y, &p.k[0])
	p.in[front].was, p.in[rear].was = p.out[front], p.out[rear]
	for s, row := range m.rows {
		p.reach(row, h, y, &at)
		p.derive(t+h*m.nodes[s+1], &at, &p.k[s+1])
	}
	for _, u := range m.weights {
		w, k := h*u.weight, &p.k[u.stage]
		for i := range y {
			y[i] += w * k[i]
		}
	}
}

// reach fills at with where the blended rates of a row lead from y within h.
func (p *plant) reach(row []term, h float64, y, at *state) {
	if len(row) == 1 { // all of the classical method's rows
		w, k := h*row[0].weight, &p.k[row[0].stage]
		for i := range moving {
			at[i] = y[i] + w*k[i]
		}
		return
	}
	for i := range moving {
		sum := 0.0
		for _, u := range row {
			sum += u.weight * p.k[u.stage][i]
		}
		at[i] = y[i] + h*sum
	}
}
