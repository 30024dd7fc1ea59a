package figure_test

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/quantity"
)

var (
	speed = quantity.Shown{Kind: quantity.Speed, Metric: "km/h", Imperial: "mph"}
	road  = quantity.Shown{Kind: quantity.Length, Metric: "m", Imperial: "ft"}
	plain = quantity.Shown{Kind: quantity.Number, MetricDecimals: 1}
)

func ramp() *figure.Chart {
	return &figure.Chart{
		Title: "Slowing", Alt: "It slows.", Runs: "distance",
		X: figure.Axis{Label: "Distance", Shown: road}, Y: figure.Axis{Label: "Speed", Shown: speed},
		Series: []figure.Series{{Role: "speed", Label: "bike", X: []float64{0, 50}, Y: []float64{100 / 3.6, 0}}},
		Spots:  []figure.Spot{{Role: "now", Label: "50 m", X: 50}},
	}
}

// letters are the texts of a role in a scene, in order.
func letters(s *figure.Scene, role string) (list []string) {
	for _, m := range s.Marks {
		if m.Shape == figure.Letter && m.Role == role {
			list = append(list, m.Text)
		}
	}
	return list
}

func TestTicksAreRoundInTheReadersUnit(t *testing.T) {
	c := ramp()
	metric := c.Scene(figure.Style{})
	if got := strings.Join(letters(&metric, "tick"), " "); got != "0 20 40 60 80 100 0 10 20 30 40 50" {
		t.Errorf("metric ticks: %s", got)
	}
	imperial := c.Scene(figure.Style{Reader: &quantity.Reader{System: quantity.Imperial}})
	if got := strings.Join(letters(&imperial, "tick"), " "); got != "0 20 40 60 80 0 50 100 150 200" {
		t.Errorf("imperial ticks: %s", got)
	}
	if got := strings.Join(letters(&imperial, "name"), ", "); got != "Speed, mph, Distance, ft" {
		t.Errorf("names: %s", got)
	}
}

func TestScene(t *testing.T) {
	s := ramp().Scene(figure.Style{})
	if s.Width != 440 || s.Height != 280 || s.Alt != "It slows." || s.Title != "Slowing" {
		t.Errorf("%v by %v, %q, %q", s.Width, s.Height, s.Alt, s.Title)
	}
	if s.Plot.From != 0 || s.Plot.To != 50 || s.Plot.Runs != "distance" {
		t.Errorf("plot %+v", s.Plot)
	}
	var line []figure.Point
	for _, m := range s.Marks {
		if m.Shape == figure.Line && m.Role == "speed" {
			line = m.Points
		}
	}
	if len(line) != 2 || math.Abs(line[0].X-s.Plot.Left) > 1e-9 || math.Abs(line[0].Y-s.Plot.Top) > 1e-9 || math.Abs(line[1].Y-s.Plot.Top-s.Plot.Height) > 1e-9 {
		t.Errorf("the line runs from corner to corner of the plot: %+v in %+v", line, s.Plot)
	}
	if got := s.Table.Columns[1].Heading(&quantity.Reader{}); s.Table.Rows() != 2 || got != "bike (km/h)" {
		t.Errorf("table: %d rows, %q", s.Table.Rows(), got)
	}
}

// A readable figure has lines at all ticks, and finer ones between them: ten to a step where there is room, or five.
func TestReadable(t *testing.T) {
	s := ramp().Scene(figure.Style{Readable: true, Width: 700, Height: 500})
	count := make(map[string]int)
	for _, m := range s.Marks {
		if m.Shape == figure.Line && len(m.Points) == 2 && (m.Role == "grid" || m.Role == "axis") {
			p, q := m.Points[0], m.Points[1]
			switch {
			case p.X == q.X && p.Y == s.Plot.Top && math.Abs(q.Y-s.Plot.Top-s.Plot.Height) < 1e-9:
				count["upright "+m.Role]++
			case p.Y == q.Y && p.X == s.Plot.Left && math.Abs(q.X-s.Plot.Left-s.Plot.Width) < 1e-9:
				count["level "+m.Role]++
			}
		}
	}
	// 0 to 50 m by 5 and 0 to 100 km/h by 10; the frame's lower line and that of the level axis stand there in any figure.
	if count["upright axis"] != 11 || count["upright grid"] != 10*9 || count["level axis"] != 11+2 || count["level grid"] != 10*4 {
		t.Errorf("lines: %v", count)
	}
}

