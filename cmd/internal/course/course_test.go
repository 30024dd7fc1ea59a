package course_test

import (
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"

	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/lesson"
)

func files(texts map[string]string) fstest.MapFS {
	m := make(fstest.MapFS)
	for name, text := range texts {
		m[name] = &fstest.MapFile{Data: []byte(text)}
	}
	return m
}

var site = map[string]string{
	"site.yaml":         "title: Stops\naddress: https://braking.example\nlanguages: [en, de]\nlessons: [one, two, three]\n",
	"sources.yaml":      "book: {title: A book, by: Ferndale, year: 2024}\nnote: {title: A note}\n",
	"en/glossary.yaml":  "grip: {term: Grip, forms: [grips], means: \"How *hard* a tyre holds.\"}\n",
	"en/one.md":         "---\ntitle: One\n---\n## Here\n[Grip](term:grip), [a book](source:book), [](source:note), [two](two.md#there).\n",
	"en/two.md":         "---\ntitle: Two\nneeds: [one]\n---\n## There\n",
	"en/three.md":       "---\ntitle: Three\nunfinished: true\nneeds: [two]\n---\n",
	"en/pages/about.md": "---\ntitle: About\n---\n[One](../one.md#here)\n",
	"de/one.md":         "---\ntitle: Eins\n---\n",
}

func read(t *testing.T, o course.Options, changes map[string]string) (*course.Course, fault.List) {
	t.Helper()
	m := files(site)
	for name, text := range changes {
		m[name] = &fstest.MapFile{Data: []byte(text)}
	}
	return course.Read(m, o)
}

