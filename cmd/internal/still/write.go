package still

import (
	"bufio"
	"fmt"
	"html"
	"image"
	"image/color"
	"image/png"
	"io"
	"slices"
	"strings"

	"github.com/go-text/typesetting/font/opentype"

	"example.org/gripleaf/calculators/figure"
)

// WriteSVG writes the picture as SVG that needs nothing else: colours are inside, and text is outlines, so that it
// looks the same in every program. Its words are there as the title and the description.
func (p *Picture) WriteSVG(w io.Writer, size Size, pen *Pen) error {
	drawn, err := p.drawing(size, pen)
	if err != nil {
		return err
	}
	scene := p.Draw(figure.Style{Reader: p.Reader})
	return drawn.writeSVG(w, p.Title, strings.Join(slices.Concat([]string{p.About + "."}, p.Results, []string{scene.Alt, p.Caution}), " "))
}

func (d *drawing) writeSVG(w io.Writer, title, about string) error {
	b := bufio.NewWriter(w)
	wide, high := decimal(d.width), decimal(d.height)
	fmt.Fprintf(b, `<svg xmlns="http://www.w3.org/2000/svg" width="%s" height="%s" viewBox="0 0 %[1]s %[2]s" role="img" stroke-linecap="round" stroke-linejoin="round">`, wide, high)
	fmt.Fprintf(b, "\n<title>%s</title>\n<desc>%s</desc>\n", html.EscapeString(title), html.EscapeString(about))
	if d.paper.A > 0 {
		fmt.Fprintf(b, "<rect width=\"%s\" height=\"%s\"%s/>\n", wide, high, paint("fill", d.paper))
	}
	for i := range d.shapes {
		d.shapes[i].writeSVG(b)
	}
	b.WriteString("</svg>\n")
	return b.Flush()
}

func (s *shape) writeSVG(b *bufio.Writer) {
	if s.width == 0 {
		name := ""
		if s.words != "" {
			name = ` aria-label="` + html.EscapeString(s.words) + `"`
		}
		fmt.Fprintf(b, "<path%s%s d=\"%sZ\"/>\n", name, paint("fill", s.colour), s.path.data("Z"))
		return
	}
	fmt.Fprintf(b, "<path fill=\"none\"%s stroke-width=\"%s\"%s d=\"%s\"/>\n", paint("stroke", s.colour),
		decimal(s.width), dashArray(s.dashes), s.path.data(""))
}

// data is the path as SVG has it, each contour but the last with an end.
func (p path) data(end string) string {
	var b strings.Builder
	for i := range p {
		if i > 0 && p[i].Op == opentype.SegmentOpMoveTo {
			b.WriteString(end)
		}
		letter := "MLQC"[p[i].Op]
		for _, q := range p[i].ArgsSlice() {
			fmt.Fprintf(&b, "%c%.2f %.2f", letter, q.X, q.Y)
			letter = ' '
		}
	}
	return b.String()
}

// paint is an attribute with a colour, and one with its strength if it is not full.
func paint(of string, c color.RGBA) string {
	plain := color.NRGBAModel.Convert(c).(color.NRGBA)
	s := fmt.Sprintf(` %s="%s"`, of, web(color.RGBA{plain.R, plain.G, plain.B, 255}))
	if c.A < 255 {
		s += fmt.Sprintf(` %s-opacity="%.3f"`, of, float64(c.A)/255)
	}
	return s
}

// Image draws the picture in pixels.
func (p *Picture) Image(size Size, pen *Pen) (*image.RGBA, error) {
	drawn, err := p.drawing(size, pen)
	if err != nil {
		return nil, err
	}
	return drawn.image(size.Scale), nil
}

// WritePNG writes the picture in pixels.
func (p *Picture) WritePNG(w io.Writer, size Size, pen *Pen) error {
	img, err := p.Image(size, pen)
	if err != nil {
		return err
	}
	return png.Encode(w, img)
}
