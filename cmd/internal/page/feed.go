package page

import (
	"encoding/xml"
	"io"
	"slices"
	"strconv"
	"time"

	"example.org/gripleaf/cmd/internal/cache"
	"example.org/gripleaf/cmd/internal/course"
)

// feeds are the files for other machines. Without an address of the site there can be none.
func (p *Printer) feeds() []File {
	if p.course.Site.Address == "" {
		return nil
	}
	list := p.sitemaps()
	for _, l := range p.course.Languages {
		list = append(list, File{
			Path:  home(l) + "feed.xml",
			Of:    func(k cache.Key) { feedOf(k, l) },
			Write: func(w io.Writer) error { return p.feed(w, l) },
		})
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
	lessons := latest(l)
	for _, e := range lessons {
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

// latest are the lessons that changed last, the last one first.
func latest(l *course.Language) []*course.Entry {
	lessons := slices.Clone(l.Lessons)
	slices.SortStableFunc(lessons, func(a, b *course.Entry) int { return updated(b).Compare(updated(a)) })
	return lessons[:min(newest, len(lessons))]
}

func feedOf(k cache.Key, l *course.Language) {
	for _, e := range latest(l) {
		k.Text(e.Address, e.Title, e.Summary, stamp(e.Date), stamp(updated(e)))
	}
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

// The protocol allows 50,000 addresses in a file, and an index over many files.
type sitemapIndex struct {
	XMLName xml.Name      `xml:"http://www.sitemaps.org/schemas/sitemap/0.9 sitemapindex"`
	Maps    []sitemapPage `xml:"sitemap"`
}

// sitemapLessons is how many lessons share a file, so that a change of one writes a small one.
const sitemapLessons = 1000

// sitemaps are sitemap.xml, and if there are many lessons the files that it then is the index of.
func (p *Printer) sitemaps() []File {
	var all []*course.Entry
	for e := range p.course.Entries {
		all = append(all, e)
	}
	if len(all) <= sitemapLessons {
		return []File{{
			Path:  "sitemap.xml",
			Of:    func(k cache.Key) { sitemapOf(k, all) },
			Write: func(w io.Writer) error { return writeXML(w, sitemap{URLs: append(p.lists(), p.dated(all)...)}) },
		}}
	}
	index := sitemapIndex{Maps: []sitemapPage{{Location: p.course.Site.Address + "sitemap/lists.xml"}}}
	files := []File{{Path: "sitemap/lists.xml", Write: func(w io.Writer) error { return writeXML(w, sitemap{URLs: p.lists()}) }}}
	for some := range slices.Chunk(all, sitemapLessons) {
		path := "sitemap/" + strconv.Itoa(len(files)) + ".xml"
		index.Maps = append(index.Maps, sitemapPage{Location: p.course.Site.Address + path})
		files = append(files, File{
			Path:  path,
			Of:    func(k cache.Key) { sitemapOf(k, some) },
			Write: func(w io.Writer) error { return writeXML(w, sitemap{URLs: p.dated(some)}) },
		})
	}
	return append(files, File{
		Path:  "sitemap.xml",
		Of:    func(k cache.Key) { k.Ints(len(files)) },
		Write: func(w io.Writer) error { return writeXML(w, index) },
	})
}

func sitemapOf(k cache.Key, entries []*course.Entry) {
	for _, e := range entries {
		k.Text(e.Address)
		k.Ints(int(updated(e).Unix()))
	}
}

// lists are the pages that are no lessons.
func (p *Printer) lists() []sitemapPage {
	var pages []sitemapPage
	for _, l := range p.course.Languages {
		paths := []string{"glossary.html", "sources.html", "calculators.html"}
		for _, c := range p.course.Calculators {
			paths = append(paths, "calculators/"+c.ID+".html")
		}
		f := p.frame(l, home(l)+"index.html")
		for _, s := range sheetsOf(l) {
			pages = append(pages, sitemapPage{Location: f.Full(s.Path)})
		}
		for _, path := range paths {
			pages = append(pages, sitemapPage{Location: f.Full(home(l) + path)})
		}
	}
	return pages
}

// dated are lessons with the day of their last change.
func (p *Printer) dated(entries []*course.Entry) []sitemapPage {
	pages := make([]sitemapPage, len(entries))
	for i, e := range entries {
		pages[i].Location = p.course.Site.Address + e.Address
		if at := updated(e); !at.IsZero() {
			pages[i].Modified = at.Format(time.DateOnly)
		}
	}
	return pages
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
