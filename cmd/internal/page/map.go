package page

import (
	"fmt"
	"html/template"
	"io"
	"strings"

	"example.org/gripleaf/cmd/internal/course"
)

// mapView is the course as a road with stops.
type mapView struct {
	frame
	Stops    []halt
	Minutes  int
	Numbers  int // checked ones in all lessons
	Besides  []*course.Entry
	HasTerms bool
}

// halt is one lesson on the road, with the stretch that leads on from it.
type halt struct {
	*course.Entry
	Number  int
	Minutes int // reading time of the lesson
	From    int // and of all before it
	Reach   int // 1 to 6: how long its stretch is drawn
	Road    template.HTML
	Before  []stopName
	Checked int
}

type stopName struct {
	Number      int
	Title, Path string
}

// Map writes the course page of a language.
func (p *Printer) Map(w io.Writer, l *course.Language) error {
	v := mapView{frame: p.frame(l, home(l)+"index.html"), Besides: l.Pages, HasTerms: len(l.Glossary) > 0}
	v.Title, v.About = v.SiteTitle(), v.Site.Summary
	for i, e := range l.Lessons {
		h := halt{Entry: e, Number: i + 1, From: v.Minutes, Minutes: 1}
		if e.Facts != nil {
			h.Minutes, h.Checked = minutes(e.Facts.Words), e.Facts.Numbers
		}
		h.Reach = min(6, (h.Minutes+1)/2)
		for _, b := range e.Before {
			h.Before = append(h.Before, stopName{b.Index + 1, b.Title, b.Address})
		}
		h.Road = stretch(i, i == len(l.Lessons)-1)
		v.Minutes += h.Minutes
		v.Numbers += h.Checked
		v.Stops = append(v.Stops, h)
	}
	v.Facts = jsonLD(p.courseFacts(&v))
	return p.execute(w, "map", &v)
}

// stretch draws the road from a stop to the next, swinging to one side and then the other, in a box of 100 by 100
// that the style sheet stretches.
func stretch(i int, last bool) template.HTML {
	var b strings.Builder
	b.WriteString(`<svg viewBox="0 0 100 100" preserveAspectRatio="none" aria-hidden="true" focusable="false">`)
	if !last {
		side := 26
		if i%2 == 1 {
			side = -side
		}
		d := fmt.Sprintf("M50 0C50 22 %d 24 %d 50S50 78 50 101", 50+side, 50+side)
		for _, class := range [...]string{"way-edge", "way", "way-line"} {
			fmt.Fprintf(&b, `<path class="%s" d="%s"/>`, class, d)
		}
	}
	b.WriteString("</svg>")
	return template.HTML(b.String())
}
