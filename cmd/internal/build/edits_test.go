package build

import (
	"cmp"
	"context"
	"flag"
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"golang.org/x/text/unicode/norm"

	"example.org/gripleaf/cmd/internal/cache"
)

// How many edits the property is tried with, and where the dice begin:
//
//	go test -run EditedAsFresh -timeout 60m ./cmd/internal/build -edits 300 -dice 2
var (
	edits = flag.Int("edits", 30, "random edits after each of which a build upon the last one is compared with a fresh one")
	dice  = flag.Uint64("dice", 1, "begins the random edits")
)

// A build upon an earlier one gives, byte for byte, what a fresh one gives: whatever was edited between, and however
// little the file system tells of it. All files of the site have one size in most cases and one time in all, as if they
// came out of one archive.
func TestEditedAsFresh(t *testing.T) {
	s := newScene(t, rand.New(rand.NewPCG(*dice, 0)))
	s.compare("at first")
	for step := range *edits {
		what := s.edit()
		s.compare(fmt.Sprintf("step %d, %s", step+1, what))
		if t.Failed() {
			return
		}
	}
}

// A page says how many lessons there are, and how far along the road it is, of the course as it is now.
func TestAppendedLesson(t *testing.T) {
	s := newScene(t, rand.New(rand.NewPCG(1, 1)))
	s.languages = s.languages[:1]
	for len(s.lessons) < 120 {
		s.add(len(s.lessons))
	}
	s.compare("120 lessons")
	for range 2 {
		s.add(len(s.lessons))
		s.compare("one more")
	}
}

// scene is an invented course that is edited again and again, and built after each edit.
type scene struct {
	*testing.T
	r     *rand.Rand
	dir   string
	kept  cache.Cache
	fresh *Builder // its calculators serve every fresh build, which else would work out the same again
	again *Builder // for builds upon the last one; nil is the next process

	lessons   []*story
	pages     []*story
	languages []string
	made      int               // stories
	texts     map[string]string // of the site, but for the lessons
	onDisk    map[string]string
	time      time.Time // of all files
	linked    bool      // the lessons' folder is a link to one of two
	other     bool      // to the second of them
}

// story is a lesson or page of the scene, in every language.
type story struct {
	name, title, question string
	body                  int // which one of many
	links, needs          []*story
	letter                rune // one that is changed without a trace in size and time
	unfinished, video     bool
	corrected             string
	untranslated          bool
	decomposed            bool // its file's name is
}

func newScene(t *testing.T, r *rand.Rand) *scene {
	s := &scene{T: t, r: r, dir: t.TempDir(), languages: []string{"en", "de"}, time: time.Date(2026, 3, 1, 8, 0, 0, 0, time.UTC), onDisk: make(map[string]string)}
	g := &ground{t: t, dir: s.dir}
	g.forget()
	s.kept = g.cache
	s.texts = map[string]string{
		"title": "The yard", "summary": "What a yard teaches.", "footer": "Made by hand.", "publisher": "Ferndale Riding School", "address": "https://braking.example/",
		"handbook": "A handbook of stopping", "grip": "How a tyre holds.", "picture": "4 3", "template": "", "style": "", "messages": "", "slip": "",
	}
	for range 3 + r.IntN(6) {
		s.add(len(s.lessons))
	}
	s.Cleanup(func() {
		for _, b := range []*Builder{s.fresh, s.again} {
			if b != nil {
				b.Close()
			}
		}
	})
	return s
}

func (s *scene) add(at int) *story {
	s.made++
	one := &story{name: fmt.Sprintf("stop-%d", s.made), title: fmt.Sprintf("Stop %d", s.made), body: s.r.IntN(8), letter: 'a'}
	for _, o := range s.lessons {
		if s.r.IntN(4) == 0 && len(one.links) < 4 {
			one.links = append(one.links, o)
		}
	}
	s.lessons = slices.Insert(s.lessons, at, one)
	return one
}

func (s *scene) any() *story { return s.lessons[s.r.IntN(len(s.lessons))] }