func TestRead(t *testing.T) {
	c, faults := read(t, course.Options{}, nil)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	var got []string
	for e := range c.Entries {
		line := e.File + " " + e.Address + " " + e.Title
		for name, other := range map[string]*course.Entry{"after": e.Previous, "before": e.Next} {
			if other != nil {
				line += " " + name + " " + other.Name
			}
		}
		for _, o := range e.Others {
			line += " also " + o.File
		}
		got = append(got, line)
	}
	want := []string{
		"en/one.md one.html One before two also de/one.md",
		"en/two.md two.html Two after one",
		"en/pages/about.md pages/about.html About",
		"de/one.md de/one.html Eins also en/one.md",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	if len(c.Unfinished) != 1 || c.Unfinished[0].Name != "three" {
		t.Errorf("unfinished: %v", c.Unfinished)
	}
	if len(c.Untranslated) != 2 || c.Untranslated[0].Name != "two" || c.Untranslated[1].Name != "three" {
		t.Errorf("untranslated: %v", c.Untranslated)
	}
	if two := c.Entry("en/two.md"); two == nil || len(two.Before) != 1 || two.Before[0].Name != "one" {
		t.Errorf("two needs %v", two)
	}
	if c.Site.Address != "https://braking.example/" {
		t.Errorf("the site stands at %s", c.Site.Address)
	}
	if g, ok := c.Languages[0].Term("grip"); !ok || g.HTML != "How <em>hard</em> a tyre holds." {
		t.Errorf("grip means %v", g)
	}
	if s, ok := c.Source("book"); !ok || s.Short() != "Ferndale 2024" {
		t.Errorf("the book is %v", s)
	}
	all, faults := read(t, course.Options{Unfinished: true}, nil)
	if len(faults) > 0 || len(all.Languages[0].Lessons) != 3 {
		t.Errorf("with the unfinished ones: %d lessons, %v", len(all.Languages[0].Lessons), faults)
	}
}

// checkAll reads all bodies, as a build does.
func checkAll(c *course.Course, m fstest.MapFS) fault.List {
	var faults fault.List
	for e := range c.Entries {
		l, more := lesson.NewReader(e.Language.Locale, false).Read(&fault.Source{File: e.File, Text: m[e.File].Data})
		faults.Add(more...)
		facts, more := c.Check(e, l)
		faults.Add(more...)
		e.Facts = facts
	}
	faults.Add(c.CheckAll()...)
	return faults
}

func TestCheck(t *testing.T) {
	m := files(site)
	c, faults := course.Read(m, course.Options{})
	faults.Add(checkAll(c, m)...)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	one := c.Entry("en/one.md")
	if diff := cmp.Diff([]string{"book", "note"}, one.Facts.Sources); diff != "" {
		t.Error(diff)
	}
	if g, _ := c.Languages[0].Term("grip"); len(g.In) != 1 || g.In[0] != one {
		t.Errorf("grip is used in %v", g.In)
	}
	if diff := cmp.Diff([]string{"en/two.md"}, one.Facts.Links); diff != "" {
		t.Error(diff)
	}
}

// Prerequisites come before; a link to an unfinished lesson is broken once that is left out.
func TestOrder(t *testing.T) {
	for _, test := range []struct {
		changes map[string]string
		want    string
	}{
		{map[string]string{"en/one.md": "---\ntitle: One\nneeds: [two]\n---\n"}, `en/one.md:3:9: "two" does not come before this lesson`},
		{map[string]string{"en/one.md": "---\ntitle: One\nneeds: [tow]\n---\n"}, `en/one.md:3:9: there is no lesson "tow"`},
		{map[string]string{"en/one.md": "---\ntitle: One\nneeds: [one]\n---\n"}, `en/one.md:3:9: "one" does not come before this lesson`},
		{map[string]string{"en/four.md": "---\ntitle: Four\n---\n"}, "en/four.md: this lesson is not in the order of site.yaml"},
		{map[string]string{"site.yaml": "title: Stops\nlanguages: [en]\nlessons: [one, two, three, four]\n"}, `site.yaml:3:28: there is no lesson "four" in en`},
	} {
		_, faults := read(t, course.Options{}, test.changes)
		if len(faults) != 1 || !strings.HasPrefix(faults[0].Error(), test.want) {
			t.Errorf("%v, want %s", faults, test.want)
		}
	}
}

func TestNear(t *testing.T) {
	l := &course.Language{}
	for i := range 100 {
		l.Lessons = append(l.Lessons, &course.Entry{Index: i, Language: l})
	}
	for _, i := range []int{0, 3, 50, 97, 99} {
		near := l.Lessons[i].Near()
		found := false
		for _, e := range near {
			found = found || e.Index == i
		}
		if len(near) != 13 || !found {
			t.Errorf("around %d: %d lessons, itself among them: %v", i, len(near), found)
		}
	}
	l.Lessons = l.Lessons[:18]
	if near := l.Lessons[3].Near(); len(near) != 18 {
		t.Errorf("in a course of 18 lessons %d are near", len(near))
	}
}

// The Open Graph protocol wants og:image to be a whole address.
func TestSocialPicturesNeedAnAddress(t *testing.T) {
	const nowhere = "title: Stops\nsocial: true\nlanguages: [en]\nlessons: [one, two, three]\n"
	_, faults := read(t, course.Options{}, map[string]string{"site.yaml": nowhere})
	if len(faults) == 0 || faults[0].Code != "no-address" || faults[0].Line != 2 {
		t.Errorf("got %v", faults)
	}
	c, _ := read(t, course.Options{}, map[string]string{"site.yaml": nowhere + "address: https://braking.example\n"})
	if !c.Site.Social {
		t.Error("the site has no social pictures")
	}
}

func TestTextsOfTheSiteByLanguage(t *testing.T) {
	c, faults := read(t, course.Options{}, map[string]string{"site.yaml": "title: {en: Stops, de: Halte}\nsummary: All of it.\nlanguages: [en, de]\nlessons: [one, two, three]\nlook: {footer: {de: Erfunden}}\n"})
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	var got []string
	for _, l := range c.Languages {
		got = append(got, l.Title+", "+l.Summary+", "+l.Footer)
	}
	if diff := cmp.Diff([]string{"Stops, All of it., ", "Halte, All of it., Erfunden"}, got); diff != "" || c.Site.Title != "Stops" {
		t.Errorf("%q, %s", c.Site.Title, diff)
	}
	_, faults = read(t, course.Options{}, map[string]string{"site.yaml": "title: {en: Stops, fr: Arrêts}\nlanguages: [en, de]\nlessons: [one, two, three]\n"})
	if len(faults) != 1 || !strings.Contains(faults[0].Text, `no language "fr"`) {
		t.Errorf("a language that the site lacks: %v", faults)
	}
}
