package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"golang.org/x/term"

	"example.org/gripleaf/cmd/internal/build"
	"example.org/gripleaf/cmd/internal/cache"
	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/lesson"
	"example.org/gripleaf/cmd/internal/locale"
)

// oneLesson is the part of a command that is about one lesson.
type oneLesson struct {
	Lesson   string `arg:"" help:"The lesson: its name, or its file."`
	Site     string `default:"." placeholder:"DIR" help:"Folder of the site (the current one)."`
	Language string `placeholder:"TAG" help:"In this language of the site; without it, in the main one."`
}

// checked is a lesson that has no faults, in its course.
type checked struct {
	course *course.Course
	entry  *course.Entry
	lesson *lesson.Lesson
}

// split gives the name and the language of the lesson. The path of a file says both.
func (o *oneLesson) split() (name, language string) {
	name, isFile := strings.CutSuffix(filepath.Base(o.Lesson), ".md")
	language = o.Language
	if folder := filepath.Base(filepath.Dir(o.Lesson)); isFile && language == "" && folder != "." {
		language = folder
	}
	return name, language
}

// read reads the course and checks it. Faults of other lessons do not matter here; those of this one and of the course
// do.
func (o *oneLesson) read(w *world) (*checked, error) {
	name, tag := o.split()
	site, err := build.Find(o.Site)
	if err != nil {
		return nil, err
	}
	b := build.Builder{Site: site, Unfinished: true, Cache: cache.Open()}
	defer b.Close()
	var mu sync.Mutex
	var found checked
	result, faults := b.Check(w.ctx, func(e *course.Entry, l *lesson.Lesson) {
		mu.Lock()
		defer mu.Unlock()
		if e.Name == name && !e.Beside && (e.Language.Folder == tag || tag == "" && e.Language.Main) {
			found = checked{entry: e, lesson: l}
		}
	})
	if err := w.ctx.Err(); err != nil {
		return nil, err
	}
	if result == nil {
		return nil, faults
	}
	if found.lesson == nil {
		return nil, notFound(result.Course, name, tag)
	}
	found.course = result.Course
	return &found, concerning(faults, found.lesson.Source.File).Err()
}

// concerning keeps the faults of a lesson and of what all lessons share.
func concerning(faults fault.List, file string) fault.List {
	var kept fault.List
	for _, f := range faults {
		if f.File == file || !strings.HasSuffix(f.File, ".md") && f.Code != "uncited-source" {
			kept.Add(f)
		}
	}
	return kept
}

func notFound(c *course.Course, name, tag string) error {
	var folders []string
	language := c.Languages[0]
	for _, l := range c.Languages {
		folders = append(folders, l.Folder)
		if l.Folder == tag {
			language = l
		}
	}
	if tag != "" && language.Folder != tag {
		return fault.Fault{Code: "unknown-language", Text: `the site has no language "` + tag + `"`, Hint: fault.Meant(tag, folders)}
	}
	var names []string
	for _, e := range language.Lessons {
		names = append(names, e.Name)
	}
	return fault.Fault{Code: "unknown-lesson", Text: "there is no lesson \"" + name + "\" in " + language.Folder,
		Hint: fault.Meant(name, names)}
}

// progress shows how far a work has come, on a terminal only; the end is called when it is over.
func (w *world) progress(about string) (step func(done, total int), end func()) {
	file, ok := w.stderr.(*os.File)
	if !ok || !term.IsTerminal(int(file.Fd())) {
		return func(int, int) {}, func() {}
	}
	var mu sync.Mutex
	begun := time.Now()
	tell := func(line string) { fmt.Fprintf(file, "\r%-70s\r", line) } // over what stood there
	step = func(done, total int) {
		mu.Lock()
		defer mu.Unlock()
		left := time.Duration(float64(time.Since(begun)) / float64(max(done, 1)) * float64(total-done))
		tell(fmt.Sprintf("%s: %d of %d, about %v left", about, done, total, left.Round(time.Second)))
	}
	return step, func() { tell("") }
}

// locale of the lesson's language.
func (c *checked) locale() *locale.Locale { return c.entry.Language.Locale }
