package kit

import (
	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/quantity"
)

// View is a calculation with what stands beside it: states that were kept for comparison, and what the reader has bet.
type View struct {
	Now  *Work
	Kept []*Work // worked out, of the same calculator
	Bets []Bet
}

// Bet is what a reader expects of an output, SI.
type Bet struct {
	Output string
	Value  float64
}

// Scene draws one figure with all states in it.
func (v *View) Scene(i int, s figure.Style) figure.Scene {
	scene := v.Now.Scene(i, s)
	if s.Reader == nil {
		s.Reader = &quantity.Reader{}
	}
	bare := s
	bare.Bare = true
	var others []figure.Named
	for _, kept := range v.Kept {
		others = append(others, figure.Named{Name: v.name(kept, s.Reader), Scene: kept.Scene(i, bare)})
	}
	scene = scene.Beside(s, v.name(v.Now, s.Reader), others)
	for _, b := range v.Bets {
		scene = scene.Expect(s, b.Output, b.Value)
	}
	return scene
}

// mostNamed is how many values a state's name has at most.
const mostNamed = 3

// name is what a state is called beside the others: the values that were given in one of them and differ among them.
// Where too many differ, the states are counted as well.
func (v *View) name(w *Work, r *quantity.Reader) string {
	if len(v.Kept) == 0 {
		return ""
	}
	name, n := "", 0
	for i := range w.Inputs {
		if !v.differ(i) {
			continue
		}
		switch n++; {
		case n == 1:
			name = w.InputText(i, r)
		case n <= mostNamed:
			name = r.Say("{}, {}", name, w.InputText(i, r))
		}
	}
	if n <= mostNamed {
		return name
	}
	number := 1
	for i, kept := range v.Kept {
		if kept == w {
			number = i + 2
		}
	}
	return r.Number(float64(number), quantity.Shown{Kind: quantity.Whole}) + ": " + r.Say("{}, {}", name, "…")
}

func (v *View) differ(input int) bool {
	given, differ := v.Now.Inputs[input].Given, false
	for _, kept := range v.Kept {
		a, b := &v.Now.Inputs[input], &kept.Inputs[input]
		given = given || b.Given
		differ = differ || a.Number != b.Number || a.Word != b.Word || a.Set != b.Set
	}
	return given && differ
}

// compare tells another state's outputs, and by how much the present one is above them.
func (v *View) compare(kept *Work, r *quantity.Reader) Kept {
	told := Kept{Query: kept.Canonical(), State: v.name(kept, r), Happened: kept.EventsText(r), Findings: make([]Compared, len(kept.Outputs))}
	for i := range told.Findings {
		c := &told.Findings[i]
		c.Text, c.Difference = "–", "–"
		if kept.Moot[i] {
			continue
		}
		c.Text = kept.OutputText(i, r)
		if !v.Now.Moot[i] {
			c.Difference = difference(v.Now.Outputs[i], kept.Outputs[i], kept.Calculator.Outputs[i].Shown, r)
		}
	}
	return told
}

// difference says by how much one value is above another. Yes and no have no difference that could
// be counted; that of temperatures is in kelvins, or in the reader's own degrees.
func difference(now, kept float64, shown quantity.Shown, r *quantity.Reader) string {
	if shown.Kind == quantity.YesNo {
		return "–"
	}
	u, decimals := shown.In(r.System)
	text := r.Locale.Format(u.From(now)-u.From(kept), decimals)
	if now > kept && text != r.Locale.Format(0, decimals) {
		text = "+" + text
	}
	unit := r.UnitName(shown)
	if unit == "°C" {
		unit = "K"
	}
	return quantity.Join(text, unit)
}
