package still

import (
	"image/color"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/cmd/internal/whole"
)

// A sheet is a drawing being made.
type sheet struct {
	drawing
	*Pen
	ink  ink
	line float64 // width of a line
	err  error   // the first
}

// Pen is what pictures are drawn with.
type Pen struct {
	Fonts      *Fonts
	Palette    *Palette
	Background Background
	Keeper     *whole.Keeper // of pictures that somebody has changed; may be nil
}

func (p *Pen) sheet(width, height float64) *sheet {
	s := &sheet{Pen: p, ink: p.Palette.on(p.Background), drawing: drawing{width: width, height: height}}
	s.paper = s.ink.paper()
	return s
}

// words draws a line of text with its baseline starting at x, y.
func (s *sheet) words(text string, x, y, size float64, w weight, c color.RGBA, anchor figure.Anchor, rim bool) {
	t := s.text(text, w)
	x -= [...]float64{0, 0.5, 1}[anchor] * t.width * size
	s.letters(text, t.outline.moved(x, y, size), size, c, rim)
}

// text sets a line; what cannot be set is noted, and is nothing.
func (s *sheet) text(text string, w weight) set {
	t, err := s.Fonts.line(text, w)
	if s.err == nil {
		s.err = err
	}
	return t
}

// letters draws set text, with a rim of the background's colour where it must stand out from what is below it.
func (s *sheet) letters(text string, p path, size float64, c color.RGBA, rim bool) {
	if rim || s.Background.replaced() {
		s.stroke(p, s.ink.rim(), size*0.24)
	}
	s.shapes = append(s.shapes, shape{path: p, colour: c, words: text, size: size})
}

// scene draws the marks of a figure with its top left corner at x, y.
func (s *sheet) scene(scene *figure.Scene, x, y float64) {
	for i := range scene.Marks {
		m := &scene.Marks[i]
		if len(m.Points) == 0 {
			continue
		}
		switch m.Shape {
		case figure.Area:
			s.fill(polyline(m.Points, x, y), s.ink.area(m.Role))
		case figure.Line:
			s.mark(m, polyline(m.Points, x, y))
		case figure.Dot:
			p := circle(x+m.Points[0].X, y+m.Points[0].Y, m.Radius)
			s.stroke(p, s.ink.rim(), s.line)
			s.fill(p, s.ink.role(m.Role))
		case figure.Letter:
			s.letter(m, x, y)
		}
	}
}

func (s *sheet) mark(m *figure.Mark, p path) {
	width := s.line
	if m.Role == "grid" || m.Role == "axis" {
		width *= 0.4
	}
	if s.Background.replaced() {
		s.stroke(p, s.ink.rim(), width*2)
	}
	s.stroke(p, s.ink.role(m.Role), width, strokes(m.Role, m.Dashed, width)...)
}

func (s *sheet) letter(m *figure.Mark, x, y float64) {
	c := s.ink.role(m.Role)
	x, y = x+m.Points[0].X, y+m.Points[0].Y
	if !m.Vertical {
		s.words(m.Text, x, y, m.Size, regular, c, m.Anchor, m.Halo)
		return
	}
	t := s.text(m.Text, regular)
	back := [...]float64{0, 0.5, 1}[m.Anchor] * t.width * m.Size
	s.letters(m.Text, t.outline.upright().moved(x, y+back, m.Size), m.Size, c, m.Halo)
}
