package candidate

import (
	"slices"
	"strings"
	"testing"

	"example.org/gripleaf/calculators/standard"
	"example.org/gripleaf/cmd/internal/locale"
)

// The numbers are those of the formulas v·t and v²/(2·µ·g) at 60 km/h, and of v²/(2·µ·g) at 60 mph.
func TestFind(t *testing.T) {
	const text = `At 60 km/h on dry tarmac (grip 0.8) the brakes need 17.7 m. Before that you roll 16.7 m in the 1 s it takes to react.

At 100 km/h it is 90 m in all.

From 60 mph with a grip of 0.8 the brakes need 150 ft.

    The chain weighs 2 kg.

` + "```\nAt 60 km/h it is 16.7 m.\n```\n"
	words, err := locale.New("en", nil)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, n := range Find([]byte(text), standard.Set, words) {
		line := n.Written
		for _, l := range n.Exact {
			line += " = " + l.Query
		}
		for _, l := range n.Others {
			line += " / " + l.Query + " " + strings.ReplaceAll(l.Works, "\u00a0", " ")
		}
		got = append(got, line)
		if lines := strings.Split(text, "\n"); !strings.HasPrefix(string([]rune(lines[n.Line-1])[n.Column-1:]), n.Written) {
			t.Errorf("%s is not at %d:%d", n.Written, n.Line, n.Column)
		}
	}
	want := []string{
		"17.7 m = calc:stop?speed=60km/h&grip=0.8#braking-distance = calc:lean?speed=60km/h&grip=0.8#distance-upright",
		"16.7 m = calc:stop?speed=60km/h&reaction=1s#reaction-distance = calc:gap?speed=60km/h&reaction=1s#needed-gap = calc:lean?speed=60km/h&stand-up=1s#stand-up-cost",
		"90 m / calc:stop?speed=100km/h#stopping-distance 77.0 m / calc:stop?speed=100km/h#reaction-distance 27.8 m / calc:stop?speed=100km/h#braking-distance 49.2 m",
		"150 ft = calc:stop?speed=60mph&grip=0.8#braking-distance",
		"2 kg",
	}
	if !slices.Equal(got, want) {
		t.Errorf("found\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}
