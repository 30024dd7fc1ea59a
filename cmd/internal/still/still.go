// Package still makes pictures for the screen: what a presenter lays over a video or shows on a projector. A figure is
// laid out anew for each format, so that its letters can be read on a phone, drawn with the marks' roles in one
// palette, and written as SVG and as PNG. No browser takes part.
package still

import (
	"slices"
	"strings"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/quantity"
)

// Size is a format of pictures. It is laid out in units of which Scale pixels make one, so that 2160p shows the same as
// 1080p, only finer.
type Size struct {
	Name          string
	Width, Height float64 // units
	Scale         float64
	edges         box // how much of each side stays free
}

// Sizes are the formats there are; the first is the usual one. Words and figures keep within the safe title area, which
// leaves a twentieth of each side free (SMPTE ST 2046-1:2009, from memory). What plays upright films puts its own
// titles at the top and its controls at the bottom and at the right (common practice, no source for how wide).
var Sizes = []Size{
	{"1080p", 1920, 1080, 1, box{96, 54, 96, 54}},
	{"2160p", 1920, 1080, 2, box{96, 54, 96, 54}},
	{"square", 1080, 1080, 1, box{54, 54, 54, 54}},
	{"portrait", 1080, 1920, 1, box{54, 220, 130, 320}},
}

// free is the part of the picture in which its words and its figure stand.
func (s *Size) free() box {
	return box{s.edges.left, s.edges.top, s.Width - s.edges.right, s.Height - s.edges.bottom}
}

// SizeOf finds a format by its name, which must be one of theirs.
func SizeOf(name string) Size {
	return Sizes[slices.IndexFunc(Sizes, func(s Size) bool { return s.Name == name })]
}

// A Picture is a figure with the words around it.
type Picture struct {
	Name    string // of its files, without an ending
	Title   string
	About   string   // what was set, in a line
	Results []string // sentences
	Caution string
	Reader  *quantity.Reader
	RTL     bool // words read from right to left
	Draw    func(figure.Style) figure.Scene
}

// Of makes the picture of one figure of a calculation. With results, the main outputs are said beside it.
func Of(w *kit.Work, i int, r *quantity.Reader, results bool) Picture {
	p := Picture{
		Name:    w.Calculator.ID + "-" + w.Calculator.Figures[i].Name,
		Title:   r.Say(w.Calculator.Figures[i].Title),
		About:   about(w, r),
		Caution: w.Calculator.Warning(r),
		Reader:  r,
		Draw:    func(s figure.Style) figure.Scene { return w.Scene(i, s) },
	}
	for k, out := range w.Calculator.Outputs {
		if results && out.Main && !w.Moot[k] {
			p.Results = append(p.Results, w.Sentence(k, r))
		}
	}
	return p
}

// always are inputs without which nobody knows what a picture is about.
var always = []string{"surface", "speed", "reaction"}

// between stands between two inputs.
const between = " •"

// about says in a line what was worked out.
func about(w *kit.Work, r *quantity.Reader) string {
	var list []string
	for i := range w.Inputs {
		if text := told(w, i, r); text != "" {
			list = append(list, text)
		}
	}
	return strings.Join(list, between+" ")
}

// told is an input with its value, if it is worth telling: what the link sets is, and always the surface, the speed and
// the reaction. It is not parted by the end of a line.
func told(w *kit.Work, i int, r *quantity.Reader) string {
	in, v := &w.Calculator.Inputs[i], &w.Inputs[i]
	if !v.Given && !(v.Set && slices.Contains(always, in.Name)) {
		return ""
	}
	return strings.ReplaceAll(r.Say(in.Label)+" "+w.InputText(i, r), " ", "\u00a0")
}
