// Package pack makes copies of a course to take along: the site as a zip that
// opens from disk, an e-book, handouts and worksheets on paper, and a package
// for learning systems.
//
// Paper and e-books show what the page shows without its script: explorers
// with what was set and what came out, figures as pictures, answers at the end.
package pack

import (
	"cmp"
	"context"
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
	palette  *still.Palette
	folder   string // of the site

	Keeper *whole.Keeper // of pages that somebody has changed; may be nil
}

// A Chapter is a lesson with its body.
type Chapter struct {
	Entry  *course.Entry
	Lesson *lesson.Lesson
}

// Open reads and checks the course of a builder. An empty language is the main
// one.
func Open(ctx context.Context, b *build.Builder, language string) (*Book, error) {
	var mu sync.Mutex
	var all []Chapter
	result, faults := b.Check(ctx, func(e *course.Entry, l *lesson.Lesson) {
		mu.Lock()
		defer mu.Unlock()
		all = append(all, Chapter{e, l})
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
			return nil, fault.Fault{Code: "unknown-language", Text: `the site has no language "` + language + `"`, Hint: fault.Meant(language, book.Course.Site.Languages)}
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

// Choose keeps the named lessons, in the course's order. No names keep all. A
// name that there is not is a fault.
func (b *Book) Choose(names []string) error {
	if len(names) == 0 {
		return nil
	}
	var valid []string
	for _, c := range b.Lessons {
		valid = append(valid, c.Entry.Name)
	}
	var faults fault.List
	wanted := make(map[string]bool)
	for _, name := range names {
		if !slices.Contains(valid, name) {
			faults.Add(fault.Fault{Code: "unknown-lesson", Text: `there is no lesson "` + name + `"`, Hint: fault.Meant(name, valid)})
		}
		wanted[name] = true
	}
	b.Lessons = slices.DeleteFunc(b.Lessons, func(c Chapter) bool { return !wanted[c.Entry.Name] })
	return faults.Err()
}

// Title of the course in the book's language.
func (b *Book) Title() string { return cmp.Or(b.Language.Title, b.Course.Site.Title) }

// Name is the course's title as a file's name.
func (b *Book) Name() string {
	name := strings.Map(func(r rune) rune {
		switch {
		case 'a' <= r && r <= 'z', '0' <= r && r <= '9':
			return r
		case 'A' <= r && r <= 'Z':
			return r + 'a' - 'A'
		}
		return '-'
	}, b.Course.Site.Title)
	name = strings.Join(strings.FieldsFunc(name, func(r rune) bool { return r == '-' }), "-")
	if !b.Language.Main {
		name += "-" + b.Language.Folder
	}
	return cmp.Or(name, "course")
}

// Dated is when the book's content last changed: the newest date or correction
// of its lessons. It is part of what is written, so that two runs give the
// same bytes.
func (b *Book) Dated() time.Time {
	newest := time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)
	for _, c := range slices.Concat(b.Lessons, b.Pages) {
		for _, t := range append([]time.Time{c.Entry.Date}, dates(c.Entry.Corrected)...) {
			if t.After(newest) {
				newest = t
			}
		}
	}
	return newest.UTC()
}

func dates(list []lesson.Correction) []time.Time {
	var times []time.Time
	for _, c := range list {
		times = append(times, c.Date)
	}
	return times
}

// Direction of the language's script, for the dir attribute.
func (b *Book) Direction() string {
	if b.Language.RightToLeft {
		return "rtl"
	}
	return "ltr"
}
