package page

import (
	"slices"
	"strings"
	"time"

	"example.org/gripleaf/cmd/internal/course"
)

// Corrections is what was put right in all lessons and pages, the latest first.
type Corrections struct {
	Frame
	Corrections []Correction
}

// Correction is one of them.
type Correction struct {
	Day, Note string
	In        Link
}

func (s *Site) corrections(l *course.Language) File {
	v := &Corrections{Frame: s.listing("corrections.html", s.reader.Say("Corrections"),
		s.reader.Say("What was wrong in this course, and when it was put right."))}
	for _, list := range [][]*course.Entry{l.Lessons, l.Pages} {
		for _, e := range list {
			for _, c := range e.Corrected {
				v.Corrections = append(v.Corrections, Correction{c.Date.Format(time.DateOnly), c.Note, v.link(e)})
			}
		}
	}
	slices.SortStableFunc(v.Corrections, func(a, b Correction) int { return strings.Compare(b.Day, a.Day) })
	return s.page(v.Path, "corrections", v)
}
