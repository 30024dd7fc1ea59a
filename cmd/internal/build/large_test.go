package build

import (
	"encoding/xml"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"example.org/gripleaf/testdata/courses"
)

var (
	hrefs = regexp.MustCompile(`href="([^"#]*)`)
	stops = regexp.MustCompile(`data-stop="([^"]+)"`)
)

// A course of more lessons than one page can list: the map is in sheets, each stop on one of them; a lesson is counted
// among all and not among those around it; lists in a sentence come to an end; every link leads to a file.
func TestLargeCourse(t *testing.T) {
	g := newGround(t)
	if err := os.RemoveAll(filepath.Join(g.dir, "site")); err != nil {
		t.Fatal(err)
	}
	const lessons = sheetful + 30
	if err := courses.Make(filepath.Join(g.dir, "site"), lessons, 1); err != nil {
		t.Fatal(err)
	}
	g.build()
	read := func(name string) string {
		text, err := os.ReadFile(filepath.Join(g.dir, "built", name))
		if err != nil {
			t.Fatal(err)
		}
		return string(text)
	}
	seen := make(map[string]int)
	for _, sheet := range []string{"index.html", "map/2.html"} {
		for _, m := range stops.FindAllStringSubmatch(read(sheet), -1) {
			seen[m[1]]++
		}
	}
	if len(seen) != lessons {
		t.Errorf("the map has %d stops, want %d", len(seen), lessons)
	}
	for name, n := range seen {
		if n != 1 {
			t.Errorf("%s is on %d sheets", name, n)
		}
	}
	late := read("lesson-000220.html")
	for _, want := range []string{"Lesson 220 of 230", `aria-current="page"><span aria-hidden="true">220</span>`} {
		if !strings.Contains(late, want) {
			t.Errorf("the 220th lesson lacks %s", want)
		}
	}
	if words := read("glossary.html"); !strings.Contains(words, "and 190 more") || strings.Count(words, "lesson-000") > 200 {
		t.Errorf("the glossary names %d lessons", strings.Count(words, "lesson-000"))
	}
	for name := range g.built() {
		if path.Ext(name) == ".html" {
			leads(t, g, name, read(name))
		}
	}
	if err := xml.Unmarshal([]byte(read("sitemap.xml")), new(struct {
		XMLName xml.Name `xml:"http://www.sitemaps.org/schemas/sitemap/0.9 urlset"`
	})); err != nil {
		t.Error(err)
	}
}

// sheetful is how many stops are on a sheet.
const sheetful = 200

// leads checks that every link of a page to this site leads to a file of it.
func leads(t *testing.T, g *ground, name, page string) {
	t.Helper()
	for _, m := range hrefs.FindAllStringSubmatch(page, -1) {
		to := m[1]
		if to == "" || strings.Contains(to, ":") {
			continue
		}
		if _, err := os.Stat(filepath.Join(g.dir, "built", path.Join(path.Dir(name), to))); err != nil {
			t.Errorf("%s links to %s: %v", name, to, err)
		}
	}
}
