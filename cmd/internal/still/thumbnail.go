package still

import (
	"image/png"
	"io"

	"example.org/gripleaf/calculators/figure"
)

// A Thumbnail stands for a video among others: its title and one number, as large as they can be.
type Thumbnail struct {
	Title  string
	Number string // with its unit; may be empty
	Label  string // what the number is
	RTL    bool   // words read from right to left
}

// thumbnail is the size: 16 : 9 with 720 lines is common practice, no source. It is mostly seen a sixth as large.
var thumbnail = Size{Name: "thumbnail", Width: 1280, Height: 720, Scale: 1}

// Measures of a thumbnail in units. The foot stays free, where players put the time.
const (
	thumbnailMargin = 56.0
	thumbnailFoot   = 84.0
	thumbnailLabel  = 60.0
)

// Sizes of letters; the largest that fits in one line is taken, or else the last.
var (
	thumbnailTitles  = []float64{118, 104, 92, 80}
	thumbnailNumbers = []float64{330, 280, 240, 200, 160, 120}
)

// WritePNG writes the thumbnail in pixels.
func (t *Thumbnail) WritePNG(w io.Writer, pen *Pen) error {
	s := pen.sheet(thumbnail.Width, thumbnail.Height)
	inner := thumbnail.Width - 2*thumbnailMargin
	title := s.headline(t.Title, thumbnailTitles, inner)
	s.block(&title, thumbnailMargin, thumbnailMargin*0.7, inner, t.RTL)
	if t.Number != "" {
		label := s.paragraphs([]string{t.Label}, thumbnailLabel, inner, bold)
		top := thumbnail.Height - thumbnailFoot - label.height()
		s.block(&label, thumbnailMargin, top, inner, t.RTL)
		free := top - thumbnailMargin*0.7 - title.height()
		x, anchor, below := thumbnailMargin, figure.Start, 0.22 // below the line, in letters: a comma needs little
		if t.RTL {
			x, anchor, below = thumbnail.Width-thumbnailMargin, figure.End, 0.32
		}
		for i, size := range thumbnailNumbers {
			if last := i == len(thumbnailNumbers)-1; last || size*(0.78+below) < free && s.text(t.Number, bold).width*size < inner {
				s.words(t.Number, x, top-size*below, size, bold, s.ink.role("braking"), anchor, false)
				break
			}
		}
	}
	if s.err != nil {
		return s.err
	}
	best := png.Encoder{CompressionLevel: png.BestCompression}
	return best.Encode(w, s.image(thumbnail.Scale))
}
