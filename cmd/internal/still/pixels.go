package still

import (
	"image"
	"image/draw"
	"math"

	"github.com/go-text/typesetting/font/opentype"
	"golang.org/x/image/vector"
)

// image draws in pixels, of which scale make a unit.
func (d *drawing) image(scale float64) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, int(d.width*scale+0.5), int(d.height*scale+0.5)))
	draw.Draw(img, img.Bounds(), image.NewUniform(d.paper), image.Point{}, draw.Src)
	var r vector.Rasterizer
	for i := range d.shapes {
		area := d.shapes[i].area(scale)
		b := area.bounds()
		// Of the image, only what the shape touches is worked on.
		to := image.Rect(floor(b.left), floor(b.top), floor(b.right)+1, floor(b.bottom)+1).Intersect(img.Bounds())
		if to.Empty() {
			continue
		}
		r.Reset(to.Dx(), to.Dy())
		cover(&r, area, float32(to.Min.X), float32(to.Min.Y))
		r.Draw(img, to, image.NewUniform(d.shapes[i].colour), image.Point{})
	}
	return img
}

func floor(v float64) int { return int(math.Floor(v)) }

// area is what the shape covers, in pixels.
func (s *shape) area(scale float64) path {
	p := s.moved(0, 0, scale)
	if s.width == 0 {
		return p
	}
	contours := p.flat()
	if len(s.dashes) > 0 {
		dashes := make([]float64, len(s.dashes))
		for i, d := range s.dashes {
			dashes[i] = d * scale
		}
		contours = dashed(contours, dashes)
	}
	return outline(contours, s.width*scale)
}

// cover hands a path on, shifted so that x, y is the corner.
func cover(r *vector.Rasterizer, p path, x, y float32) {
	for i := range p {
		a := &p[i].Args
		switch p[i].Op {
		case opentype.SegmentOpMoveTo:
			r.ClosePath()
			r.MoveTo(a[0].X-x, a[0].Y-y)
		case opentype.SegmentOpLineTo:
			r.LineTo(a[0].X-x, a[0].Y-y)
		case opentype.SegmentOpQuadTo:
			r.QuadTo(a[0].X-x, a[0].Y-y, a[1].X-x, a[1].Y-y)
		case opentype.SegmentOpCubeTo:
			r.CubeTo(a[0].X-x, a[0].Y-y, a[1].X-x, a[1].Y-y, a[2].X-x, a[2].Y-y)
		}
	}
	r.ClosePath()
}
