package standard_test

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/calculators/standard"
)

func TestOrder(t *testing.T) {
	want := strings.Fields("stop gap transfer slip antilock cycle squeeze lean wheel lever heat rider test")
	if got := standard.Set.IDs(); !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}

// Names are part of every shared link: those that lessons and links rely on must stay.
func TestStableNames(t *testing.T) {
	for id, names := range map[string]string{
		"stop":     "speed surface grip use reaction grade obstacle > reaction-distance braking-distance stopping-distance braking-time stopping-time deceleration impact-speed",
		"gap":      "speed gap reaction lead-deceleration own-deceleration > closest meets closing-speed",
		"transfer": "bike mass wheelbase cg-height front-share deceleration grip > front-load rear-load front-share lift-deceleration grip-deceleration limit-deceleration ideal-front-share",
		"slip":     "surface slip > grip peak-grip peak-slip locked-grip locked-loss",
		"antilock": "speed surface grip patch patch-start patch-length channels cycle-rate rise demand lift-control bike mass wheelbase cg-height front-share lean > " +
			"stopping-distance braking-time mean-deceleration peak-deceleration front-locked-time rear-locked-time lift-height lift-time cycles lever-pulse grip-used fall-likely",
		"cycle":   "speed surface channels rates > best-gain",
		"squeeze": "speed surface rise > time-to-lock peak-front-load best-rise stopping-distance best-distance",
		"lean":    "speed radius lean grip > lean lateral-share left-for-braking deceleration distance-leaned distance-upright stand-up-cost",
		"wheel":   "original fitted teeth speed > circumference-original circumference-fitted speed-error pulse-rate slip-error lowest-speed",
		"lever":   "hand-force lever-ratio master-diameter pistons piston-diameter pad-friction disc-radius discs rolling-radius > pressure clamp-force brake-torque brake-force deceleration hand-force-to-lock",
		"heat":    "mass speed to disc-mass discs share ambient stops interval > energy rise temperature power",
		"rider":   "speed surface skill riders seed > shorter median percentile-5 percentile-95 locked",
		"test":    "speed start-speed > mfdd corrected-distance",
	} {
		c, ok := standard.Set.Find(id)
		if !ok {
			t.Errorf("there is no %s", id)
			continue
		}
		inputs, outputs, _ := strings.Cut(names, " > ")
		for _, name := range strings.Fields(inputs) {
			if _, ok := c.Input(name); !ok {
				t.Errorf("%s has no input %s", id, name)
			}
		}
		for _, name := range strings.Fields(outputs) {
			if _, ok := c.Output(name); !ok {
				t.Errorf("%s has no output %s", id, name)
			}
		}
	}
}

var plainName = regexp.MustCompile(`^[a-z][a-z0-9]*(-[a-z0-9]+)*$`)

func TestDeclarations(t *testing.T) {
	for _, c := range standard.Set {
		t.Run(c.ID, func(t *testing.T) {
			if c.Title == "" || !strings.HasSuffix(c.Question, "?") || len(c.Assumptions) == 0 || len(c.Sources) == 0 || len(c.Figures) == 0 {
				t.Error("title, question, assumptions, sources and figures are all due")
			}
			if !strings.Contains(c.Warning(&quantity.Reader{}), kit.StandingCaution) {
				t.Error("the standing caution is missing")
			}
			for _, m := range c.Mistakes() {
				t.Errorf("%s: %s", m.At, m.Text)
			}
			declaredInputs(t, c)
			declaredOutputs(t, c)
			for _, s := range c.Assumptions {
				if !strings.HasSuffix(s, ".") {
					t.Errorf("not a sentence: %q", s)
				}
			}
			for _, f := range c.Figures {
				if !plainName.MatchString(f.Name) || f.Title == "" {
					t.Errorf("figure %q, %q", f.Name, f.Title)
				}
			}
		})
	}
}

func declaredInputs(t *testing.T, c *kit.Calculator) {
	symbols, names := map[string]bool{}, map[string]bool{}
	for _, in := range c.Inputs {
		if !plainName.MatchString(in.Name) || names[in.Name] || in.Label == "" {
			t.Errorf("input %q, %q", in.Name, in.Label)
		}
		names[in.Name] = true
		if in.Symbol != "" && symbols[in.Symbol] {
			t.Errorf("symbol %s is used twice", in.Symbol)
		}
		symbols[in.Symbol] = true
		if in.IsWord() {
			continue
		}
		if !(in.Min < in.Max) || in.Why == "" || in.Step <= 0 {
			t.Errorf("%s: a range with its reason and a step are due", in.Name)
		}
		bothSystems(t, in.Name, in.Shown)
		for _, o := range in.Also {
			if !(o.Min < o.Max) || o.Step <= 0 {
				t.Errorf("%s: range or step of its other kind", in.Name)
			}
			bothSystems(t, in.Name, o.Shown)
		}
	}
	for _, out := range c.Outputs {
		if out.Symbol != "" && symbols[out.Symbol] {
			t.Errorf("symbol %s of %s is used twice", out.Symbol, out.Name)
		}
		symbols[out.Symbol] = true
	}
}

