package still

import (
	"strings"

	"github.com/go-text/typesetting/di"

	"example.org/gripleaf/calculators/figure"
)

// Sizes of letters in units. The smallest can still be read where the picture is shown at a third of its size: there it
// is 12 pixels high.
const (
	resultSize = 48.0
	figureSize = 40.0
	smallSize  = 36.0
	apart      = 0.3 // between paragraphs, in letters
)

// titles are sizes for the title; the largest is taken that needs a single line, or else the last.
var titles = []float64{62, 56, 50}

// block is a stack of lines of one size.
type block struct {
	lines  []string
	size   float64
	weight weight
	after  []bool // a paragraph ends here
}

// pitch is how far lines stand below each other, in letters, and rise how far the first is below the top. Arabic
// letters have marks above and below them.
func (b *block) pitch() (pitch, rise float64) {
	for _, line := range b.lines {
		if direction([]rune(line)) == di.DirectionRTL {
			return 1.5, 1.15
		}
	}
	return 1.25, 0.95
}

func (b *block) height() float64 {
	h := 0.0
	pitch, _ := b.pitch()
	for i := range b.lines {
		h += b.size * pitch
		if b.after != nil && b.after[i] {
			h += b.size * apart
		}
	}
	return h
}

// drawing lays the picture out for a size and draws it: the title, what was set, the figure with the results, the
// caution at the foot.
func (p *Picture) drawing(size Size, pen *Pen) (*drawing, error) {
	s := pen.sheet(size.Width, size.Height)
	s.line = 6
	free := size.free()
	inner := free.right - free.left
	wide := size.Width > size.Height
	about := s.paragraphs([]string{p.About}, smallSize, inner, regular)
	for i := range about.lines { // nothing is to be parted at the end of a line
		about.lines[i] = strings.TrimSuffix(about.lines[i], between)
	}
	for _, b := range []block{s.headline(p.Title, titles, inner), about} {
		s.block(&b, free.left, free.top, inner, p.RTL)
		free.top += b.height()
	}
	caution := s.paragraphs([]string{p.Caution}, smallSize, inner, regular)
	free.bottom -= caution.height()
	s.block(&caution, free.left, free.bottom, inner, p.RTL)
	free.top, free.bottom = free.top+figureSize*0.7, free.bottom-figureSize*0.7
	p.body(s, free, size.Height-size.edges.top-size.edges.bottom, wide)
	return &s.drawing, s.err
}

type box struct{ left, top, right, bottom float64 }

// body puts results and figure beside each other, or one above the other so that the figure has three fifths of the
// free height of the picture. Results for which there is no room are left out, the last first.
func (p *Picture) body(s *sheet, b box, free float64, wide bool) {
	const gap = 64.0
	width, height := b.right-b.left, b.bottom-b.top
	if wide {
		column := width * 0.28
		words := s.fitting(p.Results, resultSize, column, height)
		x := b.right - column
		if p.RTL {
			x = b.left
		}
		s.block(&words, x, b.top+(height-words.height())/2, column, p.RTL)
		switch {
		case len(words.lines) == 0:
		case p.RTL:
			b.left += column + gap
		default:
			b.right -= column + gap
		}
	} else {
		words := s.fitting(p.Results, figureSize, width, height-free*0.6)
		s.block(&words, b.left, b.top, width, p.RTL)
		if len(words.lines) > 0 {
			b.top += words.height() + figureSize*0.5
		}
	}
	letters := figureSize
	if b.bottom-b.top < 600 {
		letters = smallSize
	}
	scene := p.Draw(figure.Style{Reader: p.Reader, Width: b.right - b.left, Height: b.bottom - b.top, Letters: letters})
	s.scene(&scene, b.left, b.top)
}

// fitting breaks as many of some texts as a height has room for.
func (s *sheet) fitting(texts []string, size, width, height float64) block {
	b := s.paragraphs(texts, size, width, bold)
	for n := len(texts) - 1; n >= 0 && b.height() > height; n-- {
		b = s.paragraphs(texts[:n], size, width, bold)
	}
	return b
}

// paragraphs breaks texts into the lines of a block.
func (s *sheet) paragraphs(texts []string, size, width float64, w weight) block {
	b := block{size: size, weight: w}
	for i, text := range texts {
		lines, err := s.Fonts.wrap(text, width/size, w)
		if s.err == nil {
			s.err = err
		}
		b.lines = append(b.lines, lines...)
		for range lines {
			b.after = append(b.after, false)
		}
		if n := len(b.after); n > 0 && i < len(texts)-1 {
			b.after[n-1] = true
		}
	}
	return b
}

// block draws lines; those that are not bold weigh less in their colour too.
func (s *sheet) block(b *block, x, y, width float64, rtl bool) {
	anchor, c := figure.Start, s.ink.words()
	if rtl {
		anchor, x = figure.End, x+width
	}
	if b.weight == regular {
		c = s.ink.quiet()
	}
	pitch, rise := b.pitch()
	for i, line := range b.lines {
		s.words(line, x, y+b.size*rise, b.size, b.weight, c, anchor, false)
		y += b.size * pitch
		if b.after[i] {
			y += b.size * apart
		}
	}
}
