// Package candidate looks in a text for numbers that calculators could work out, and writes the links for them. It
// knows nothing of what the text means: it tries the numbers of a paragraph as inputs, and sees what comes out.
package candidate

import (
	"bytes"
	"cmp"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/locale"
	"example.org/gripleaf/cmd/internal/proof"
)

// Number is a number with its unit that stands in a text.
type Number struct {
	Line, Column int // from 1, columns in characters
	Written      string
	Exact        []Link // what works out to it, with numbers of its paragraph; at most three
	Others       []Link // where nothing does: what works out to something of its kind
}

// Link is a calculation for a number.
type Link struct {
	Query string // calc:stop?speed=60km/h#braking-distance
	Works string // what comes out
	used  []int  // the numbers of the paragraph that are in it
}

// most bounds the links that a number is given, and how many numbers of its paragraph are tried together.
const (
	most   = 3
	mostIn = 4
)

// Find looks through a text. Numbers that are inputs of what works out to another one are left out.
func Find(text []byte, set kit.Set, words *locale.Locale) []Number {
	var found []Number
	source := &fault.Source{Text: text}
	for _, p := range paragraphs(text) {
		found = append(found, paragraph(source, p, set, words)...)
	}
	return found
}

type span struct{ start, end int }

var fence = regexp.MustCompile("^ {0,3}(```|~~~)")

// paragraphs are the parts of a text between blank lines, without fenced code.
func paragraphs(text []byte) []span {
	var list []span
	at, start, fenced := 0, -1, false
	end := func() {
		if start >= 0 {
			list = append(list, span{start, at})
		}
		start = -1
	}
	for line := range bytes.Lines(text) {
		switch {
		case fence.Match(line):
			end()
			fenced = !fenced
		case fenced:
		case len(bytes.TrimSpace(line)) == 0:
			end()
		case start < 0:
			start = at
		}
		at += len(line)
	}
	end()
	return list
}

// given is a number of a paragraph that may be an input.
type given struct {
	kind quantity.Kind
	text string // as a link writes it
}

var bare = regexp.MustCompile(`(?:^|[\s(=])(\d+(?:[.,]\d+)?)(?:[\s).,;:]|$)`)

func paragraph(text *fault.Source, p span, set kit.Set, words *locale.Locale) []Number {
	part := text.Text[p.start:p.end]
	amounts := proof.Amounts(part, words)
	var all []given
	for _, a := range amounts {
		all = append(all, given{a.Quantity.Unit.Kind, link(a.Quantity)})
	}
	for _, m := range bare.FindAllSubmatch(part, -1) {
		if q, err := quantity.ParseWritten(string(m[1]), words.Numbers, quantity.Number); err == nil && q.Value > 0 && q.Value <= 3 {
			all = append(all, given{quantity.Number, strconv.FormatFloat(q.Value, 'g', -1, 64)})
		}
	}
	numbers := make([]Number, len(amounts))
	inputs := make(map[int]bool)
	for i, a := range amounts {
		line, column := text.Position(p.start + a.Start)
		numbers[i] = Number{Line: line, Column: column, Written: a.Written}
		numbers[i].Exact, numbers[i].Others = links(i, a, all, set, words)
		for _, l := range numbers[i].Exact {
			for _, k := range l.used {
				inputs[k] = true
			}
		}
	}
	for _, n := range numbers { // what only leads to another number's links needs none itself
		for _, l := range n.Others {
			for _, k := range l.used {
				inputs[k] = inputs[k] || k < len(numbers) && len(numbers[k].Exact)+len(numbers[k].Others) == 0
			}
		}
	}
	kept := numbers[:0]
	for i, n := range numbers {
		if !inputs[i] {
			kept = append(kept, n)
		}
	}
	return kept
}

// link writes a quantity as a link does.
func link(q quantity.Quantity) string {
	n, _ := strconv.ParseFloat(strconv.FormatFloat(q.Unit.From(q.Value), 'g', 10, 64), 64)
	return strconv.FormatFloat(n, 'f', -1, 64) + q.Unit.Symbol
}

