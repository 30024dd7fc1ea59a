package still

import (
	"image/color"
	"image/png"
	"io"
	"strings"

	"github.com/tdewolff/canvas"

	"example.org/gripleaf/calculators/figure"
)

// A Code is a square of dark and light modules, such as a QR code, with the
// words that it stands for below it. It is dark on white on every ground,
// because readers of codes expect that.
type Code struct {
	Title string
	Words string // an address
	Size  int    // modules on a side
	Dark  func(x, y int) bool
}

// Measures of a picture of a code in units. Around a QR code four modules
// must stay light (ISO/IEC 18004, 2015, 5.3.8: from memory).
const (
	codeWidth = 1080.0
	codeWords = 44.0
	quietZone = 4
)

func (c *Code) canvas(fonts *Fonts) (*canvas.Canvas, error) {
	module := float64(int(codeWidth / float64(c.Size+2*quietZone))) // whole pixels, so that edges are sharp
	pen := &Pen{Fonts: fonts, Palette: &Palette{}, Ground: Light}
	measure := &sheet{Pen: pen}
	lines := measure.wrapAddress(c.Words, codeWords, codeWidth-2*margin)
	side := module * float64(c.Size+2*quietZone)
	height := side + (float64(len(lines))+0.6)*codeWords*lineHeight
	pen.Palette.light = map[string]color.RGBA{"panel": {255, 255, 255, 255}, "ink": {0, 0, 0, 255}}
	drawn, s := pen.sheet(codeWidth, height)
	left := (codeWidth - side) / 2
	squares := &canvas.Path{}
	for y := range c.Size {
		for x := 0; x < c.Size; x++ {
			from := x
			for x < c.Size && c.Dark(x, y) {
				x++
			}
			if x > from {
				squares = squares.Append(canvas.Rectangle(float64(x-from)*module, module).
					Translate(left+float64(from+quietZone)*module, height-float64(y+quietZone+1)*module))
			}
		}
	}
	s.fill(squares, s.ink.words())
	for i, line := range lines {
		s.words(line, codeWidth/2, side+(float64(i)+0.8)*codeWords*lineHeight, codeWords, regular, s.ink.words(), figure.Middle, false)
	}
	if measure.err != nil {
		return nil, measure.err
	}
	return drawn, s.err
}

// wrapAddress breaks an address behind the signs that part it.
func (s *sheet) wrapAddress(text string, size, width float64) []string {
	var lines []string
	line := ""
	for text != "" {
		n := strings.IndexAny(text[1:], "/#-?&") + 2
		if n < 2 || n > len(text) {
			n = len(text)
		}
		part := text[:n]
		text = text[n:]
		_, wide, err := s.Fonts.path(line+part, size, regular)
		if err != nil && s.err == nil {
			s.err = err
		}
		if wide > width && line != "" {
			lines, line = append(lines, line), ""
		}
		line += part
	}
	return append(lines, line)
}

// WriteSVG writes the code as SVG.
func (c *Code) WriteSVG(w io.Writer, fonts *Fonts) error {
	drawn, err := c.canvas(fonts)
	if err != nil {
		return err
	}
	return writeSVG(w, drawn, c.Title, c.Words)
}

// WritePNG writes the code in pixels.
func (c *Code) WritePNG(w io.Writer, fonts *Fonts) error {
	drawn, err := c.canvas(fonts)
	if err != nil {
		return err
	}
	r := newPixels(drawn.W, drawn.H, 1)
	drawn.RenderTo(r)
	return png.Encode(w, r.image)
}
