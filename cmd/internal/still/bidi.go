package still

import (
	"image/color"
	"slices"
	"strings"
	"unicode"

	"github.com/tdewolff/canvas"
	"golang.org/x/text/unicode/bidi"
)

// word is a stretch of a line that is set by itself.
type word struct {
	text  string
	blank bool
}

// bothWays sets a line with letters that run from right to left word by word,
// in the order in which they stand on paper: the canvas sets each well, but
// loses the order of several and the spaces between them.
func (f *Fonts) bothWays(s setting) (set, error) {
	if err := f.load(); err != nil {
		return set{}, err
	}
	line := set{outline: &canvas.Path{}}
	for _, word := range visual(s.text) {
		if word.blank {
			line.width += f.own[s.weight].Face(s.size*pointsPerUnit, color.Black).TextWidth(" ")
			continue
		}
		one, err := f.oneWay(setting{word.text, s.size, s.weight})
		if err != nil {
			return set{}, err
		}
		line.outline = line.outline.Append(one.outline.Translate(line.width, 0))
		line.width += one.width
	}
	return line, nil
}

// visual splits a line into words from left to right, after the Unicode
// Bidirectional Algorithm (UAX #9). Words that run from right to left keep the
// order of their letters.
func visual(text string) []word {
	var p bidi.Paragraph
	if _, err := p.SetString(text); err != nil {
		return []word{{text: text}}
	}
	order, err := p.Order()
	if err != nil {
		return []word{{text: text}}
	}
	var all [][]word
	for i := range order.NumRuns() {
		run := order.Run(i)
		list := words(run.String())
		if run.Direction() == bidi.RightToLeft {
			slices.Reverse(list)
			for k := range list {
				if !runsBack(list[k].text) { // signs alone, such as brackets
					list[k].text = bidi.ReverseString(list[k].text)
				}
			}
		}
		all = append(all, list)
	}
	if first := strings.IndexFunc(text, strong); first >= 0 && first == strings.IndexFunc(text, back) {
		slices.Reverse(all)
	}
	return slices.Concat(all...)
}

// words splits a text at its spaces, each of which is a word too.
func words(text string) []word {
	var list []word
	for text != "" {
		i := strings.IndexFunc(text, unicode.IsSpace)
		if i < 0 {
			i = len(text)
		}
		if i > 0 {
			list = append(list, word{text: text[:i]})
		}
		rest := strings.TrimLeftFunc(text[i:], unicode.IsSpace)
		if len(rest) < len(text)-i {
			list = append(list, word{text: " ", blank: true})
		}
		text = rest
	}
	return list
}

// runsBack reports whether a text has letters that run from right to left.
func runsBack(text string) bool { return strings.ContainsFunc(text, back) }

func back(r rune) bool {
	p, _ := bidi.LookupRune(r)
	return p.Class() == bidi.R || p.Class() == bidi.AL
}

// strong reports whether the first such letter gives a line its direction.
func strong(r rune) bool {
	p, _ := bidi.LookupRune(r)
	return p.Class() == bidi.L || back(r)
}