// Two labels never cover each other while there is room, and none leaves the picture.
func TestLabelsKeepApart(t *testing.T) {
	c := ramp()
	for i := range 4 {
		c.Spots = append(c.Spots, figure.Spot{Role: "now", Label: fmt.Sprintf("label %d", i), X: 14 + 7*float64(i), Y: 12 + float64(i%3)})
	}
	c.Guides = []figure.Guide{{Role: "limit", Label: "limit", At: 49}, {Role: "limit", Label: "level", At: 5, Level: true}}
	c.Bands = []figure.Band{{Role: "braking", Label: "braking", From: 0, To: 50}}
	s := c.Scene(figure.Style{})
	type box struct{ left, right, top, bottom float64 }
	var boxes []box
	for _, m := range s.Marks {
		if m.Shape != figure.Letter || !m.Halo {
			continue
		}
		width := 0.54 * m.Size * float64(len(m.Text))
		left := m.Points[0].X - width*[...]float64{0, 0.5, 1}[m.Anchor]
		b := box{left, left + width, m.Points[0].Y - 0.8*m.Size, m.Points[0].Y + 0.2*m.Size}
		for _, o := range boxes {
			if b.left < o.right && o.left < b.right && b.top < o.bottom && o.top < b.bottom {
				t.Errorf("%q covers another label", m.Text)
			}
		}
		if b.left < 0 || b.right > s.Width || b.top < 0 || b.bottom > s.Height {
			t.Errorf("%q leaves the picture", m.Text)
		}
		boxes = append(boxes, b)
	}
	if len(boxes) != 9 {
		t.Errorf("%d labels, want 11", len(boxes))
	}
}

func TestStack(t *testing.T) {
	top, below := ramp(), ramp()
	below.Y = figure.Axis{Label: "Share", Shown: plain}
	below.Series[0] = figure.Series{Role: "lever", Label: "lever", X: top.Series[0].X, Y: []float64{0, 1}}
	below.Strips = []figure.Strip{{Role: "lift", Label: "in the air", Spans: [][2]float64{{10, 20}, {20.01, 20.02}, {40, 45}}}}
	s := figure.Stack(figure.Style{}, top, below)
	if s.Height <= 300 || len(s.Table.Columns) != 3 {
		t.Errorf("height %v, %d columns", s.Height, len(s.Table.Columns))
	}
	if got := letters(&s, "name"); len(got) != 3 {
		t.Errorf("one name for X and one for each Y: %q", got)
	}
	var rows int
	for _, m := range s.Marks {
		if m.Shape == figure.Area && m.Role == "lift-span" {
			rows++
		}
	}
	if rows != 2 {
		t.Errorf("spans that touch are one: %d areas", rows)
	}
}

// A square chart draws a circle round.
func TestSquare(t *testing.T) {
	c := figure.Chart{Square: true, X: figure.Axis{Shown: plain}, Y: figure.Axis{Shown: plain}}
	var x, y []float64
	for i := range 65 {
		x, y = append(x, math.Cos(float64(i)*math.Pi/64)), append(y, math.Sin(float64(i)*math.Pi/64))
	}
	c.Series = []figure.Series{{Role: "grip", X: x, Y: y}}
	s := c.Scene(figure.Style{})
	for _, m := range s.Marks {
		if m.Role != "grip" {
			continue
		}
		center := figure.Point{X: (m.Points[0].X + m.Points[len(m.Points)-1].X) / 2, Y: m.Points[0].Y}
		radius := m.Points[0].X - center.X
		for _, p := range m.Points {
			if got := math.Hypot(p.X-center.X, p.Y-center.Y); math.Abs(got-radius) > 1e-6*radius {
				t.Fatalf("radius %v, then %v", radius, got)
			}
		}
	}
}

func TestNamesInsteadOfNumbers(t *testing.T) {
	c := figure.Chart{X: figure.Axis{Names: []string{"hand", "tyre"}}, Y: figure.Axis{Shown: plain},
		Bars:  []figure.Bar{{Role: "front", Label: "1", From: 0.1, To: 0.9, Height: 1}, {Role: "front", Label: "2", From: 1.1, To: 1.9, Height: 2}},
		Table: figure.Table{Columns: []figure.Column{{Label: "Station", Words: []string{"hand", "tyre"}}}}}
	s := c.Scene(figure.Style{Reader: &quantity.Reader{Words: map[string]string{"hand": "Hand"}}})
	got := letters(&s, "tick")
	if fmt.Sprint(got[len(got)-2:]) != "[Hand tyre]" {
		t.Errorf("ticks: %q", got)
	}
}

