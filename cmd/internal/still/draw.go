package still

import (
	"image"
	"image/color"
	"strings"

	"github.com/tdewolff/canvas"

	"example.org/gripleaf/calculators/figure"
)

// collector is a canvas renderer that joins the outlines it is given.
type collector struct{ path *canvas.Path }

func (c *collector) Size() (float64, float64) { return 0, 0 }

func (c *collector) RenderPath(p *canvas.Path, _ canvas.Style, m canvas.Matrix) {
	c.path = c.path.Append(p.Copy().Transform(m))
}

func (c *collector) RenderText(*canvas.Text, canvas.Matrix) {}
func (c *collector) RenderImage(image.Image, canvas.Matrix) {}

// A sheet is a canvas being drawn on, in units from its top left corner.
type sheet struct {
	*canvas.Context
	*Pen
	ink    ink
	height float64
	line   float64 // width of a line
	err    error   // the first
}

// Pen is what pictures are drawn with.
type Pen struct {
	Fonts   *Fonts
	Palette *Palette
	Ground  Ground
}

func (p *Pen) sheet(width, height float64) (*canvas.Canvas, *sheet) {
	c := canvas.New(width, height)
	s := &sheet{Context: canvas.NewContext(c), Pen: p, ink: p.Palette.on(p.Ground), height: height}
	s.SetStrokeCapper(canvas.RoundCap)
	s.SetStrokeJoiner(canvas.RoundJoin)
	if p.Ground != Transparent {
		s.fill(canvas.Rectangle(width, height), s.ink.paper())
	}
	return c, s
}

// fill and rim draw a path that stands in canvas coordinates, y upwards.
func (s *sheet) fill(p *canvas.Path, c color.RGBA) {
	s.SetStroke(canvas.Transparent)
	s.SetFillColor(c)
	s.DrawPath(0, 0, p)
}

func (s *sheet) stroke(p *canvas.Path, c color.RGBA, width float64) {
	s.SetFill(canvas.Transparent)
	s.SetStrokeColor(c)
	s.SetStrokeWidth(width)
	s.DrawPath(0, 0, p)
}

// words draws a line of text with its baseline starting at x, y.
func (s *sheet) words(text string, x, y, size float64, w weight, c color.RGBA, anchor figure.Anchor, rim bool) {
	p, width, err := s.Fonts.path(text, size, w)
	if err != nil {
		if s.err == nil {
			s.err = err
		}
		return
	}
	x -= [...]float64{0, width / 2, width}[anchor]
	s.letters(p.Translate(x, s.height-y), size, c, rim)
}

// letters draws set text, with a rim of the ground's colour where it must
// stand out from what is below it.
func (s *sheet) letters(p *canvas.Path, size float64, c color.RGBA, rim bool) {
	if rim || s.Ground == Transparent {
		s.stroke(p, s.ink.rim(), size*0.24)
	}
	s.fill(p, c)
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
			p := s.polyline(m.Points, x, y)
			p.Close()
			s.fill(p, s.ink.area(m.Role))
		case figure.Line:
			s.mark(m, s.polyline(m.Points, x, y))
		case figure.Dot:
			p := canvas.Circle(m.Radius).Translate(x+m.Points[0].X, s.height-y-m.Points[0].Y)
			s.stroke(p, s.ink.rim(), s.line)
			s.fill(p, s.ink.role(m.Role))
		case figure.Letter:
			s.letter(m, x, y)
		}
	}
}

func (s *sheet) polyline(points []figure.Point, x, y float64) *canvas.Path {
	p := &canvas.Path{}
	for i, q := range points {
		if i == 0 {
			p.MoveTo(x+q.X, s.height-y-q.Y)
		} else {
			p.LineTo(x+q.X, s.height-y-q.Y)
		}
	}
	return p
}

func (s *sheet) mark(m *figure.Mark, p *canvas.Path) {
	width := s.line
	if m.Role == "grid" || m.Role == "axis" {
		width *= 0.4
	}
	if s.Ground == Transparent {
		s.stroke(p, s.ink.rim(), width*2)
	}
	if dashes := strokes(m.Role, m.Dashed); dashes != nil {
		s.SetDashes(0, dashes...)
		defer s.SetDashes(0)
	}
	s.stroke(p, s.ink.role(m.Role), width)
}

func (s *sheet) letter(m *figure.Mark, x, y float64) {
	c := s.ink.role(m.Role)
	x, y = x+m.Points[0].X, y+m.Points[0].Y
	if !m.Vertical {
		s.words(m.Text, x, y, m.Size, regular, c, m.Anchor, m.Halo)
		return
	}
	p, width, err := s.Fonts.path(m.Text, m.Size, regular)
	if err != nil {
		s.err = err
		return
	}
	back := [...]float64{0, width / 2, width}[m.Anchor]
	s.letters(p.Translate(-back, 0).Transform(canvas.Identity.Rotate(90)).Translate(x, s.height-y), m.Size, c, m.Halo)
}

// wrap breaks a text into lines that are at most width wide.
func (s *sheet) wrap(text string, size, width float64, w weight) []string {
	var lines []string
	line := ""
	for word := range strings.FieldsFuncSeq(text, func(r rune) bool { return r == ' ' || r == '\n' }) {
		longer := strings.TrimPrefix(line+" "+word, " ")
		_, wide, err := s.Fonts.path(longer, size, w)
		if err != nil && s.err == nil {
			s.err = err
		}
		if wide > width && line != "" {
			lines, line = append(lines, line), word
		} else {
			line = longer
		}
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}
