package page

import (
	"encoding/xml"
	"io"
	"slices"
	"strconv"
	"time"

	"example.org/gripleaf/cmd/internal/course"
)

// Sitemap lists pages for search engines (sitemaps.org protocol 0.9).
type Sitemap struct {
	XMLName xml.Name      `xml:"http://www.sitemaps.org/schemas/sitemap/0.9 urlset"`
	URLs    []SitemapPage `xml:"url"`
}

// SitemapPage is an address and the day of its last change.
type SitemapPage struct {
	Location string `xml:"loc"`
	Modified string `xml:"lastmod,omitempty"`
}

// SitemapIndex names the files if there are several: the protocol allows 50,000 addresses in each.
type SitemapIndex struct {
	XMLName xml.Name      `xml:"http://www.sitemaps.org/schemas/sitemap/0.9 sitemapindex"`
	Maps    []SitemapPage `xml:"sitemap"`
}

// sitemapLessons is how many lessons share a file, so that a change of one writes a small one.
const sitemapLessons = 1000

// Sitemaps are sitemap.xml, and if there are many lessons the files that it then is the index of. Without an address of
// the site there is none.
func Sitemaps(c *course.Course, sites map[*course.Language]*Site) []File {
	if c.Site.Address == "" {
		return nil
	}
	var lists, lessons []SitemapPage
	for _, l := range c.Languages {
		lists = append(lists, sites[l].lists(l)...)
	}
	for e := range c.Entries {
		one := SitemapPage{Location: c.Site.Address + e.Address}
		if at := course.Updated(e.Meta); !at.IsZero() {
			one.Modified = at.Format(time.DateOnly)
		}
		lessons = append(lessons, one)
	}
	if len(lessons) <= sitemapLessons {
		return []File{xmlFile("sitemap.xml", &Sitemap{URLs: append(lists, lessons...)})}
	}
	files := []File{xmlFile("sitemap/lists.xml", &Sitemap{URLs: lists})}
	for some := range slices.Chunk(lessons, sitemapLessons) {
		files = append(files, xmlFile("sitemap/"+strconv.Itoa(len(files))+".xml", &Sitemap{URLs: some}))
	}
	index := new(SitemapIndex)
	for _, f := range files {
		index.Maps = append(index.Maps, SitemapPage{Location: c.Site.Address + f.Path})
	}
	return append(files, xmlFile("sitemap.xml", index))
}

func xmlFile(path string, v any) File {
	return File{path, v, func(w io.Writer) error { return writeXML(w, v) }}
}

// lists are the pages of a language that are no lessons.
func (s *Site) lists(l *course.Language) []SitemapPage {
	var pages []SitemapPage
	for _, one := range s.sheets(l) {
		pages = append(pages, SitemapPage{Location: s.full(one.Path)})
	}
	paths := []string{"glossary.html", "sources.html", "corrections.html", "calculators.html"}
	for _, id := range s.Calculators {
		paths = append(paths, "calculators/"+id+".html")
	}
	for _, path := range paths {
		pages = append(pages, SitemapPage{Location: s.full(s.Language.Folder + path)})
	}
	return pages
}