func TestSimplifyKeepsWhatIsSeen(t *testing.T) {
	var points []figure.Point
	for i := range 2001 {
		x := float64(i) / 5
		points = append(points, figure.Point{X: x, Y: 50 * math.Sin(x/30)})
	}
	kept := figure.Simplify(points, 0.12)
	if len(kept) > 200 || kept[0] != points[0] || kept[len(kept)-1] != points[2000] {
		t.Errorf("%d points kept", len(kept))
	}
	// Every dropped point lies within the tolerance of the line that is left.
	k := 0
	for _, p := range points {
		for k+2 < len(kept) && kept[k+1].X < p.X {
			k++
		}
		a, b := kept[k], kept[k+1]
		at := a.Y + (b.Y-a.Y)*(p.X-a.X)/(b.X-a.X)
		if math.Abs(p.Y-at) > 0.12*3 { // measured upright, so a little more on slopes
			t.Fatalf("at %v the line is %v off", p.X, p.Y-at)
		}
	}
}

// A column shows a digit that changes from row to row, and as many decimals in all rows; what hardly moves gets no more.
func TestColumnKeepsTheDigitThatChanges(t *testing.T) {
	for _, test := range []struct{ values, want string }{
		{"17.7 17.71 17.72", "17.70 17.71 17.72"},
		{"0 10.04 20", "0.0 10.0 20.0"},
		{"0.05 0.04996 0.04992", "0.05000 0.04996 0.04992"},
		{"17.7 17.7000001 17.7", "17.7 17.7 17.7"},
		{"3 3 3", "3.0 3.0 3.0"},
		{"0.95 1.05 0", "0.9 1.1 0.0"},
	} {
		var values []float64
		for field := range strings.FieldsSeq(test.values) {
			v, _ := strconv.ParseFloat(field, 64)
			values = append(values, v)
		}
		c := figure.Column{Shown: plain, Values: values}
		if got := strings.Join(c.Printed(&quantity.Reader{}), " "); got != test.want {
			t.Errorf("%s are printed %s, want %s", test.values, got, test.want)
		}
	}
}

func TestThin(t *testing.T) {
	var v []float64
	for i := range 101 {
		v = append(v, float64(i))
	}
	thin := figure.Table{Columns: []figure.Column{{Label: "n", Values: v}}}.Thin(11)
	if fmt.Sprint(thin.Columns[0].Values) != "[0 10 20 30 40 50 60 70 80 90 100]" {
		t.Errorf("got %v", thin.Columns[0].Values)
	}
}

// wellFormed reads an SVG to its end.
func wellFormed(svg string) error {
	d := xml.NewDecoder(strings.NewReader(svg))
	for {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			return nil
		} else if err != nil {
			return err
		}
	}
}

func TestSVG(t *testing.T) {
	c := ramp()
	c.Title, c.Alt, c.Spots[0].Label = `<a> & "b"`, "ok", "5 < 6"
	s := c.Scene(figure.Style{})
	svg := s.SVG()
	if err := wellFormed(svg); err != nil {
		t.Error(err)
	}
	for _, want := range []string{`aria-label="&lt;a&gt; &amp; &quot;b&quot;. ok"`, `>5 &lt; 6</text>`, `data-runs="distance"`, `data-span="0.0000 50.0000"`, `class="line r-speed"`} {
		if !strings.Contains(svg, want) {
			t.Errorf("no %s in %s", want, svg)
		}
	}
}

// Lines and areas of one role that follow each other are one element; what can be dragged is one of its own.
func TestAlikeMarksAreOneElement(t *testing.T) {
	c := ramp()
	c.Bars = []figure.Bar{{Role: "riders", To: 10, Height: 5}, {Role: "riders", From: 10, To: 20, Height: 9}, {Role: "others", From: 20, To: 30, Height: 9}}
	c.Guides = []figure.Guide{{Role: "now", At: 20, Input: "speed"}, {Role: "now", At: 30, Input: "gap"}}
	s := c.Scene(figure.Style{})
	svg := s.SVG()
	for class, want := range map[string][2]int{`class="line r-grid"`: {1, 6}, `class="area r-riders"`: {1, 2}, `class="area r-others"`: {1, 1}, `class="line dashed r-now"`: {2, 2}} {
		elements, ways := 0, 0
		for _, element := range strings.Split(svg, "<")[1:] {
			if strings.Contains(element, class) {
				elements, ways = elements+1, ways+strings.Count(element, "M")
			}
		}
		if elements != want[0] || ways != want[1] {
			t.Errorf("%s: %d elements with %d ways, want %v", class, elements, ways, want)
		}
	}
}

