package still

import (
	"fmt"
	"html"
	"image/color"
	"strconv"
	"strings"

	"example.org/gripleaf/calculators/figure"
)

// SVG writes a scene for paper and for readers of e-books, which know neither the theme's style sheet nor custom
// properties: colours are in the marks, and text stays text.
func (p *Palette) SVG(scene *figure.Scene) string {
	k := p.on(Light)
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" class="figure" direction="ltr" viewBox="0 0 %s %s" role="img" aria-label="%s" font-family="sans-serif" stroke-linejoin="round" stroke-linecap="round">`,
		decimal(scene.Width), decimal(scene.Height), html.EscapeString(scene.Title+". "+scene.Alt))
	for i := range scene.Marks {
		k.mark(&b, &scene.Marks[i])
	}
	b.WriteString("</svg>")
	return b.String()
}

// File is SVG that is opened by itself: on white paper, which colours are mixed for, and with a rim around texts.
func (p *Palette) File(scene *figure.Scene) string {
	head, marks, _ := strings.Cut(p.SVG(scene), ">")
	return head + `><style>.rim { paint-order: stroke; stroke: #fff; stroke-width: 4px; }</style><rect width="100%" height="100%" fill="#fff"/>` + marks + "\n"
}

func (k ink) mark(b *strings.Builder, m *figure.Mark) {
	if len(m.Points) == 0 {
		return
	}
	switch m.Shape {
	case figure.Area:
		fmt.Fprintf(b, `<path fill="%s" d="%sZ"/>`, web(k.solid(m.Role)), way(m.Points))
	case figure.Line:
		width := 2.2
		if m.Role == "grid" || m.Role == "axis" {
			width = 1
		}
		fmt.Fprintf(b, `<path fill="none" stroke="%s" stroke-width="%s"%s d="%s"/>`, web(k.role(m.Role)),
			decimal(width), dashArray(strokes(m.Role, m.Dashed, width)), way(m.Points))
	case figure.Dot:
		fmt.Fprintf(b, `<circle fill="%s" cx="%s" cy="%s" r="%s"/>`, web(k.role(m.Role)), decimal(m.Points[0].X),
			decimal(m.Points[0].Y), decimal(m.Radius))
	case figure.Letter:
		k.letter(b, m)
	}
}

// letter writes a text. Where it stands over lines its class is "rim": a style sheet may draw one around it.
func (k ink) letter(b *strings.Builder, m *figure.Mark) {
	x, y := decimal(m.Points[0].X), decimal(m.Points[0].Y)
	fmt.Fprintf(b, `<text x="%s" y="%s" font-size="%s" fill="%s"`, x, y, decimal(m.Size), web(k.role(m.Role)))
	if m.Anchor != figure.Start {
		fmt.Fprintf(b, ` text-anchor="%s"`, [...]string{"start", "middle", "end"}[m.Anchor])
	}
	if m.Vertical {
		fmt.Fprintf(b, ` transform="rotate(-90 %s %s)"`, x, y)
	}
	if m.Halo {
		b.WriteString(` class="rim"`)
	}
	b.WriteString(">" + html.EscapeString(m.Text) + "</text>")
}

// solid is an area's colour as it looks on white paper: old readers of e-books do not know transparency.
func (k ink) solid(role string) color.RGBA {
	return over(k.area(role), color.RGBA{255, 255, 255, 255})
}

func web(c color.RGBA) string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }

func decimal(v float64) string { return strconv.FormatFloat(v, 'f', -1, 32) }

// dashArray is the attribute of a dashed line; empty for one that is not.
func dashArray(dashes []float64) string {
	if len(dashes) == 0 {
		return ""
	}
	list := make([]string, len(dashes))
	for i, d := range dashes {
		list[i] = decimal(d)
	}
	return ` stroke-dasharray="` + strings.Join(list, " ") + `"`
}

func way(points []figure.Point) string {
	var b strings.Builder
	for i, p := range points {
		fmt.Fprintf(&b, "%c%.1f %.1f", "ML"[min(i, 1)], p.X, p.Y)
	}
	return b.String()
}
