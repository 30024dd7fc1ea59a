package still

import (
	"cmp"
	"strings"
	"unicode/utf8"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/quantity"
)

// slowness is how many times slower a cycle of the controller is shown than it happens: five of them in a second make a
// film of four seconds each.
const slowness = 20

// Ride films a stop from the side, at the speed at which it happens, if the calculation is one that can be watched.
func Ride(w *kit.Work, r *quantity.Reader, rate int) (Film, bool) {
	if w.Calculator.Film == nil {
		return Film{}, false
	}
	ride := w.Calculator.Film(w)
	return Film{Of: kit.Scheme + w.Canonical(), Rate: rate, Lasts: ride.Duration(), At: watched(view(w, r), ride, 0, 1)}, true
}

// Cycle films the cycle of the controller in the middle of a stop, in slow motion, if there is one.
func Cycle(w *kit.Work, r *quantity.Reader, rate int) (Film, bool) {
	if w.Calculator.Film == nil {
		return Film{}, false
	}
	ride := w.Calculator.Film(w)
	from, to, ok := ride.Cycle(ride.Duration() / 2)
	p := view(w, r)
	p.About += between + " " + strings.ReplaceAll(r.Say("{} times slower", r.Locale.Format(slowness, 0)), " ", "\u00a0")
	return Film{Of: kit.Scheme + w.Canonical() + ", slowly", Rate: rate, Lasts: (to - from) * slowness, At: watched(p, ride, from, 1./slowness)}, ok
}

// Beside films two stops on one road and one clock, if both can be watched. Each is called by what sets it apart from
// the other.
func Beside(w, other *kit.Work, r *quantity.Reader, rate int) (Film, bool) {
	if w.Calculator.Film == nil || other.Calculator.Film == nil {
		return Film{}, false
	}
	p := view(w, r)
	var names []string
	p.About, names = apartFrom(w, other, r)
	ride := w.Calculator.Film(w).Beside([]kit.Film{other.Calculator.Film(other)}, names)
	return Film{Of: kit.Scheme + w.Canonical() + " beside " + kit.Scheme + other.Canonical(), Rate: rate,
		Lasts: ride.Duration(), At: watched(p, ride, 0, 1)}, true
}

// view is the picture around a ride.
func view(w *kit.Work, r *quantity.Reader) Picture {
	return Picture{Title: r.Say(w.Calculator.Title), About: about(w, r), Caution: w.Calculator.Warning(r), Reader: r}
}

// watched gives the moments of a ride, from one on, at a share of its speed.
func watched(p Picture, ride kit.Film, from, speed float64) func(t float64) (Picture, error) {
	return func(t float64) (Picture, error) {
		p := p
		p.Draw = func(s figure.Style) figure.Scene { return ride.Scene(from+t*speed, s) }
		return p, nil
	}
}

// longest is how many letters of a name an upright picture has room for.
const longest = 36

// apartFrom says what two calculations have in common, and what sets each apart from the other. Those of two
// calculators have their titles for themselves.
func apartFrom(w, other *kit.Work, r *quantity.Reader) (common string, names []string) {
	if w.Calculator != other.Calculator {
		return about(w, r), []string{r.Say(w.Calculator.Title), r.Say(other.Calculator.Title)}
	}
	var same, mine, theirs []string
	for i := range w.Inputs {
		a, b := told(w, i, r), told(other, i, r)
		switch label := r.Say(w.Calculator.Inputs[i].Label) + " "; {
		case a == "" && b == "":
		case w.InputText(i, r) == other.InputText(i, r):
			same = append(same, cmp.Or(a, b))
		default:
			if w.Inputs[i].Set {
				mine = append(mine, label+w.InputText(i, r))
			}
			if other.Inputs[i].Set {
				theirs = append(theirs, label+other.InputText(i, r))
			}
		}
	}
	return strings.Join(same, between+" "), []string{shortened(mine, r), shortened(theirs, r)}
}

// shortened joins as many of some differences as there is room for. That of an input which is not given is that alone.
func shortened(differences []string, r *quantity.Reader) string {
	n := len(differences)
	for n > 1 && utf8.RuneCountInString(strings.Join(differences[:n], ", ")) > longest {
		n--
	}
	return cmp.Or(strings.Join(differences[:n], ", "), r.Say("not given"))
}
