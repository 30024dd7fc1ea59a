package page

import (
	"html/template"
	"io"
	"strconv"

	"example.org/gripleaf/cmd/internal/course"
)

// A map of many lessons is cut into sheets: one page of a hundred thousand lessons no phone can show, and a change of
// one lesson would write it all anew.
const sheetLessons = 200

// Map is the course as a road, or one sheet of it.
type Map struct {
	Frame
	First    bool // the sheet on which the road begins
	Lessons  []Stop
	Sheets   []Sheet // all of them; none if one is enough
	Total    int     // lessons on all sheets
	Minutes  int     // to read all lessons
	Numbers  int     // checked ones in all lessons
	Besides  []Link
	HasTerms bool
}

// Sheet is one sheet of the map with its lessons.
type Sheet struct {
	Path     string
	From, To int
}

// Stop is one lesson on the road, with the stretch that leads on from it.
type Stop struct {
	Title          string
	Href           template.HTMLAttr
	Number         int
	Path           string
	Name, Question string
	Unfinished     bool
	Minutes        int // reading time of the lesson
	From           int // and of all before it
	Reach          int // 1 to 6: how long its stretch is drawn
	Left, Last     bool
	Before         []Link
}

// maps are the sheets of a language's map, the first of which is the course page.
func (s *Site) maps(l *course.Language, d *digest) []File {
	sheets := s.sheets(l)
	files := make([]File, len(sheets))
	for i := range sheets {
		m := s.sheet(l, d, sheets, i)
		files[i] = File{m.Path, m, func(w io.Writer) error {
			m.Facts = jsonLD(m.facts())
			return s.printer.execute(w, "map", m)
		}}
	}
	return files
}

func (s *Site) sheets(l *course.Language) []Sheet {
	var sheets []Sheet
	for from := 0; from == 0 || from < len(l.Lessons); from += sheetLessons {
		one := Sheet{Path: s.Home, From: from + 1, To: min(from+sheetLessons, len(l.Lessons))}
		if from > 0 {
			one.Path = s.Language.Folder + "map/" + strconv.Itoa(len(sheets)+1) + ".html"
		}
		sheets = append(sheets, one)
	}
	return sheets
}

func (s *Site) sheet(l *course.Language, d *digest, sheets []Sheet, at int) *Map {
	m := &Map{Frame: s.listing(sheets[at].Path[len(s.Language.Folder):], s.Title, s.Summary),
		First: at == 0, Total: len(l.Lessons), HasTerms: len(l.Glossary) > 0}
	if m.First { // the other sheets do not change with every lesson
		m.Minutes, m.Numbers = d.minutes, d.numbers
	}
	m.Besides = m.links(l.Pages)
	for i := sheets[at].From - 1; i < sheets[at].To; i++ {
		e := l.Lessons[i]
		stop := Stop{Title: e.Title, Href: href(m.To(e.Address)), Number: i + 1, Path: e.Address, Name: e.Name,
			Question: e.Question, Unfinished: e.Unfinished, Minutes: minutesOf(e), From: d.from[i],
			Left: i%2 == 1, Last: i == len(l.Lessons)-1, Before: m.links(e.Before)}
		stop.Reach = min(6, (stop.Minutes+1)/2)
		m.Lessons = append(m.Lessons, stop)
	}
	if len(sheets) > 1 {
		m.Sheets = sheets
	}
	return m
}

func minutesOf(e *course.Entry) int {
	if e.Facts == nil {
		return 1
	}
	return minutes(e.Facts.Words)
}
