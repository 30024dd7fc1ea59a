package page

import (
	"encoding/xml"
	"io"
	"slices"
	"time"

	"example.org/gripleaf/cmd/internal/course"
)

// feeds are the files for other machines. Without an address of the site there can be none.
func (p *Printer) feeds() []File {
	if p.course.Site.Address == "" {
		return nil
	}
	list := []File{{Path: "sitemap.xml", Write: p.sitemap}}
	for _, l := range p.course.Languages {
		list = append(list, File{Path: home(l) + "feed.xml", Write: func(w io.Writer) error { return p.feed(w, l) }})
	}
	return list
}

// Atom, RFC 4287.
type atomFeed struct {
	XMLName xml.Name    `xml:"http://www.w3.org/2005/Atom feed"`
	Lang    string      `xml:"xml:lang,attr"`
	ID      string      `xml:"id"`
	Title   string      `xml:"title"`
	Updated string      `xml:"updated"`
	Author  string      `xml:"author>name"`
	Links   []atomLink  `xml:"link"`
	Entries []atomEntry `xml:"entry"`
}

type atomLink struct {
	Rel  string `xml:"rel,attr"`
	Href string `xml:"href,attr"`
}

type atomEntry struct {
	ID        string   `xml:"id"`
	Title     string   `xml:"title"`
	Published string   `xml:"published,omitempty"`
	Updated   string   `xml:"updated"`
	Link      atomLink `xml:"link"`
	Summary   string   `xml:"summary"`
}

// newest bounds a feed: what is older is on the map.
const newest = 30

func (p *Printer) feed(w io.Writer, l *course.Language) error {
	f := p.frame(l, home(l)+"feed.xml")
	feed := atomFeed{Lang: l.Tag.String(), ID: f.Full(f.Path), Title: f.SiteTitle(), Author: f.Site.Publisher,
		Links: []atomLink{{"self", f.Full(f.Path)}, {"alternate", f.Full(f.Home)}}}
	lessons := slices.Clone(l.Lessons)
	slices.SortStableFunc(lessons, func(a, b *course.Entry) int { return updated(b).Compare(updated(a)) })
	for _, e := range lessons[:min(newest, len(lessons))] {
		entry := atomEntry{ID: f.Full(e.Address), Title: e.Title, Updated: stamp(updated(e)), Link: atomLink{"alternate", f.Full(e.Address)}, Summary: e.Summary}
		if !e.Date.IsZero() {
			entry.Published = stamp(e.Date)
		}
		feed.Entries = append(feed.Entries, entry)
	}
	if len(lessons) > 0 {
		feed.Updated = stamp(updated(lessons[0]))
	} else {
		feed.Updated = stamp(time.Time{})
	}
	return writeXML(w, feed)
}

// updated is when a lesson last changed in substance: its last correction, or its date.
func updated(e *course.Entry) time.Time {
	at := e.Date
	for _, c := range e.Corrected {
		if c.Date.After(at) {
			at = c.Date
		}
	}
	return at
}

// stamp prints a date as RFC 3339 asks; what has none is as old as the web's clocks.
func stamp(t time.Time) string {
	if t.IsZero() {
		t = time.Unix(0, 0)
	}
	return t.UTC().Format(time.RFC3339)
}

// Sitemap, sitemaps.org protocol 0.9.
type sitemap struct {
	XMLName xml.Name      `xml:"http://www.sitemaps.org/schemas/sitemap/0.9 urlset"`
	URLs    []sitemapPage `xml:"url"`
}

type sitemapPage struct {
	Location string `xml:"loc"`
	Modified string `xml:"lastmod,omitempty"`
}

func (p *Printer) sitemap(w io.Writer) error {
	var s sitemap
	for _, l := range p.course.Languages {
		f := p.frame(l, home(l)+"index.html")
		for _, path := range []string{"index.html", "glossary.html", "sources.html", "calculators.html"} {
			s.URLs = append(s.URLs, sitemapPage{Location: f.Full(home(l) + path)})
		}
		for _, c := range p.course.Calculators {
			s.URLs = append(s.URLs, sitemapPage{Location: f.Full(home(l) + "calculators/" + c.ID + ".html")})
		}
		for _, e := range slices.Concat(l.Lessons, l.Pages) {
			page := sitemapPage{Location: f.Full(e.Address)}
			if at := updated(e); !at.IsZero() {
				page.Modified = at.Format(time.DateOnly)
			}
			s.URLs = append(s.URLs, page)
		}
	}
	return writeXML(w, s)
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
