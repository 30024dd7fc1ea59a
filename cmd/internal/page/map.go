package page

import (
	"fmt"
	"html/template"
	"io"
	"strconv"
	"strings"

	"example.org/gripleaf/cmd/internal/cache"
	"example.org/gripleaf/cmd/internal/course"
)

// A map of many stops is cut into sheets: one page of a hundred thousand stops no phone can show, and a change of one
// lesson would write it all anew.
const sheetStops = 200

// mapView is the course as a road with stops, or one sheet of it.
type mapView struct {
	frame
	First    bool // the sheet on which the road begins
	Stops    []halt
	Sheets   template.HTML // links to all sheets; empty if one is enough
	Total    int           // stops on all sheets
	Minutes  int           // to read all lessons
	Numbers  int           // checked ones in all lessons
	Besides  []*course.Entry
	HasTerms bool
}

// sheet is a link to one sheet of the map.
type sheet struct {
	Path     string
	From, To int // its stops
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
}

type stopName struct {
	Number      int
	Title, Path string
}

// maps are the sheets of a language's map, the first of which is the course page.
func (p *Printer) maps(l *course.Language) []File {
	sheets := sheetsOf(l)
	files := make([]File, len(sheets))
	for i := range sheets {
		files[i] = File{
			Path:  sheets[i].Path,
			Of:    func(k cache.Key) { p.mapOf(k, l, sheets, i) },
			Write: func(w io.Writer) error { return p.writeMap(w, l, sheets, i) },
		}
	}
	return files
}

func sheetsOf(l *course.Language) []sheet {
	var sheets []sheet
	for from := 0; from == 0 || from < len(l.Lessons); from += sheetStops {
		s := sheet{Path: home(l) + "index.html", From: from + 1, To: min(from+sheetStops, len(l.Lessons))}
		if from > 0 {
			s.Path = home(l) + "map/" + strconv.Itoa(len(sheets)+1) + ".html"
		}
		sheets = append(sheets, s)
	}
	return sheets
}

// mapOf tells what a sheet is made from.
func (p *Printer) mapOf(k cache.Key, l *course.Language, sheets []sheet, i int) {
	d := p.digest(l)
	k.Ints(len(l.Lessons), d.from[sheets[i].From-1])
	if i == 0 {
		k.Ints(d.minutes, d.numbers, len(l.Glossary))
	}
	for _, e := range l.Lessons[sheets[i].From-1 : sheets[i].To] {
		k.Text(e.Name, e.Address, e.Title, e.Question)
		k.Ints(minutesOf(e), len(e.Before))
		if e.Unfinished {
			k.Text("unfinished")
		}
		for _, b := range e.Before {
			k.Text(b.Title, b.Address)
			k.Ints(b.Index)
		}
	}
	for _, e := range l.Pages {
		k.Text(e.Title, e.Address)
	}
}

func minutesOf(e *course.Entry) int {
	if e.Facts == nil {
		return 1
	}
	return minutes(e.Facts.Words)
}

func (p *Printer) writeMap(w io.Writer, l *course.Language, sheets []sheet, at int) error {
	d := p.digest(l)
	v := mapView{frame: p.frame(l, sheets[at].Path), First: at == 0, Total: len(l.Lessons), Minutes: d.minutes, Numbers: d.numbers,
		Besides: l.Pages, HasTerms: len(l.Glossary) > 0}
	v.Title, v.About = v.SiteTitle(), v.Language.Summary
	for i := sheets[at].From - 1; i < sheets[at].To; i++ {
		e := l.Lessons[i]
		h := halt{Entry: e, Number: i + 1, From: d.from[i], Minutes: minutesOf(e)}
		h.Reach = min(6, (h.Minutes+1)/2)
		for _, b := range e.Before {
			h.Before = append(h.Before, stopName{b.Index + 1, b.Title, b.Address})
		}
		h.Road = stretch(i, i == len(l.Lessons)-1)
		v.Stops = append(v.Stops, h)
	}
	v.Sheets = v.sheetLinks(sheets, at)
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
