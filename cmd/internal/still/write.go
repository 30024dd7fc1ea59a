package still

import (
	"bytes"
	"fmt"
	"html"
	"image"
	"image/png"
	"io"
	"slices"
	"strings"

	"github.com/tdewolff/canvas"
	"github.com/tdewolff/canvas/renderers/svg"

	"example.org/gripleaf/calculators/figure"
)

// WriteSVG writes the picture as SVG that needs nothing else: colours are
// inside, and text is outlines, so that it looks the same in every program. Its
// words are there as the title and the description.
func (p *Picture) WriteSVG(w io.Writer, size Size, pen *Pen) error {
	c, err := p.Canvas(size, pen)
	if err != nil {
		return err
	}
	scene := p.Draw(figure.Style{Reader: p.Reader})
	return writeSVG(w, c, p.Title, strings.Join(slices.Concat(p.Results, []string{scene.Alt, p.Caution}), " "))
}

func writeSVG(w io.Writer, c *canvas.Canvas, title, about string) error {
	var b bytes.Buffer
	r := svg.New(&b, c.W, c.H, &svg.Options{SizeUnits: "px"})
	c.RenderTo(r)
	if err := r.Close(); err != nil {
		return err
	}
	head, rest, _ := strings.Cut(b.String(), ">")
	_, err := fmt.Fprintf(w, "%s role=\"img\">\n<title>%s</title>\n<desc>%s</desc>\n%s\n",
		head, html.EscapeString(title), html.EscapeString(about), strings.ReplaceAll(rest, "/><", "/>\n<"))
	return err
}

// Image draws the picture in pixels.
func (p *Picture) Image(size Size, pen *Pen) (*image.RGBA, error) {
	c, err := p.Canvas(size, pen)
	if err != nil {
		return nil, err
	}
	r := newPixels(c.W, c.H, size.Scale)
	c.RenderTo(r)
	return r.image, nil
}

// WritePNG writes the picture in pixels.
func (p *Picture) WritePNG(w io.Writer, size Size, pen *Pen) error {
	img, err := p.Image(size, pen)
	if err != nil {
		return err
	}
	return png.Encode(w, img)
}
