package still

import (
	"image/png"
	"io"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/cmd/internal/lesson"
	"example.org/gripleaf/cmd/internal/locale"
)

// Social is the size of the picture that stands for a page where its address is shared, after the Open Graph protocol's
// og:image. Its proportion of 1.91 : 1 is common practice, no source.
var Social = Size{Name: "social", Width: 1200, Height: 630, Scale: 1}

// What such a picture is laid out with, in units: it is mostly seen at a third of its size.
const (
	socialMargin  = 56.0 // at the sides
	socialTop     = 42.0
	socialSite    = 34.0 // letters of the site's title
	socialLetters = 28.0 // in the figure
	socialLine    = 5.0
)

// socialTitles are sizes for the page's title.
var socialTitles = []float64{70, 64, 58, 52}

// Main makes the picture of a lesson's main figure: the first that the page shows, be it an explorer's or alone. It is
// named by its state. The lesson must have been checked; one that shows no figure has none.
func Main(l *lesson.Lesson, in *locale.Locale) (Picture, bool) {
	var main *lesson.Result
	at, index := len(l.Source.Text), 0
	for _, e := range l.Explorers {
		if e.Span.Start < at && len(e.Result.Work.Calculator.Figures) > 0 {
			main, at, index = &e.Result, e.Span.Start, 0
		}
	}
	for _, f := range l.Figures {
		if i, ok := f.Result.Work.Calculator.Figure(f.Name); ok && f.Span.Start < at {
			main, at, index = &f.Result, f.Span.Start, i
		}
	}
	if main == nil {
		return Picture{}, false
	}
	p := Of(main.Work, index, in.Reader(quantity.Metric), false)
	p.Name = main.Work.Canonical() + "#" + main.Work.Calculator.Figures[index].Name
	p.Title, p.RTL = l.Meta.Title, in.RightToLeft
	return p, true
}

// Alt says in words what the figure shows.
func (p *Picture) Alt() string {
	scene := p.Draw(figure.Style{Reader: p.Reader})
	return scene.Title + ". " + scene.Alt
}

// WriteSocial writes the picture as a PNG of the size Social, with the site's title above that of the page.
func (p *Picture) WriteSocial(w io.Writer, site string, pen *Pen) error {
	s := pen.sheet(Social.Width, Social.Height)
	s.line = socialLine
	inner := Social.Width - 2*socialMargin
	s.sign(site, p.RTL)
	title := s.headline(p.Title, socialTitles, inner)
	top := socialTop + socialSite*1.45
	s.block(&title, socialMargin, top, inner, p.RTL)
	top += title.height() + socialLetters*0.7
	scene := p.Draw(figure.Style{Reader: p.Reader, Width: inner, Height: Social.Height - socialTop*0.6 - top, Letters: socialLetters})
	s.scene(&scene, socialMargin, top)
	if s.err != nil {
		return s.err
	}
	best := png.Encoder{CompressionLevel: png.BestCompression}
	return best.Encode(w, s.image(Social.Scale))
}

// headline sets a title in one line of a width, in the largest of some sizes that allows it, or in lines of the last
// that are about as long as each other.
func (s *sheet) headline(title string, sizes []float64, width float64) block {
	var b block
	for _, size := range sizes {
		if b = s.paragraphs([]string{title}, size, width, bold); len(b.lines) == 1 {
			return b
		}
	}
	for narrow := width * 0.95; narrow > width*0.5; narrow -= width * 0.05 {
		even := s.paragraphs([]string{title}, b.size, narrow, bold)
		if len(even.lines) > len(b.lines) {
			break
		}
		b = even
	}
	return b
}

// sign draws the top line: the mark of a stop seen from above, which rolls, brakes and stands, and the site's title.
func (s *sheet) sign(site string, rtl bool) {
	const scale, length = 1.7, 92.0
	middle := socialTop + socialSite*0.5
	bar := func(from, to, thick float64, role string) {
		left := socialMargin + from*scale
		if rtl {
			left = Social.Width - socialMargin - to*scale
		}
		s.fill(rectangle(box{left, middle - thick*scale/2, left + (to-from)*scale, middle + thick*scale/2}), s.ink.role(role))
	}
	for x := 0.0; x < 32; x += 10 {
		bar(x, min(x+6, 32), 2.4, "words")
	}
	for x := 34.0; x < 80; x += 3.3 {
		bar(x, min(x+2.4, 80), 7, "braking")
	}
	bar(86.3, 89.7, 18, "words")
	x, anchor := socialMargin+(length+6)*scale, figure.Start
	if rtl {
		x, anchor = Social.Width-x, figure.End
	}
	s.words(site, x, socialTop+socialSite*0.86, socialSite, bold, s.ink.quiet(), anchor, false)
}