// links are what works out to a number, and what works out to something else of its kind, best first.
func links(number int, a proof.Amount, all []given, set kit.Set, words *locale.Locale) (exact, others []Link) {
	near := nearest(number, all)
	for _, c := range set {
		if c.Long || c.Simulates || c.Takes != "" || !gives(c, a.Quantity.Unit.Kind) {
			continue
		}
		for _, try := range tries(c, near, all) {
			w, err := kit.Set{c}.Work(kit.Scheme + c.ID + "?" + strings.Join(try.pairs, "&"))
			if err != nil {
				continue
			}
			for i, o := range c.Outputs {
				if o.Shown.Kind != a.Quantity.Unit.Kind || w.Moot[i] {
					continue
				}
				l := Link{kit.Scheme + w.Canonical() + "#" + o.Name, words.Reader(system(a)).Quantity(w.Outputs[i], o.Shown), try.used}
				agrees := math.Abs(proof.Margin(w.Outputs[i], a.Quantity)) <= 0.5+1e-9
				switch {
				case !agrees && !o.Main || !matter(w, i):
				case agrees:
					exact = append(exact, l)
				default:
					others = append(others, l)
				}
			}
		}
	}
	if len(exact) > 0 {
		return best(exact), nil
	}
	return nil, best(others)
}

// matter reports whether an output depends on every input that was given.
func matter(w *kit.Work, output int) bool {
	for i := range w.Inputs {
		if !w.Inputs[i].Given {
			continue
		}
		other := kit.NewWork(w.Calculator, slices.Clone(w.Inputs))
		other.Inputs[i].Number *= 0.99
		if other.Run() == nil && other.Outputs[output] == w.Outputs[output] && other.Moot[output] == w.Moot[output] {
			return false
		}
	}
	return true
}

func system(a proof.Amount) quantity.System {
	if slices.Contains([]string{"ft", "in", "yd", "mi", "mph", "ft/s", "lb", "lbf", "psi"}, a.Quantity.Unit.Symbol) {
		return quantity.Imperial
	}
	return quantity.Metric
}

func gives(c *kit.Calculator, kind quantity.Kind) bool {
	return slices.ContainsFunc(c.Outputs, func(o kit.Output) bool { return o.Shown.Kind == kind })
}

// nearest are the numbers of a paragraph around one of them.
func nearest(number int, all []given) []int {
	var list []int
	for i := range all {
		if i != number {
			list = append(list, i)
		}
	}
	slices.SortStableFunc(list, func(a, b int) int { return cmp.Compare(max(a-number, number-a), max(b-number, number-b)) })
	return list[:min(mostIn, len(list))]
}

// try is a way to put numbers into inputs.
type try struct {
	pairs []string
	used  []int
}

// tries are all ways to put some numbers into inputs of their kind, at least one and each input once.
func tries(c *kit.Calculator, numbers []int, all []given) []try {
	ways := []try{{}}
	for _, n := range numbers {
		for _, before := range slices.Clone(ways) {
			for _, in := range c.Inputs {
				given := slices.ContainsFunc(before.pairs, func(p string) bool { return strings.HasPrefix(p, in.Name+"=") })
				if given || in.IsWord() || in.Shown.Kind != all[n].kind {
					continue
				}
				ways = append(ways, try{append(slices.Clone(before.pairs), in.Name+"="+all[n].text), append(slices.Clone(before.used), n)})
			}
		}
		if len(ways) > 200 {
			break
		}
	}
	return ways[1:]
}

// best are the links that use the most numbers, each once.
func best(links []Link) []Link {
	slices.SortStableFunc(links, func(a, b Link) int { return cmp.Compare(len(b.used), len(a.used)) })
	var kept []Link
	seen := make(map[string]bool)
	for _, l := range links {
		if !seen[l.Query] && len(kept) < most && len(l.used) == len(links[0].used) {
			seen[l.Query] = true
			kept = append(kept, l)
		}
	}
	return kept
}