// edit does one of the things that authors, and the tools they use, do to a site.
func (s *scene) edit() string {
	list := []struct {
		what string
		do   func()
	}{
		{"a lesson added", func() { s.add(s.r.IntN(len(s.lessons) + 1)) }},
		{"a lesson appended", func() { s.add(len(s.lessons)) }},
		{"many lessons added", func() {
			for range min(30, 150-len(s.lessons)) {
				s.add(s.r.IntN(len(s.lessons) + 1))
			}
		}},
		{"a lesson removed", func() { s.remove(1) }},
		{"half of the lessons removed", func() { s.remove(len(s.lessons) / 2) }},
		{"a lesson moved", func() {
			one := s.any()
			s.lessons = slices.DeleteFunc(s.lessons, func(o *story) bool { return o == one })
			s.lessons = slices.Insert(s.lessons, s.r.IntN(len(s.lessons)+1), one)
		}},
		{"all lessons shuffled", func() {
			s.r.Shuffle(len(s.lessons), func(i, j int) { s.lessons[i], s.lessons[j] = s.lessons[j], s.lessons[i] })
		}},
		{"a lesson renamed", func() { s.any().name += "x" }},
		{"a lesson renamed by case", func() { one := s.any(); one.name = turned(one.name) }},
		{"a name in other letters", func() {
			one := s.any()
			if one.name = strings.TrimSuffix(one.name, "é") + "é"; one.decomposed {
				one.name = strings.TrimSuffix(one.name, "é")
			}
			one.decomposed = !one.decomposed
		}},
		{"a title", func() { s.any().title += "!" }},
		{"a question", func() { one := s.any(); one.question = turn(one.question, "", "What holds?", "Who waits?") }},
		{"a body", func() { s.any().body = s.r.IntN(8) }},
		{"a lesson unfinished or finished", func() { one := s.any(); one.unfinished = !one.unfinished }},
		{"a video", func() { one := s.any(); one.video = !one.video }},
		{"a correction", func() {
			one := s.any()
			one.corrected = turn(one.corrected, "", "The number was wrong.", "The word was wrong.")
		}},
		{"a translation", func() { one := s.any(); one.untranslated = !one.untranslated }},
		{"a need", func() {
			one, o := s.any(), s.any()
			one.needs = nil
			if o != one {
				one.needs = []*story{o}
			}
		}},
		{"a page beside", func() {
			if len(s.pages) > 0 && s.r.IntN(2) == 0 {
				s.pages = s.pages[1:]
				return
			}
			one := s.add(0)
			s.lessons, s.pages = s.lessons[1:], append(s.pages, one)
		}},
		{"a language", func() {
			s.languages = map[int][]string{1: {"en", "de"}, 2: {"en", "de", "ar"}, 3: {"en"}}[len(s.languages)]
		}},
		{"a letter, the time set back", func() { one := s.any(); one.letter = 'a' + (one.letter-'a'+1)%26 }},
		{"two files exchanged", s.exchange},
		{"the folder a link", func() { s.linked, s.other = true, !s.other }},
		{"the folder a folder", func() { s.linked = false }},
		{"unpacked at another time", func() { s.time = s.time.Add(time.Duration(s.r.IntN(2000)-1000) * time.Hour) }},
		{"unpacked anew", func() { s.wipe() }},
		{"another process", func() {
			if s.again != nil {
				s.again.Close()
				s.again = nil
			}
		}},
		{"nothing", func() {}},
	}
	for name, values := range map[string][]string{
		"title": {"The yard", "Yards"}, "summary": {"What a yard teaches.", "What it says."}, "footer": {"", "Made by hand.", "Made *by* hand."},
		"publisher": {"", "Ferndale Riding School"}, "address": {"", "https://braking.example/", "https://stop.example/a/"},
		"handbook": {"A handbook of stopping", "A handbook on stopping"}, "grip": {"How a tyre holds.", "How *hard* a tyre holds."}, "slip": {"", "How a tyre slides."},
		"picture": {"4 3", "4 4", "8 4"}, "style": {"", "body{margin:1px}"},
		"template": {"", `{{define "mark"}}<b>M</b>{{end}}`, `{{define "mark"}}<b>N</b>{{end}}`},
		"messages": {"", "Calculators: Rechenwerke\n", "Sources: Woher\n"},
	} {
		list = append(list, struct {
			what string
			do   func()
		}{"the " + name, func() { s.texts[name] = turn(s.texts[name], values...) }})
	}
	slices.SortFunc(list, func(a, b struct {
		what string
		do   func()
	}) int {
		return cmp.Compare(a.what, b.what)
	})
	one := list[s.r.IntN(len(list))]
	one.do()
	return one.what
}

