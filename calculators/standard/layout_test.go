package standard_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/calculators/standard"
)

// states are one with all defaults, one for each choice and for three places of each slider, and drawn ones.
func states(c *kit.Calculator, drawn int) []string {
	var list []string
	add := func(query string) { list = append(list, shortened(c, strings.ReplaceAll(query, "%", "%25"))) }
	add(c.ID)
	places := func(in *kit.Input) (values []string) {
		for _, choice := range in.Choices {
			values = append(values, choice.Value)
		}
		if in.IsWord() {
			return values
		}
		from, to := in.Usual.From, in.Usual.To
		if in.Usual == (kit.Usual{}) {
			from, to = in.Min, in.Max
		}
		u, _ := in.Shown.In(quantity.Metric)
		for _, share := range [...]float64{0, 0.2, 0.6, 1} {
			si := from + share*(to-from)
			if in.Shown.Kind == quantity.Whole {
				si = math.Round(si)
			}
			values = append(values, plainNumber(math.Round(u.From(si)*1e4)/1e4)+u.Symbol)
		}
		return values
	}
	for i := range c.Inputs {
		for _, value := range places(&c.Inputs[i]) {
			add(c.ID + "?" + c.Inputs[i].Name + "=" + value)
		}
	}
	r := rand.New(rand.NewPCG(7, 3))
	for range drawn {
		query := ""
		for i := range c.Inputs {
			if values := places(&c.Inputs[i]); len(values) > 0 && r.IntN(3) == 0 {
				query += "&" + c.Inputs[i].Name + "=" + values[r.IntN(len(values))]
			}
		}
		add(c.ID + "?" + strings.TrimPrefix(query, "&"))
	}
	return list
}

// workStates works the states out that are not refused. Of a simulated stop one ride is enough, which has all figures.
func workStates(t *testing.T, c *kit.Calculator, queries []string) (list []*kit.Work) {
	t.Helper()
	for _, query := range queries {
		q, faults := kit.Parse(query)
		if faults != nil {
			t.Fatal(query, faults)
		}
		w, err := standard.Set.Prepare(q)
		if err != nil {
			continue
		}
		if w.First = c.Simulates; w.Run() == nil {
			list = append(list, w)
		}
	}
	return list
}

// eachAnswer goes through answers of every calculator, each in a test of its name: so many states of it, or one where a
// state takes long.
func eachAnswer(t *testing.T, count int, look func(t *testing.T, k int, c *kit.Calculator, w *kit.Work)) {
	for _, c := range standard.Set {
		t.Run(c.ID, func(t *testing.T) {
			queries := states(c, count)
			if c.Long {
				queries = queries[:1]
			}
			for k, w := range workStates(t, c, queries) {
				look(t, k, c, w)
			}
		})
	}
}

// messages are the words of one of the theme's languages; those in which texts are quoted on one line are enough here.
func messages(t *testing.T, language string) map[string]string {
	t.Helper()
	text, err := os.ReadFile("../../theme/messages/" + language + ".yaml")
	if err != nil {
		t.Fatal(err)
	}
	words := make(map[string]string)
	for _, m := range message.FindAllStringSubmatch(string(text), -1) {
		words[m[1]] = m[2]
	}
	if len(words) < 500 {
		t.Fatalf("%d words of %s", len(words), language)
	}
	return words
}

var message = regexp.MustCompile(`(?m)^"([^"]+)": "([^"]+)"$`)

// ruler measures texts in two types, of which labels take the bold one, in em.
type ruler struct{ plain, bold font.Face }

func newRuler(t *testing.T) ruler {
	face := func(ttf []byte) font.Face {
		f, err := opentype.Parse(ttf)
		if err != nil {
			t.Fatal(err)
		}
		face, err := opentype.NewFace(f, &opentype.FaceOptions{Size: 100, DPI: 72})
		if err != nil {
			t.Fatal(err)
		}
		return face
	}
	return ruler{face(goregular.TTF), face(gobold.TTF)}
}

func (r ruler) width(m *figure.Mark) float64 {
	face := r.plain
	if m.Halo {
		face = r.bold
	}
	return float64(font.MeasureString(face, m.Text)) / 64 / 100
}

// area is an upright rectangle of a scene.
type area struct{ left, top, right, bottom float64 }

func (a area) meets(b area) bool {
	return a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom
}

// of is where a text stands, whose letters are so many times as large as it was laid out for: from the height of its
// capitals to what its small letters reach below the line.
func (r ruler) of(m *figure.Mark, times float64) area {
	em, at := m.Size*times, m.Points[0]
	at.X, at.Y = at.X-m.Shift.X*m.Size*(1-times), at.Y-m.Shift.Y*m.Size*(1-times)
	width := r.width(m) * em
	left := at.X - width*[...]float64{0, 0.5, 1}[m.Anchor]
	return area{left, at.Y - 0.7*em, left + width, at.Y + 0.18*em}
}

