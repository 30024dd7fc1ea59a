package still

import "example.org/gripleaf/calculators/figure"

// Sizes of letters in units; a phone held upright shows 1920 units on some 65
// millimetres, and 45 of them as letters of 1.5 millimetres.
const (
	margin      = 64.0
	titleSize   = 62.0
	resultSize  = 50.0
	figureSize  = 40.0
	cautionSize = 27.0
	lineHeight  = 1.25
)

// block is a stack of lines of one size.
type block struct {
	lines  []string
	size   float64
	weight weight
	after  []bool // a paragraph ends here
}

func (b *block) height() float64 {
	h := 0.0
	for i := range b.lines {
		h += b.size * lineHeight
		if b.after != nil && b.after[i] {
			h += b.size * 0.5
		}
	}
	return h
}

// drawing lays the picture out for a size and draws it.
func (p *Picture) drawing(size Size, pen *Pen) (*drawing, error) {
	s := pen.sheet(size.Width, size.Height)
	s.line = 6
	inner := size.Width - 2*margin
	title := s.paragraphs([]string{p.Title}, titleSize, inner, bold)
	caution := s.paragraphs([]string{p.Caution}, cautionSize, inner, regular)
	top := margin + title.height()
	bottom := size.Height - margin - caution.height()
	s.block(&title, margin, margin, inner, p.RTL)
	s.quiet(&caution, margin, bottom, inner, p.RTL)
	area := box{margin, top + figureSize*0.6, size.Width - margin, bottom - figureSize*0.7}
	p.body(s, area, size.Width > size.Height)
	return &s.drawing, s.err
}

type box struct{ left, top, right, bottom float64 }

// body puts results and figure beside each other or one above the other.
func (p *Picture) body(s *sheet, b box, wide bool) {
	switch {
	case len(p.Results) == 0:
	case wide:
		column := (b.right - b.left) * 0.31
		words := s.paragraphs(p.Results, resultSize, column, bold)
		y := b.top + max(0, (b.bottom-b.top-words.height())/2)
		if p.RTL {
			s.block(&words, b.left, y, column, true)
			b.left += column + margin
		} else {
			s.block(&words, b.right-column, y, column, false)
			b.right -= column + margin
		}
	default:
		words := s.paragraphs(p.Results, resultSize*0.92, b.right-b.left, bold)
		s.block(&words, b.left, b.top, b.right-b.left, p.RTL)
		b.top += words.height() + figureSize*0.4
	}
	style := figure.Style{Reader: p.Reader, Width: b.right - b.left, Height: b.bottom - b.top, Letters: figureSize}
	style.Height = min(style.Height, style.Width*1.15)
	scene := p.Draw(style)
	s.scene(&scene, b.left, b.top+(b.bottom-b.top-style.Height)/2)
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

func (s *sheet) block(b *block, x, y, width float64, rtl bool) {
	s.coloured(b, x, y, width, rtl, false)
}
func (s *sheet) quiet(b *block, x, y, width float64, rtl bool) { s.coloured(b, x, y, width, rtl, true) }

func (s *sheet) coloured(b *block, x, y, width float64, rtl, quiet bool) {
	anchor, c := figure.Start, s.ink.words()
	if rtl {
		anchor, x = figure.End, x+width
	}
	if quiet {
		c = s.ink.quiet()
	}
	for i, line := range b.lines {
		s.words(line, x, y+b.size*0.95, b.size, b.weight, c, anchor, false)
		y += b.size * lineHeight
		if b.after[i] {
			y += b.size * 0.5
		}
	}
}