// turn gives the value after this one.
func turn(now string, values ...string) string {
	return values[(slices.Index(values, now)+1)%len(values)]
}

func turned(name string) string {
	if strings.ToUpper(name) == name {
		return strings.ToLower(name)
	}
	return strings.ToUpper(name)
}

func (s *scene) remove(n int) {
	for range min(n, len(s.lessons)-3) {
		i := s.r.IntN(len(s.lessons))
		s.lessons = slices.Delete(s.lessons, i, i+1)
	}
}

// exchange gives two files of lessons each other's name, as they are.
func (s *scene) exchange() {
	a, b := s.any(), s.any()
	if a == b || a.decomposed || b.decomposed {
		return
	}
	a.name, b.name = b.name, a.name
	for _, l := range s.languages {
		one, two := filepath.Join(s.folder(l), a.name+".md"), filepath.Join(s.folder(l), b.name+".md")
		if s.onDisk[one] == "" || s.onDisk[two] == "" {
			continue
		}
		for _, names := range [][2]string{{one, "kept"}, {two, one}, {"kept", two}} {
			if err := os.Rename(filepath.Join(s.dir, "site", names[0]), filepath.Join(s.dir, "site", names[1])); err != nil {
				s.Fatal(err)
			}
		}
		s.onDisk[one], s.onDisk[two] = s.onDisk[two], s.onDisk[one]
	}
}

// folder is where the lessons of a language lie.
func (s *scene) folder(language string) string {
	switch {
	case language != "en" || !s.linked:
		return language
	case s.other:
		return "second"
	}
	return "first"
}

func (s *scene) wipe() {
	if err := os.RemoveAll(filepath.Join(s.dir, "site")); err != nil {
		s.Fatal(err)
	}
	s.onDisk = make(map[string]string)
}

// files are all files of the site as they are to be.
func (s *scene) files() map[string]string {
	files := map[string]string{
		"sources.yaml":      fmt.Sprintf("book: {title: %s, by: Ferndale}\n", s.texts["handbook"]),
		"pictures/yard.svg": fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %s"/>`, s.texts["picture"]),
	}
	site := "languages: [" + strings.Join(s.languages, ", ") + "]\nlessons:\n"
	for _, one := range s.lessons {
		site += "  - " + one.name + "\n"
	}
	for _, name := range []string{"title", "summary", "publisher", "address"} {
		if s.texts[name] != "" {
			site = name + ": " + s.texts[name] + "\n" + site
		}
	}
	files["site.yaml"] = "look: {footer: \"" + s.texts["footer"] + "\"}\n" + site
	for name, file := range map[string]string{"template": "theme/templates/frame.html", "style": "theme/style/print.css", "messages": "theme/messages/de.yaml"} {
		if s.texts[name] != "" {
			files[file] = s.texts[name]
		}
	}
	for _, l := range s.languages {
		in := s.folder(l)
		files[in+"/glossary.yaml"] = "grip: {term: Grip, means: " + s.texts["grip"] + "}\n"
		if s.texts["slip"] != "" {
			files[in+"/glossary.yaml"] += "slip: {term: Slip, means: " + s.texts["slip"] + "}\n"
		}
		for i, one := range s.lessons {
			if l == "en" || !one.untranslated {
				files[in+"/"+s.onFile(one)] = s.text(one, l, i)
			}
		}
		for _, one := range s.pages {
			files[in+"/pages/"+one.name+".md"] = s.text(one, l, -1)
		}
	}
	return files
}

func (s *scene) onFile(one *story) string {
	if one.decomposed {
		return norm.NFD.String(one.name) + ".md"
	}
	return one.name + ".md"
}