// crosses reports whether the way from a to b runs through a rectangle: it is walked in steps of less than a unit.
func (a area) crosses(p, q figure.Point) bool {
	n := math.Ceil(math.Hypot(q.X-p.X, q.Y-p.Y) / 0.7)
	if !(a.meets(area{min(p.X, q.X) - 1e-9, min(p.Y, q.Y) - 1e-9, max(p.X, q.X) + 1e-9, max(p.Y, q.Y) + 1e-9})) {
		return false
	}
	for i := 0.0; i <= n; i++ {
		if x, y := p.X+(q.X-p.X)*i/n, p.Y+(q.Y-p.Y)*i/n; a.left < x && x < a.right && a.top < y && y < a.bottom {
			return true
		}
	}
	return false
}

// overlaps lists what stands on what in a scene whose letters are so many times as large as it was laid out for.
func (r ruler) overlaps(s *figure.Scene, times float64) (list []string) {
	var texts []*figure.Mark
	var areas []area
	for i := range s.Marks {
		m := &s.Marks[i]
		if m.Shape != figure.Letter {
			continue
		}
		a := r.of(m, times)
		if a.left < -1 || a.right > s.Width+1 || a.top < -1 || a.bottom > s.Height+1 {
			list = append(list, fmt.Sprintf("%q leaves the picture", m.Text))
		}
		for k, other := range areas {
			if a.meets(other) {
				list = append(list, fmt.Sprintf("%q and %q", texts[k].Text, m.Text))
			}
		}
		texts, areas = append(texts, m), append(areas, a)
	}
	for i := range s.Marks {
		m := &s.Marks[i]
		if m.Shape != figure.Line || m.Role == "grid" || m.Role == "axis" {
			continue
		}
		for k, a := range areas {
			for j := 1; j < len(m.Points); j++ {
				if a.crosses(m.Points[j-1], m.Points[j]) {
					list = append(list, fmt.Sprintf("%q on the line of %s", texts[k].Text, m.Role))
					break
				}
			}
		}
	}
	return list
}

// No label of any figure stands on another one or on a line, on a phone, whose letters figures are laid out for, and on a
// desk, where they are little more than half as large in a drawing's own units. The judge of how wide texts are is the
// bold face of the Go fonts (Bigelow and Holmes, 2016), which is wider than what most readers have.
func TestLabelsStandOnNothing(t *testing.T) {
	r, german := newRuler(t), &quantity.Reader{Words: messages(t, "de"), Locale: quantity.Locale{Decimal: ',', Group: '.'}}
	for _, c := range standard.Set {
		t.Run(c.ID, func(t *testing.T) {
			queries := states(c, 30)
			if c.Long { // what they share with a single stop shows there
				queries = append(queries[:1], queries[len(queries)-3:]...)
			}
			tried, works := 0, workStates(t, c, queries)
			for k, w := range works {
				v := &kit.View{Now: w}
				if k%5 == 4 { // beside another state, and with a bet on each output
					v.Kept = works[k-3 : k-2]
					for i, out := range c.Outputs {
						v.Bets = append(v.Bets, kit.Bet{Output: out.Name, Value: 0.9 * w.Outputs[i]})
					}
				}
				reader := []*quantity.Reader{{}, {System: quantity.Imperial}, german}[k%3]
				for i := range c.Figures {
					page, paper := v.Scene(i, kit.PageStyle(reader)), v.Scene(i, figure.Style{Reader: reader})
					tried += 2
					for name, list := range map[string][]string{"on a phone": r.overlaps(&page, 1), "on a desk": r.overlaps(&page, 0.54), "on paper": r.overlaps(&paper, 1)} {
						if len(list) > 0 {
							t.Errorf("%s#%s, %s: %s", w.Canonical(), c.Figures[i].Name, name, strings.Join(list, ", "))
						}
					}
				}
			}
			t.Log(tried, "drawings")
		})
	}
}

// A page's drawings are 292 px wide on a phone of 360 px; there their letters have 12 px at least, and the style sheet sets
// them smaller in wider drawings, so that they have 12 to 17 px at any width up to that of the widest.
func TestLettersLookAlikeAtAnyWidth(t *testing.T) {
	css, err := os.ReadFile("../../theme/style/figure.css")
	if err != nil {
		t.Fatal(err)
	}
	steps := narrower.FindAllStringSubmatch(string(css), -1)
	if len(steps) < 2 {
		t.Fatal("the style sheet has no steps")
	}
	style := kit.PageStyle(&quantity.Reader{})
	film := (&kit.View{}).FilmStyle(&quantity.Reader{})
	for width := 292.0; width <= 736; width++ {
		letters := style.Letters
		for _, s := range steps {
			from, _ := strconv.ParseFloat(s[1], 64)
			size, _ := strconv.ParseFloat(s[2], 64)
			if width >= 16*from {
				letters = size
			}
		}
		if px := letters * width / 440; px < 12 || px > 17 {
			t.Errorf("in a drawing of %v px they have %.1f px", width, px)
		}
	}
	if film.Width != 440 || film.Letters != style.Letters {
		t.Error("a film is laid out otherwise")
	}
}

var narrower = regexp.MustCompile(`@container drawing \(min-width: ([\d.]+)rem\) \{ \.figure \{ font-size: ([\d.]+)px; \} \}`)
