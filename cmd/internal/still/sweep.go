package still

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/cmd/internal/lesson"
)

// stepLasts is how long a step of a sweep takes, s.
const stepLasts = 0.5

// A Sweep moves one input through a range, a step each half second.
type Sweep struct {
	Calculators kit.Set
	Input       string
	Range       lesson.Draw
}

// Film shows how a figure of a calculation follows the input. Its axes hold the whole range from the first frame on.
// The error is that of the first step which cannot be worked out.
func (s *Sweep) Film(w *kit.Work, i int, r *quantity.Reader, rate int) (Film, error) {
	var all []figure.Scene
	steps := math.Round((s.Range.To - s.Range.From) / s.Range.Step)
	for k := 0.0; k <= steps; k++ {
		at, err := s.state(w, k/steps)
		if err != nil {
			return Film{}, err
		}
		all = append(all, at.Scene(i, figure.Style{Reader: r}))
	}
	f := Film{Of: fmt.Sprintf("%s%s, %s from %v to %v %s", kit.Scheme, w.Canonical(), s.Input, s.Range.From, s.Range.To,
		s.Range.Unit), Rate: rate, Lasts: steps * stepLasts}
	f.At = func(t float64) (Picture, error) {
		at, err := s.state(w, t/f.Lasts)
		if err != nil {
			return Picture{}, err
		}
		p := Of(at, i, r, true)
		p.Draw = func(style figure.Style) figure.Scene { return at.Scene(i, style).Within(style, all) }
		return p, nil
	}
	return f, nil
}

// state is the calculation at a share of the way through the range. A value is rounded to a hundredth of a step, which
// is less than a frame shows.
func (s *Sweep) state(w *kit.Work, share float64) (*kit.Work, error) {
	q, faults := kit.Parse(kit.Scheme + w.Canonical())
	if len(faults) > 0 {
		return nil, faults
	}
	hundredths := math.Round(share * (s.Range.To - s.Range.From) / s.Range.Step * 100)
	value := strconv.FormatFloat(s.Range.From+hundredths*s.Range.Step/100, 'g', 9, 64) + s.Range.Unit
	input, _ := w.Calculator.Input(s.Input)
	name := w.Calculator.Inputs[input].Name
	if i := slices.IndexFunc(q.Pairs, func(p kit.Pair) bool { return p.Name == name }); i >= 0 {
		q.Pairs[i].Value = value
	} else {
		q.Pairs = append(q.Pairs, kit.Pair{Name: name, Value: value})
	}
	at, err := s.Calculators.Prepare(q)
	if err != nil {
		return nil, err
	}
	return at, at.Run()
}