// Every number is rounded as strconv rounds it, halves and what is next to them too.
func TestNumbersOfAnSVG(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	numbers := []float64{math.Copysign(0, -1), 0.04999999999999999, 0.05, 0.25, 0.35, 99.95, 1e5 - 0.05, 1e5, 123456.75, 1e22, math.NaN(), math.Inf(1)}
	for range 2000 {
		half := float64(r.IntN(1e5))/10 + 0.05
		numbers = append(numbers, half, math.Nextafter(half, 0), math.Nextafter(half, 1e9), r.Float64()*500, -r.Float64())
	}
	for _, v := range numbers {
		want := strings.TrimSuffix(strconv.FormatFloat(v, 'f', 1, 64), ".0")
		if want == "-0" {
			want = "0"
		}
		s := figure.Scene{Width: v}
		if got := strings.Fields(s.SVG())[7]; got != want { // in viewBox="0 0 WIDTH HEIGHT"
			t.Fatalf("%v is written %s, want %s", v, got, want)
		}
	}
}

// FuzzChart draws whatever numbers there are, in any unit and size: never a hang, a panic, or a mark at no place.
func FuzzChart(f *testing.F) {
	f.Add(uint64(1), 1.0, 440.0)
	f.Add(uint64(2), 1e-300, 330.0)
	f.Add(uint64(3), 1e300, 1920.0)
	f.Add(uint64(4), math.Inf(1), 200.0)
	f.Add(uint64(5), math.NaN(), 100.0)
	f.Fuzz(func(t *testing.T, seed uint64, size, width float64) {
		if !(width >= 100 && width <= 4000) {
			return
		}
		r := rand.New(rand.NewPCG(seed, 1))
		number := func() float64 { return (r.Float64() - 0.3) * size }
		column := func(n int) (v []float64) {
			for range n {
				v = append(v, number())
			}
			return v
		}
		kinds := []quantity.Shown{speed, road, plain, {Kind: quantity.Whole}, {Kind: quantity.Temperature, Metric: "degC", Imperial: "degF"}}
		make := func() *figure.Chart {
			n := r.IntN(60)
			return &figure.Chart{
				X: figure.Axis{Shown: kinds[r.IntN(5)], From: number()}, Y: figure.Axis{Shown: kinds[r.IntN(5)], To: number()}, Square: r.IntN(3) == 0,
				Series: []figure.Series{{Role: "a", Label: "one", X: column(n), Y: column(n), Fill: r.IntN(2) == 0, LabelAt: r.Float64()}},
				Spots:  []figure.Spot{{Role: "b", Label: "two", X: number(), Y: number(), Below: r.IntN(2) == 0}},
				Guides: []figure.Guide{{Role: "c", Label: "three", At: number(), Level: r.IntN(2) == 0}},
				Bands:  []figure.Band{{Role: "d", Label: "four", From: number(), To: number()}},
				Bars:   []figure.Bar{{Role: "e", Label: "five", From: number(), To: number(), Height: number()}},
				Strips: []figure.Strip{{Role: "f", Label: "six", Spans: [][2]float64{{number(), number()}, {number(), number()}}}},
			}
		}
		style := figure.Style{Reader: &quantity.Reader{System: quantity.System(r.IntN(2))}, Width: width, Height: width * 0.7}
		charts := []*figure.Chart{make(), make()}
		s := figure.Stack(style, charts[:1+r.IntN(2)]...)
		if err := wellFormed(s.SVG()); err != nil {
			t.Fatal(err)
		}
		if size != 0 && math.Abs(size) < 1e9 && math.Abs(size) > 1e-6 {
			for _, m := range s.Marks {
				for _, p := range m.Points {
					if math.IsNaN(p.X + p.Y) {
						t.Fatalf("a %s mark is nowhere", m.Role)
					}
				}
			}
		}
	})
}

func BenchmarkScene(b *testing.B) {
	c := ramp()
	for i := range 1500 {
		c.Series[0].X = append(c.Series[0].X, 50+float64(i)/50)
		c.Series[0].Y = append(c.Series[0].Y, 10+5*math.Sin(float64(i)/20))
	}
	b.ReportAllocs()
	for b.Loop() {
		s := c.Scene(figure.Style{})
		if len(s.AppendSVG(nil)) == 0 {
			b.Fatal("nothing drawn")
		}
	}
}

