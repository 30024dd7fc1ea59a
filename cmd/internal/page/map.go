package page

import (
	"fmt"
	"html/template"
	"io"
	"slices"
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
	lanes := lanes(l.Lessons)
	for i, e := range l.Lessons {
		h := halt{Entry: e, Number: i + 1, From: v.Minutes, Minutes: 1}
		if e.Facts != nil {
			h.Minutes, h.Checked = minutes(e.Facts.Words), e.Facts.Numbers
		}
		h.Reach = min(6, (h.Minutes+1)/2)
		for _, b := range e.Before {
			h.Before = append(h.Before, stopName{b.Index + 1, b.Title, b.Address})
		}
		h.Road = stretch(i, i == len(l.Lessons)-1, lanes)
		v.Minutes += h.Minutes
		v.Numbers += h.Checked
		v.Stops = append(v.Stops, h)
	}
	v.Facts = p.courseFacts(&v)
	return p.execute(w, "map", v)
}

// lane is a way beside the road from a stop to a later one that builds on it.
type lane struct{ from, to, track int }

// lanes gives every prerequisite that is not simply the stop before a track of its own beside the road, the lowest
// one that is free all the way.
func lanes(lessons []*course.Entry) []lane {
	var list []lane
	for _, e := range lessons {
		for _, b := range e.Before {
			if b.Index+1 < e.Index {
				list = append(list, lane{b.Index, e.Index, 0})
			}
		}
	}
	slices.SortStableFunc(list, func(a, b lane) int { return (a.to - a.from) - (b.to - b.from) })
	for i := range list {
		for slices.ContainsFunc(list[:i], func(o lane) bool {
			return o.track == list[i].track && o.from < list[i].to && list[i].from < o.to
		}) {
			list[i].track++
		}
	}
	return list
}

// stretch draws the road from a stop to the next, swinging to one side and then the other, in a box of 100 by 100
// that the style sheet stretches; and the lanes that pass, leave or join here.
func stretch(i int, last bool, lanes []lane) template.HTML {
	var b strings.Builder
	b.WriteString(`<svg viewBox="0 0 100 100" preserveAspectRatio="none" aria-hidden="true" focusable="false">`)
	for _, l := range lanes {
		if way := l.way(i); way != "" {
			fmt.Fprintf(&b, `<path class="way-need" d="%s"/>`, way)
		}
	}
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

// way is the part of a lane in the box of stop i: it leaves the road below its first stop and joins it above its last.
func (l lane) way(i int) string {
	x := 96 - 7*l.track
	if l.track > 12 || i < l.from || i >= l.to {
		return ""
	}
	from, to := fmt.Sprintf("M%d 0", x), fmt.Sprintf("L%d 100", x)
	if i == l.from {
		from = fmt.Sprintf("M56 4L%d 4Q%d 4 %d 12", x-4, x, x)
	}
	if i == l.to-1 {
		to = fmt.Sprintf("L%d 97", x)
	}
	return from + to
}