// text is a story's file. Most of them are as long as each other.
func (s *scene) text(one *story, language string, index int) string {
	var b strings.Builder
	fmt.Fprintf(&b, "---\ntitle: %q\nsummary: \"Of it.\"\ndate: 2026-01-%02d\n", one.title, 1+one.body)
	if one.question != "" {
		fmt.Fprintf(&b, "question: %s\n", one.question)
	}
	for _, o := range one.needs {
		if at := slices.Index(s.lessons, o); 0 <= at && at < index {
			fmt.Fprintf(&b, "needs: [%s]\n", o.name)
		}
	}
	if one.unfinished && index > 0 {
		b.WriteString("unfinished: true\n")
	}
	if one.video {
		b.WriteString("video: {address: \"https://video.example/?t={seconds}\", length: \"10:00\"}\n")
	}
	if one.corrected != "" {
		fmt.Fprintf(&b, "corrected: [{date: 2026-02-0%d, note: %s}]\n", 1+one.body, one.corrected)
	}
	fmt.Fprintf(&b, "---\nThe letter %c at 60 km/h, as in [a book](source:book).\n\n## Part\n\n", one.letter)
	b.WriteString([]string{
		"Of [grip](term:grip).", "It takes [](calc:stop?speed=60km/h&grip=0.8#braking-distance).", "![The yard](" + up(index) + "../pictures/yard.svg)",
		"![A stop](calc:stop?speed=60km/h)", "![A road](calc:stop?speed=60km/h&grip=0.8#road)", "[Longer](calc:stop?speed=60km/h&grip=0.5#braking-distance;longer-than;grip=0.8).",
		"| a | b |\n| - | - |\n| 1 | 2 |", "```caution\nWait.\n```",
	}[one.body])
	b.WriteString("\n\n")
	for _, o := range one.links {
		if slices.Contains(s.lessons, o) && index >= 0 && (language == "en" || !o.untranslated) && !(o.unfinished && slices.Index(s.lessons, o) > 0) {
			fmt.Fprintf(&b, "[there](%s.md) or [there](%s.md#part)\n", o.name, o.name)
		}
	}
	return b.String() + strings.Repeat("\n", 1000-b.Len()%1000)
}

func up(index int) string {
	if index < 0 {
		return "../"
	}
	return ""
}

// write brings the disk up to date, each file only if its text has changed.
func (s *scene) write() {
	root, files := filepath.Join(s.dir, "site"), s.files()
	for name := range s.onDisk {
		if _, stays := files[name]; !stays {
			s.must(os.Remove(filepath.Join(root, name)))
			delete(s.onDisk, name)
		}
	}
	for _, empty := range []string{"theme/templates", "theme/style", "theme/messages", "theme", "ar/pages", "de/pages", "en/pages", "first/pages", "second/pages", "ar", "de", "en", "first", "second"} {
		_ = os.Remove(filepath.Join(root, empty)) // those that are
	}
	for name, text := range files {
		file := filepath.Join(root, name)
		if s.onDisk[name] != text {
			s.must(os.MkdirAll(filepath.Dir(file), 0o777))
			s.must(os.WriteFile(file, []byte(text), 0o666))
			s.onDisk[name] = text
		}
		if info, err := os.Stat(file); err != nil || !info.ModTime().Equal(s.time) {
			s.must(os.Chtimes(file, s.time, s.time))
		}
	}
	if s.linked {
		_ = os.Remove(filepath.Join(root, "en"))
		s.must(os.Symlink(s.folder("en"), filepath.Join(root, "en")))
	}
}

func (s *scene) must(err error) {
	s.Helper()
	if err != nil {
		s.Fatal(err)
	}
}

// compare builds upon the last build and from nothing, and compares all files.
func (s *scene) compare(what string) {
	s.Helper()
	s.write()
	if s.again == nil {
		s.again = &Builder{Site: filepath.Join(s.dir, "site"), Out: filepath.Join(s.dir, "built"), Cache: s.kept}
	}
	if _, err := s.again.Build(context.Background()); err != nil {
		s.Fatalf("%s: %v", what, err)
	}
	fresh := &ground{t: s.T, dir: s.TempDir()}
	fresh.forget()
	out := filepath.Join(fresh.dir, "built")
	if s.fresh == nil {
		s.fresh = new(Builder)
	}
	s.fresh.Site, s.fresh.Out, s.fresh.Cache, s.fresh.memory = s.again.Site, out, fresh.cache, nil
	if _, err := s.fresh.Build(context.Background()); err != nil {
		s.Fatalf("%s: afresh: %v", what, err)
	}
	got, want := (&ground{t: s.T, dir: s.dir}).built(), fresh.built()
	for name := range want {
		if got[name] != want[name] {
			s.Errorf("%s, %d lessons: upon the last build %s is not what it is afresh", what, len(s.lessons), name)
		}
		delete(got, name)
	}
	if len(got) > 0 {
		s.Errorf("%s: upon the last build there is more: %v", what, slices.Collect(maps.Keys(got)))
	}
	s.must(os.RemoveAll(out))
}
