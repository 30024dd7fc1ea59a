// Package pack makes copies of a course to take along: the site as a zip that opens from disk, an e-book, handouts and
// worksheets on paper, and a package for learning systems.
//
// Paper and e-books show what the page shows without its script: explorers with what was set and what came out, figures
// as pictures, answers at the end.
package pack

import (
	"cmp"
	"context"
	"regexp"
	"slices"
	"strings"
	"sync"
	"time"

	"example.org/gripleaf/cmd/internal/build"
	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/folder"
	"example.org/gripleaf/cmd/internal/lesson"
	"example.org/gripleaf/cmd/internal/still"
	"example.org/gripleaf/cmd/internal/whole"
)

// A Book is the course in one language, read and without faults.
type Book struct {
	Course   *course.Course
	Language *course.Language
	Lessons  []Chapter // in the course's order
	Pages    []Chapter // beside the lessons
	all      []Chapter // lessons, also those that were not chosen
	palette  *still.Palette
	folder   string // of the site

	Keeper *whole.Keeper // of pages that somebody has changed; may be nil
}

// A Chapter is a lesson with its body.
type Chapter struct {
	Entry  *course.Entry
	Lesson *lesson.Lesson
	Parts  []string // ids of the questions and figures that were chosen; none means all
}

// Open reads and checks the course of a builder. An empty language is the main one.
func Open(ctx context.Context, b *build.Builder, language string) (*Book, error) {
	var mu sync.Mutex
	var all []Chapter
	result, faults := b.Check(ctx, func(e *course.Entry, l *lesson.Lesson) {
		mu.Lock()
		defer mu.Unlock()
		all = append(all, Chapter{Entry: e, Lesson: l})
	})
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if len(faults) > 0 || result == nil {
		return nil, faults
	}
	book := &Book{Course: result.Course, Language: result.Course.Languages[0], folder: b.Site}
	if language != "" {
		i := slices.IndexFunc(book.Course.Languages, func(l *course.Language) bool { return l.Folder == language })
		if i < 0 {
			return nil, fault.Fault{Code: "unknown-language", Text: `the site has no language "` + language + `"`,
				Hint: fault.Meant(language, book.Course.Site.Languages)}
		}
		book.Language = book.Course.Languages[i]
	}
	for _, c := range all {
		switch {
		case c.Entry.Language != book.Language:
		case c.Entry.Beside:
			book.Pages = append(book.Pages, c)
		default:
			book.Lessons = append(book.Lessons, c)
		}
	}
	inOrder := func(a, b Chapter) int { return cmp.Compare(a.Entry.Index, b.Entry.Index) }
	slices.SortFunc(book.Lessons, inOrder)
	slices.SortFunc(book.Pages, inOrder)
	book.all = slices.Clone(book.Lessons)
	var err error
	book.palette, err = still.NewPalette(book.Course.Site.Look.Colours)
	return book, err
}

// picture reads a picture of the site.
func (b *Book) picture(name string) ([]byte, fault.List) {
	files, err := folder.Open(b.folder)
	if err == nil {
		defer files.Close()
		var data []byte
		if data, err = files.ReadFile(name); err == nil {
			return data, nil
		}
	}
	return nil, fault.List{{Code: "missing-file", File: name, Text: "this picture cannot be read: " + err.Error()}}
}

// Choose keeps the named lessons, in the course's order. No names keep all. A name may go on with # and the id of a
// question or a figure of the lesson, as in its address: then these alone are asked, or drawn. A name that there is not
// is a fault.
func (b *Book) Choose(names []string) error {
	if len(names) == 0 {
		return nil
	}
	var faults fault.List
	wanted := make(map[string]bool)
	for _, name := range names {
		name, id, has := strings.Cut(name, "#")
		wanted[name] = true
		i := slices.IndexFunc(b.Lessons, func(c Chapter) bool { return c.Entry.Name == name })
		switch {
		case i < 0:
			var valid []string
			for _, c := range b.Lessons {
				valid = append(valid, c.Entry.Name)
			}
			faults.Add(fault.Fault{Code: "unknown-lesson", Text: `there is no lesson "` + name + `"`, Hint: fault.Meant(name, valid)})
		case has && !slices.Contains(parts(b.Lessons[i].Lesson), id):
			faults.Add(fault.Fault{Code: "unknown-part", Text: `"` + name + `" has no question or figure "` + id + `"`,
				Hint: fault.Meant(id, parts(b.Lessons[i].Lesson))})
		case has:
			b.Lessons[i].Parts = append(b.Lessons[i].Parts, id)
		}
	}
	b.Lessons = slices.DeleteFunc(b.Lessons, func(c Chapter) bool { return !wanted[c.Entry.Name] })
	return faults.Err()
}

// parts are the ids of what can be chosen of a lesson.
func parts(l *lesson.Lesson) (ids []string) {
	for _, q := range l.Questions {
		ids = append(ids, q.ID)
	}
	for _, f := range l.Figures {
		ids = append(ids, f.ID)
	}
	for _, e := range l.Explorers {
		ids = append(ids, e.ID)
	}
	return ids
}

// Title of the course in the book's language.
func (b *Book) Title() string { return cmp.Or(b.Language.Title, b.Course.Site.Title) }

// unfit is what a file's name is to do without.
var unfit = regexp.MustCompile("[^a-z0-9]+")

// Name is the course's title as a file's name.
func (b *Book) Name() string {
	name := strings.Trim(unfit.ReplaceAllString(strings.ToLower(b.Course.Site.Title), "-"), "-")
	if !b.Language.Main {
		name += "-" + b.Language.Folder
	}
	return cmp.Or(name, "course")
}

// Dated is when the book's content last changed: the newest date or correction of its lessons. It is part of what is
// written, so that two runs give the same bytes.
func (b *Book) Dated() time.Time {
	newest := noDate
	for _, c := range slices.Concat(b.Lessons, b.Pages) {
		if t := latest(c.Entry); t.After(newest) {
			newest = t
		}
	}
	return newest
}
