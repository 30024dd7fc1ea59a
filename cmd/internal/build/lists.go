package build

import (
	"fmt"
	"strconv"

	"example.org/gripleaf/cmd/internal/cache"
	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/page"
)

// lists makes the files that list many lessons, each kind only if what it tells has changed: the calculators' own pages,
// some of which take seconds to work out; the map, the glossary, the feeds; and the ends of the search indexes.
func (r *run) lists() error {
	var others []page.File
	for f := range r.printer.Files() {
		if f.Calculator == "" {
			others = append(others, f)
			continue
		}
		if err := r.many(r.calculatorKey(&f), func() []page.File { return []page.File{f} }); err != nil {
			return err
		}
	}
	if err := r.many(r.listKey(), func() []page.File { return others }); err != nil {
		return err
	}
	for _, l := range r.course.Languages {
		if err := r.many(r.searchKey(l), func() []page.File { return r.closeSearch(l) }); err != nil {
			return err
		}
	}
	return nil
}

// calculatorKey is the hash of what a calculator's own page is made from.
func (r *run) calculatorKey(f *page.File) string {
	k := cache.NewKey("calculator 1")
	k.Text(r.environments[f.Language], f.Path)
	for _, e := range f.Language.Lessons {
		for _, x := range e.Facts.Explorers {
			if x.Calculator == f.Calculator {
				k.Text(e.Title, e.Address)
			}
		}
	}
	return k.String()
}

// searchKey is the hash of what the end of a language's search index is made from.
func (r *run) searchKey(l *course.Language) string {
	k := cache.NewKey("search end 1")
	k.Text(r.environments[l])
	for _, t := range l.Glossary {
		k.Text(t.ID, t.Term, t.Means)
		k.Text(t.Forms...)
	}
	for _, p := range r.parts[l] {
		k.Text(p.key)
	}
	return k.String()
}

// listKey is the hash of what the files are made from that list many lessons: the map, feeds, glossaries.
func (r *run) listKey() string {
	k := cache.NewKey("lists 1")
	for _, l := range r.course.Languages {
		k.Text(r.environments[l])
		for _, t := range l.Glossary {
			k.Text(t.ID, t.Term, t.Means)
			k.Text(t.Forms...)
		}
	}
	for _, s := range r.course.Sources {
		k.Text(s.ID, s.Title, s.By, s.Year, s.In, s.Address, s.Note)
	}
	for e := range r.course.Entries {
		k.Text(e.File, e.Address, e.Title, e.Question, e.Summary, e.Date.String(), fmt.Sprint(e.Corrected, e.Needs))
		f := e.Facts
		k.Text(strconv.Itoa(f.Words), strconv.Itoa(f.Numbers), fmt.Sprint(f.Terms, f.Sources, f.Explorers))
		if e.Video != nil {
			k.Text(e.Video.Address, e.Video.Title, e.Video.Length.String())
		}
	}
	return k.String()
}
