package still

import (
	"image/color"
	"image/png"
	"io"
	"strings"

	"example.org/gripleaf/calculators/figure"
)

// A Code is a square of dark and light modules, such as a QR code, with the words that it stands for below it. It is
// dark on white on every background, because readers of codes expect that.
type Code struct {
	Title string
	Words string // an address
	Size  int    // modules on a side
	Dark  func(x, y int) bool
}

// Measures of a picture of a code in units. Around a QR code four modules must stay light (ISO/IEC 18004, 2015, 5.3.8:
// from memory).
const (
	codeWidth  = 1080.0
	codeWords  = 44.0
	codeMargin = 64.0
	quietZone  = 4
	codePitch  = 1.25 // of lines, in letters
)

func (c *Code) drawing(fonts *Fonts) (*drawing, error) {
	module := float64(int(codeWidth / float64(c.Size+2*quietZone))) // whole pixels, so that edges are sharp
	pen := &Pen{Fonts: fonts, Palette: &Palette{}, Background: Light}
	measure := &sheet{Pen: pen}
	lines := measure.wrapAddress(c.Words, codeWords, codeWidth-2*codeMargin)
	side := module * float64(c.Size+2*quietZone)
	height := side + (float64(len(lines))+0.6)*codeWords*codePitch
	pen.Palette.light = map[string]color.RGBA{"panel": {255, 255, 255, 255}, "ink": {0, 0, 0, 255}}
	s := pen.sheet(codeWidth, height)
	left := (codeWidth - side) / 2
	var squares path
	for y := range c.Size {
		for x := 0; x < c.Size; x++ {
			from := x
			for x < c.Size && c.Dark(x, y) {
				x++
			}
			if x > from {
				at := func(modules int) float64 { return float64(modules+quietZone) * module }
				squares = append(squares, rectangle(box{left + at(from), at(y), left + at(x), at(y + 1)})...)
			}
		}
	}
	s.fill(squares, s.ink.words())
	for i, line := range lines {
		s.words(line, codeWidth/2, side+(float64(i)+0.8)*codeWords*codePitch, codeWords, regular, s.ink.words(), figure.Middle, false)
	}
	if measure.err != nil {
		return nil, measure.err
	}
	return &s.drawing, s.err
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
		if s.text(line+part, regular).width*size > width && line != "" {
			lines, line = append(lines, line), ""
		}
		line += part
	}
	return append(lines, line)
}

// WriteSVG writes the code as SVG.
func (c *Code) WriteSVG(w io.Writer, fonts *Fonts) error {
	drawn, err := c.drawing(fonts)
	if err != nil {
		return err
	}
	return drawn.writeSVG(w, c.Title, c.Words)
}

// WritePNG writes the code in pixels.
func (c *Code) WritePNG(w io.Writer, fonts *Fonts) error {
	drawn, err := c.drawing(fonts)
	if err != nil {
		return err
	}
	return png.Encode(w, drawn.image(1))
}
