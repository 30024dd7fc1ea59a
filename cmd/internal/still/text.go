package still

import (
	"math"
	"slices"
	"strings"

	"github.com/go-text/typesetting/di"
	"github.com/go-text/typesetting/shaping"
	"golang.org/x/image/math/fixed"
	"golang.org/x/text/unicode/bidi"

	"example.org/gripleaf/calculators/figure"
)

// em is the size in which text is shaped; a set line is enlarged from there.
const em = 1024

// set is a text on one line, in letters of size 1.
type set struct {
	outline path // with the start of the baseline at the origin
	width   float64
}

// line sets a text on one line.
func (f *Fonts) line(text string, w weight) (set, error) {
	if text == "" {
		return set{}, nil
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	runes, runs, err := f.shape(text, w)
	if err != nil {
		return set{}, err
	}
	var line set
	for _, run := range f.broken(runes, runs, math.MaxInt32>>6)[0] {
		line.add(&run)
	}
	return line, nil
}

// wrap breaks a text into lines that are at most width wide in letters of size 1, by the Unicode Line Breaking
// Algorithm (UAX #14); but nothing is broken behind a slash, which is a unit's.
func (f *Fonts) wrap(text string, width float64, w weight) ([]string, error) {
	if text == "" {
		return nil, nil
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	const joiner, toLeft = "\u2060", "\u200f"
	runes, runs, err := f.shape(strings.ReplaceAll(text, "/", "/"+joiner), w)
	if err != nil {
		return nil, err
	}
	var lines []string
	for _, line := range f.broken(runes, runs, int(width*em)) {
		first, end := len(runes), 0
		for _, run := range line {
			first, end = min(first, run.Runes.Offset), max(end, run.Runes.Offset+run.Runes.Count)
		}
		words := strings.TrimSpace(string(runes[first:end]))
		if direction(runes) == di.DirectionRTL {
			words = toLeft + words // though it may begin with a word of another script
		}
		lines = append(lines, words)
	}
	return lines, nil
}

// shape makes glyphs of a text, in runs of one font, script and direction.
func (f *Fonts) shape(text string, w weight) ([]rune, []shaping.Output, error) {
	if err := f.load(); err != nil {
		return nil, nil, err
	}
	runes := []rune(strings.ReplaceAll(text, "\n", " "))
	faces := chooser{fonts: f, weight: w}
	input := shaping.Input{Text: runes, RunEnd: len(runes), Direction: direction(runes), Size: fixed.I(em)}
	var runs []shaping.Output
	for _, part := range f.segmenter.Split(input, &faces) {
		runs = append(runs, f.shaper.Shape(part))
	}
	if faces.lost != nil {
		return nil, nil, missing(faces.lost)
	}
	return runes, runs, nil
}

// broken puts runs on lines, on each from left to right.
func (f *Fonts) broken(text []rune, runs []shaping.Output, width int) []shaping.Line {
	config := shaping.WrapConfig{Direction: direction(text), DisableTrailingWhitespaceTrim: true}
	lines, _ := f.wrapper.WrapParagraph(config, width, text, shaping.NewSliceIterator(runs))
	for _, line := range lines {
		slices.SortFunc(line, func(a, b shaping.Output) int { return int(a.VisualIndex - b.VisualIndex) })
	}
	return lines
}

// add puts a run at the end of the line.
func (s *set) add(run *shaping.Output) {
	units := func(v fixed.Int26_6) float64 { return float64(v) / 64 / em }
	scale := 1 / float64(run.Face.Upem())
	for _, g := range run.Glyphs {
		x, y := s.width+units(g.XOffset), -units(g.YOffset)
		if outline, ok := run.Face.GlyphDataOutline(g.GlyphID); ok {
			s.outline = append(s.outline, path(outline.Segments).mapped(func(q figure.Point) figure.Point {
				return figure.Point{X: x + q.X*scale, Y: y - q.Y*scale}
			})...)
		}
		s.width += units(g.Advance)
	}
}

// direction is that in which the first letter runs that has a direction of its own (UAX #9, P2 and P3).
func direction(text []rune) di.Direction {
	for _, r := range text {
		switch p, _ := bidi.LookupRune(r); p.Class() {
		case bidi.L:
			return di.DirectionLTR
		case bidi.R, bidi.AL:
			return di.DirectionRTL
		}
	}
	return di.DirectionLTR
}