func ExampleChart() {
	c := figure.Chart{
		X:      figure.Axis{Label: "Time", Shown: quantity.Shown{Kind: quantity.Time, Metric: "s"}},
		Y:      figure.Axis{Label: "Speed", Shown: quantity.Shown{Kind: quantity.Speed, Metric: "km/h", Imperial: "mph"}},
		Series: []figure.Series{{Role: "speed", X: []float64{0, 4}, Y: []float64{25, 0}}},
	}
	s := c.Scene(figure.Style{Reader: &quantity.Reader{System: quantity.Imperial}})
	for _, m := range s.Marks {
		if m.Role == "name" {
			fmt.Println(m.Text)
		}
	}
	// Output:
	// Speed, mph
	// Time, s
}

func TestReadingAtAPlace(t *testing.T) {
	speed := quantity.Shown{Kind: quantity.Speed, Metric: "km/h", Imperial: "mph"}
	way := quantity.Shown{Kind: quantity.Length, Metric: "m", MetricDecimals: 1, Imperial: "ft"}
	c := figure.Chart{
		X: figure.Axis{Label: "Speed", Shown: speed}, Y: figure.Axis{Label: "Way", Shown: way},
		Series: []figure.Series{
			{Label: "braking", X: []float64{0, 10, 30}, Y: []float64{0, 10, 50}},
			{Label: "an outline", X: []float64{0, 10, 0}, Y: []float64{0, 5, 10}},
			{Label: "later", X: []float64{25, 30}, Y: []float64{1, 1}},
		},
		Strips: []figure.Strip{{Label: "released", Spans: [][2]float64{{1, 2}, {19, 21}}}},
	}
	scene := c.Scene(figure.Style{})
	for _, test := range []struct {
		x      float64
		reader quantity.Reader
		want   string
	}{
		{20, quantity.Reader{}, "[{Speed 72\u00a0km/h} {braking 30.0\u00a0m} {released yes}]"}, // halfway from 10 to 50
		{10, quantity.Reader{System: quantity.Imperial}, "[{Speed 22\u00a0mph} {braking 33\u00a0ft} {released no}]"},
		{30, quantity.Reader{}, "[{Speed 108\u00a0km/h} {braking 50.0\u00a0m} {later 1.0\u00a0m} {released no}]"},
	} {
		if got := fmt.Sprint(scene.At(test.x, &test.reader)); got != test.want {
			t.Errorf("at %g: %s, want %s", test.x, got, test.want)
		}
	}
	outline := figure.Chart{X: c.X, Y: c.Y, Series: c.Series[1:2]}
	scene = outline.Scene(figure.Style{})
	if got := scene.At(5, &quantity.Reader{}); got != nil {
		t.Errorf("an outline says %v", got)
	}
}

// A band is shaded between its limits, the axis holds it, and readings and table tell it.
func TestBandOfASeries(t *testing.T) {
	way := quantity.Shown{Kind: quantity.Length, Metric: "m", MetricDecimals: 1}
	x := []float64{0, 10, 20}
	c := figure.Chart{X: figure.Axis{Label: "Speed", Shown: quantity.Shown{Kind: quantity.Speed, Metric: "m/s"}}, Y: figure.Axis{Label: "Way", Shown: way},
		Series: []figure.Series{{Role: "braking", X: x, Y: []float64{0, 7, 30}, Low: []float64{0, 6, 26}, High: []float64{0, 9, 43}}}}
	scene := c.Scene(figure.Style{})
	var shade, line []figure.Point
	for _, m := range scene.Marks {
		if m.Role == "braking" && m.Shape == figure.Area {
			shade = m.Points
		} else if m.Role == "braking" && m.Shape == figure.Line {
			line = m.Points
		}
	}
	if len(shade) != 6 || len(line) != 3 {
		t.Fatalf("the band has %d corners, the line %d points", len(shade), len(line))
	}
	if above, below := shade[2], shade[3]; above.X != line[2].X || below.X != line[2].X || !(above.Y < line[2].Y && line[2].Y < below.Y) || above.Y < scene.Plot.Top {
		t.Errorf("at the end the band reaches from %v to %v about %v", below, above, line[2])
	}
	if got, want := fmt.Sprint(scene.At(15, &quantity.Reader{})), "[{Speed 15\u00a0m/s} {Way 18.5\u00a0m, 16.0 to 26.0 in nine of ten}]"; got != want {
		t.Errorf("said %s, want %s", got, want)
	}
	thin := scene.Table.Thin(2)
	if got, want := thin.Columns[1].Printed(&quantity.Reader{})[1], "30.0 (26.0–43.0)"; got != want {
		t.Errorf("the table says %q, want %q", got, want)
	}
}