func declaredOutputs(t *testing.T, c *kit.Calculator) {
	main, names := 0, map[string]bool{}
	for _, out := range c.Outputs {
		if !plainName.MatchString(out.Name) || names[out.Name] || out.Label == "" {
			t.Errorf("output %q, %q", out.Name, out.Label)
		}
		names[out.Name] = true
		if out.Sentence != "" && strings.Count(out.Sentence, "{}") != 1 {
			t.Errorf("%s: its sentence has no place for the number: %q", out.Name, out.Sentence)
		}
		if out.Main {
			main++
		}
		bothSystems(t, out.Name, out.Shown)
	}
	if main == 0 {
		t.Error("no output is told first")
	}
}

// bothSystems checks that what has other units in the imperial system is shown in them.
func bothSystems(t *testing.T, name string, s quantity.Shown) {
	t.Helper()
	metric, _ := s.In(quantity.Metric)
	imperial, _ := s.In(quantity.Imperial)
	switch s.Kind {
	case quantity.Length, quantity.Speed, quantity.Acceleration, quantity.Mass, quantity.Force, quantity.Pressure, quantity.Torque,
		quantity.Energy, quantity.Power, quantity.Temperature, quantity.Warming, quantity.Inertia, quantity.Stiffness, quantity.HeatCapacity, quantity.Area, quantity.Damping:
		if metric == imperial {
			t.Errorf("%s has no imperial unit", name)
		}
	}
}

// Each calculator's default state works, and so does each choice of each word input and both ends of each number. Of a
// long calculator only the inputs are tried that the single stop does not have.
func TestEveryInput(t *testing.T) {
	stop, _ := standard.Set.Find("antilock")
	for _, c := range standard.Set {
		t.Run(c.ID, func(t *testing.T) {
			try(t, c.ID)
			for i := range c.Inputs {
				in := &c.Inputs[i]
				if _, tried := stop.Input(in.Name); c.Long && tried {
					continue
				}
				for _, choice := range in.Choices {
					try(t, c.ID+"?"+in.Name+"="+choice.Value)
				}
				if !in.IsWord() && in.Name != "riders" {
					u, _ := in.Shown.In(quantity.Metric)
					for _, end := range [...]float64{in.Min, in.Max} {
						try(t, c.ID+"?"+in.Name+"="+plainNumber(u.From(end))+u.Symbol)
					}
				}
			}
		})
	}
}

func plainNumber(v float64) string {
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// try works a query out and looks at all that a reader would get. A refusal must name an input and say what to do.
func try(t *testing.T, query string) {
	t.Helper()
	q, faults := kit.Parse(query)
	if len(faults) > 0 {
		t.Fatalf("%s: %v", query, faults)
	}
	w, err := standard.Set.Prepare(q)
	if err == nil {
		if w.Calculator.ID == "rider" {
			w.Inputs[slices.IndexFunc(w.Calculator.Inputs, func(in kit.Input) bool { return in.Name == "riders" })].Number = 10
		}
		err = w.Run()
	}
	if err != nil {
		refusal(t, query, err)
		return
	}
	checkAnswer(t, query, w)
}

func refusal(t *testing.T, query string, err error) {
	t.Helper()
	faults, ok := err.(kit.Faults)
	if !ok || len(faults) == 0 {
		t.Fatalf("%s: %v is no list of faults", query, err)
	}
	for _, f := range faults {
		if f.Text == "" || f.Hint == "" {
			t.Errorf("%s: a fault without text or hint: %+v", query, f)
		}
	}
}

func checkAnswer(t *testing.T, query string, w *kit.Work) {
	t.Helper()
	for _, r := range [...]*quantity.Reader{{}, {System: quantity.Imperial, Locale: quantity.Locale{Decimal: ',', Group: '.'}}} {
		if s := w.Summary(r); s == "" || strings.Contains(s, "NaN") || strings.Contains(s, "Inf") {
			t.Errorf("%s: summary %q", query, s)
		}
		for i := range w.Calculator.Figures {
			scene := w.Scene(i, figure.Style{Reader: r})
			checkScene(t, query+"#"+scene.Name, &scene)
		}
	}
}

// checkScene demands words, a table, finite points, and letters within the picture.
func checkScene(t *testing.T, where string, s *figure.Scene) {
	t.Helper()
	if s.Alt == "" || strings.Contains(s.Alt, "{}") || s.Table.Rows() == 0 {
		t.Errorf("%s: words %q, %d rows", where, s.Alt, s.Table.Rows())
	}
	for _, c := range s.Table.Columns {
		if c.Len() != s.Table.Rows() || c.Label == "" {
			t.Errorf("%s: column %q has %d of %d rows", where, c.Label, c.Len(), s.Table.Rows())
		}
	}
	svg := s.SVG()
	if strings.Contains(svg, "NaN") || strings.Contains(svg, "Inf") {
		t.Errorf("%s: a point is nowhere", where)
	}
	if len(svg) > 30_000 {
		t.Errorf("%s: %d bytes of SVG", where, len(svg))
	}
	for _, m := range s.Marks {
		if m.Shape != figure.Letter {
			continue
		}
		width := 0.54 * m.Size * float64(len([]rune(m.Text)))
		left := m.Points[0].X - width*[...]float64{0, 0.5, 1}[m.Anchor]
		if left < -0.15*m.Size-0.05*width || left+width > s.Width+0.3*m.Size+0.05*width || m.Points[0].Y > s.Height || m.Points[0].Y < m.Size*0.5 {
			t.Errorf("%s: %q at %v is outside the picture", where, m.Text, m.Points[0])
		}
	}
}
