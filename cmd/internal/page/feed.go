package page

import (
	"encoding/xml"
	"io"
	"slices"
	"time"

	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/lesson"
)

// Feed is the lessons of a language that changed last (Atom, RFC 4287).
type Feed struct {
	XMLName xml.Name    `xml:"http://www.w3.org/2005/Atom feed"`
	Lang    string      `xml:"xml:lang,attr"`
	ID      string      `xml:"id"`
	Title   string      `xml:"title"`
	Updated string      `xml:"updated"`
	Author  string      `xml:"author>name"`
	Links   []FeedLink  `xml:"link"`
	Entries []FeedEntry `xml:"entry"`
}

// FeedLink is a link of a feed or of an entry.
type FeedLink struct {
	Rel  string `xml:"rel,attr"`
	Href string `xml:"href,attr"`
}

// FeedEntry is one lesson.
type FeedEntry struct {
	ID        string   `xml:"id"`
	Title     string   `xml:"title"`
	Published string   `xml:"published,omitempty"`
	Updated   string   `xml:"updated"`
	Link      FeedLink `xml:"link"`
	Summary   string   `xml:"summary"`
}

// newest bounds a feed: what is older is on the map.
const newest = 30

func (s *Site) feed(l *course.Language) File {
	path := s.Language.Folder + "feed.xml"
	v := &Feed{Lang: s.Language.Tag, ID: s.full(path), Title: s.Title, Author: s.Publisher, Updated: stamp(time.Time{}),
		Links: []FeedLink{{"self", s.full(path)}, {"alternate", s.full(s.Home)}}}
	lessons := slices.Clone(l.Lessons)
	slices.SortStableFunc(lessons, func(a, b *course.Entry) int {
		return course.Updated(b.Meta).Compare(course.Updated(a.Meta))
	})
	for i, e := range lessons[:min(newest, len(lessons))] {
		entry := FeedEntry{ID: s.full(e.Address), Title: e.Title, Updated: stamp(course.Updated(e.Meta)),
			Link: FeedLink{"alternate", s.full(e.Address)}, Summary: s.news(e.Meta)}
		if !e.Date.IsZero() {
			entry.Published = stamp(e.Date)
		}
		if i == 0 {
			v.Updated = entry.Updated
		}
		v.Entries = append(v.Entries, entry)
	}
	return File{path, v, func(w io.Writer) error { return writeXML(w, v) }}
}

// news is what a feed says of a lesson: its last correction, if it has one, and its summary.
func (s *Site) news(m *lesson.Meta) string {
	at := course.Updated(m)
	for _, c := range slices.Backward(m.Corrected) {
		if c.Date.Equal(at) {
			return s.reader.Say("Corrected on {}: {}", c.Date.Format(time.DateOnly), c.Note) + " " + m.Summary
		}
	}
	return m.Summary
}

// stamp prints a date as RFC 3339 asks; what has none is as old as the web's clocks.
func stamp(t time.Time) string {
	if t.IsZero() {
		t = time.Unix(0, 0)
	}
	return t.UTC().Format(time.RFC3339)
}

func writeXML(w io.Writer, v any) error {
	if _, err := io.WriteString(w, xml.Header); err != nil {
		return err
	}
	e := xml.NewEncoder(w)
	if err := e.Encode(v); err != nil {
		return err
	}
	return e.Close()
}
