package still

import (
	"cmp"
	"image"
	"image/color"
	"math"
	"slices"

	"github.com/srwiley/rasterx"
	"github.com/srwiley/scanx"
	"github.com/tdewolff/canvas"
	"golang.org/x/image/math/fixed"
)

// pixels is a canvas renderer to an image. The canvas's own takes a line apart
// with a search for crossings before filling it, which is slow for text and
// fails on some outlines; here a line is filled with the non-zero rule, for
// which crossings do not matter. It draws plain colours, which is all that a
// sheet has.
type pixels struct {
	image   *image.RGBA
	scale   float64 // pixels a unit
	scanner *scanx.Scanner
	filler  *rasterx.Filler
	dasher  *rasterx.Dasher
}

func newPixels(width, height, scale float64) *pixels {
	w, h := int(width*scale+0.5), int(height*scale+0.5)
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	scanner := scanx.NewScanner(scanx.NewImgSpanner(img), w, h)
	return &pixels{image: img, scale: scale, scanner: scanner,
		filler: rasterx.NewFiller(w, h, scanner), dasher: rasterx.NewDasher(w, h, scanner)}
}

// Size is that of the image in units.
func (r *pixels) Size() (float64, float64) {
	b := r.image.Bounds()
	return float64(b.Dx()) / r.scale, float64(b.Dy()) / r.scale
}

// RenderPath fills and strokes a path.
func (r *pixels) RenderPath(p *canvas.Path, style canvas.Style, m canvas.Matrix) {
	p = p.Copy().Transform(m)
	if style.HasFill() {
		for _, part := range apart(p, 0) {
			r.filler.Clear()
			r.add(r.filler, part)
			r.draw(style.Fill.Color)
		}
	}
	if style.HasStroke() {
		width := style.StrokeWidth * r.scale
		dashes := make([]float64, len(style.Dashes))
		for i, d := range style.Dashes {
			dashes[i] = d * width
		}
		r.dasher.SetStroke(fixed.Int26_6(width*64), 4<<6, rasterx.RoundCap, nil, rasterx.RoundGap, rasterx.Round, dashes, 0)
		for _, part := range apart(p, style.StrokeWidth) {
			r.dasher.Clear()
			r.add(r.dasher, part)
			r.draw(style.Stroke.Color)
		}
	}
}

// apart splits a path where it has gaps wider than a stroke from left to
// right, as between letters: the scanner's work grows with the square of what
// stands in a row.
func apart(p *canvas.Path, width float64) []*canvas.Path {
	contours := p.Split()
	if len(contours) < 4 {
		return []*canvas.Path{p}
	}
	bounds := make([]canvas.Rect, len(contours))
	order := make([]int, len(contours))
	for i, c := range contours {
		bounds[i], order[i] = c.FastBounds(), i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(bounds[a].X0, bounds[b].X0) })
	var parts []*canvas.Path
	right := math.Inf(-1)
	for _, i := range order {
		if bounds[i].X0 > right+width+1 {
			parts = append(parts, &canvas.Path{})
		}
		parts[len(parts)-1] = parts[len(parts)-1].Append(contours[i])
		right = max(right, bounds[i].X1)
	}
	return parts
}

func (r *pixels) draw(c color.RGBA) {
	r.scanner.SetColor(c)
	r.scanner.Draw()
	r.scanner.Clear()
}

// RenderText and RenderImage are never called: a sheet holds outlines only.
func (r *pixels) RenderText(*canvas.Text, canvas.Matrix) {}

// RenderImage is there for the interface.
func (r *pixels) RenderImage(image.Image, canvas.Matrix) {}

// add hands a path on, flipped so that y runs downwards.
func (r *pixels) add(to rasterx.Adder, p *canvas.Path) {
	height := float64(r.image.Bounds().Dy())
	at := func(q canvas.Point) fixed.Point26_6 {
		return fixed.Point26_6{X: fixed.Int26_6(q.X * r.scale * 64), Y: fixed.Int26_6((height - q.Y*r.scale) * 64)}
	}
	open := false
	for s := p.ReplaceArcs().Scanner(); s.Scan(); {
		switch s.Cmd() {
		case canvas.MoveToCmd:
			if open {
				to.Stop(false)
			}
			to.Start(at(s.End()))
			open = true
		case canvas.LineToCmd:
			to.Line(at(s.End()))
		case canvas.QuadToCmd:
			to.QuadBezier(at(s.CP1()), at(s.End()))
		case canvas.CubeToCmd:
			to.CubeBezier(at(s.CP1()), at(s.CP2()), at(s.End()))
		case canvas.CloseCmd:
			to.Stop(true)
			open = false
		}
	}
	if open {
		to.Stop(false)
	}
}
