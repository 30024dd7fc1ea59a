package page

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"strings"
	"testing"

	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/lesson"
)

// A file may hold 50,000 addresses, and an index names the files (sitemaps.org, protocol 0.9): every lesson of a large
// course is in one of the files that the index names, once.
func TestSitemapOfManyLessons(t *testing.T) {
	l := &course.Language{Folder: "en", Main: true}
	for i := range 2*sitemapLessons + 1 {
		l.Lessons = append(l.Lessons, &course.Entry{Meta: new(lesson.Meta), Address: fmt.Sprintf("lesson-%d.html", i), Language: l})
	}
	const address = "https://braking.example/"
	c := &course.Course{Site: course.Site{Address: address}, Languages: []*course.Language{l}}
	written := make(map[string]string)
	for _, f := range Sitemaps(c, map[*course.Language]*Site{l: {Address: address}}) {
		if f.Path == "sitemap/lists.xml" {
			written[f.Path] = "" // of pages that are no lessons
			continue
		}
		var b bytes.Buffer
		if err := f.Write(&b); err != nil {
			t.Fatal(err)
		}
		written[f.Path] = b.String()
	}
	var index struct {
		Maps []string `xml:"sitemap>loc"`
	}
	if err := xml.Unmarshal([]byte(written["sitemap.xml"]), &index); err != nil || len(index.Maps) != len(written)-1 {
		t.Fatalf("the index names %q: %v", index.Maps, err)
	}
	seen := make(map[string]int)
	for _, address := range index.Maps {
		text, ok := written[strings.TrimPrefix(address, "https://braking.example/")]
		if !ok {
			t.Errorf("the index names %s, and there is none", address)
		}
		var m struct {
			Locations []string `xml:"url>loc"`
		}
		if err := xml.Unmarshal([]byte(text), &m); text != "" && err != nil {
			t.Fatal(err)
		}
		if len(m.Locations) > 50_000 {
			t.Errorf("%s has %d addresses", address, len(m.Locations))
		}
		for _, at := range m.Locations {
			seen[at]++
		}
	}
	for _, e := range l.Lessons {
		if n := seen["https://braking.example/"+e.Address]; n != 1 {
			t.Errorf("%s is there %d times", e.Address, n)
		}
	}
}
