package standard_test

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"testing"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/physics/bike"
	"example.org/gripleaf/calculators/physics/tyre"
	"example.org/gripleaf/calculators/standard"
)

var accept = flag.Bool("accept", false, "write down what the calculators answer now")

const answersFile = "testdata/answers.txt"

// The bikes and surfaces stand in a file, and what each calculator answers to some states, a line each: every choice of
// every input by itself, and drawn states. Whatever moves one of these numbers, however little, fails here until somebody has looked at it and run
//
//	go test ./calculators/standard -run Answers -accept
//
// None of the numbers is right because it stands there: that is what other tests are for.
func TestAnswers(t *testing.T) {
	if *accept {
		if err := os.WriteFile(answersFile, []byte(drawAnswers()), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	text, err := os.ReadFile(answersFile)
	if err != nil {
		t.Fatal(err)
	}
	moved, of := 0, map[string]int{}
	for line := range strings.Lines(string(text)) {
		query, want, _ := strings.Cut(strings.TrimSuffix(line, "\n"), "\t")
		got := answer(query)
		calculator, _, _ := strings.Cut(query, "?")
		if of[calculator]++; agree(got, want) {
			continue
		}
		if moved++; moved == 20 {
			t.Fatal("and more")
		} else if moved <= 3 {
			t.Errorf("%s was\n%s\nis\n%s", query, want, got)
		}
	}
	if moved > 3 {
		t.Errorf("and %d more", moved-3)
	}
	for _, c := range standard.Set {
		if of[c.ID] < 10 {
			t.Errorf("%s stands there with %d states only; accept them anew", c.ID, of[c.ID])
		}
	}
}

// agree reports whether two answers are the same but for the last digits. Processors that fuse a multiplication with an
// addition round otherwise, whereupon a controller may act a moment sooner.
func agree(got, want string) bool {
	within := 1e-9
	if runtime.GOARCH != "amd64" {
		within = 1e-2
	}
	a, b := strings.Split(got, " "), strings.Split(want, " ")
	return slices.EqualFunc(a, b, func(a, b string) bool {
		nameA, valueA, _ := strings.Cut(a, "=")
		nameB, valueB, _ := strings.Cut(b, "=")
		x, errX := strconv.ParseFloat(valueA, 64)
		y, errY := strconv.ParseFloat(valueB, 64)
		return a == b || nameA == nameB && errX == nil && errY == nil && math.Abs(x-y) <= within*max(math.Abs(x), math.Abs(y), 1e-6)
	})
}

// answer is all outputs of a state that say something, or that it is refused; or all figures of a bike or surface.
func answer(query string) string {
	if id, ok := strings.CutPrefix(query, "bike "); ok {
		b, _ := bike.Find(id)
		return fmt.Sprint(b)
	}
	if id, ok := strings.CutPrefix(query, "surface "); ok {
		s, _ := tyre.Find(id)
		return fmt.Sprint(s)
	}
	q, faults := kit.Parse(query)
	if faults != nil {
		return "refused"
	}
	w, err := standard.Set.Prepare(q)
	if err != nil {
		return "refused"
	}
	w.First = w.Calculator.ID == "antilock" // one ride of each stop: cycle and rider show the rest
	if w.Run() != nil {
		return "refused"
	}
	var values []string
	for i, v := range w.Outputs {
		if !w.Moot[i] {
			values = append(values, w.Calculator.Outputs[i].Name+"="+strconv.FormatFloat(v, 'g', 12, 64))
		}
	}
	return strings.Join(values, " ")
}

// drawAnswers works out all states that are to stand in the file.
func drawAnswers() string {
	r := rand.New(rand.NewPCG(2026, 11))
	var b strings.Builder
	for _, preset := range bike.Presets() {
		b.WriteString("bike " + preset.ID + "\t" + answer("bike "+preset.ID) + "\n")
	}
	for _, surface := range tyre.Surfaces() {
		b.WriteString("surface " + surface.ID + "\t" + answer("surface "+surface.ID) + "\n")
	}
	for _, c := range standard.Set {
		write := func(query string) bool {
			query = shortened(c, strings.ReplaceAll(query, "%", "%25"))
			values := answer(query)
			if values != "refused" {
				b.WriteString(query + "\t" + values + "\n")
			}
			return values != "refused"
		}
		for i := range c.Inputs {
			for _, choice := range c.Inputs[i].Choices {
				write(c.ID + "?" + c.Inputs[i].Name + "=" + choice.Value)
			}
		}
		drawn := 24
		switch {
		case c.ID == "antilock": // all of the simulation shows in it
			drawn = 120
		case c.Long:
			drawn = 4
		}
		for n, tries := 0, 0; n < drawn && tries < 100*drawn; tries++ {
			if write(state(c, r)) {
				n++
			}
		}
	}
	return b.String()
}

// shortened asks a calculator that repeats a stop with many riders, or at many rates, for a few of them.
func shortened(c *kit.Calculator, query string) string {
	for input, few := range map[string]string{"riders": "20", "rates": "10,50"} {
		if _, ok := c.Input(input); !ok {
			continue
		}
		id, rest, _ := strings.Cut(query, "?")
		pairs := slices.DeleteFunc(strings.Split(rest, "&"), func(pair string) bool { return pair == "" || strings.HasPrefix(pair, input+"=") })
		query = id + "?" + strings.Join(append(pairs, input+"="+few), "&")
	}
	return query
}
