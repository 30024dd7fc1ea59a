package build

import (
	"runtime"
	"sync"

	"example.org/gripleaf/cmd/internal/cache"
	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/page"
)

// lists makes the files that list many lessons, each only if what it tells has changed: the calculators' own pages, some
// of which take seconds to work out; the map, the glossary, the feeds; and the ends of the search indexes.
func (r *run) lists() error {
	var files []page.File
	for f := range r.printer.Files() {
		files = append(files, f)
	}
	errs := make([]error, len(files))
	var group sync.WaitGroup
	busy := make(chan struct{}, runtime.GOMAXPROCS(0))
	for i := range files {
		busy <- struct{}{}
		group.Go(func() {
			errs[i] = r.list(&files[i])
			<-busy
		})
	}
	group.Wait()
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	for _, l := range r.course.Languages {
		if err := r.many(r.searchKey(l), func() []page.File { return r.closeSearch(l) }); err != nil {
			return err
		}
	}
	return nil
}

func (r *run) list(f *page.File) error {
	k := cache.NewKey("list 2")
	k.Text(f.Path)
	for _, l := range r.course.Languages {
		k.Text(r.environments[l])
	}
	if f.Of != nil {
		f.Of(k)
	}
	return r.many(k.String(), func() []page.File { return []page.File{*f} })
}

// searchKey is the hash of what the end of a language's search index is made from.
func (r *run) searchKey(l *course.Language) string {
	k := cache.NewKey("search end 3")
	k.Text(r.environments[l])
	for _, t := range l.Glossary {
		k.Text(r.terms[t])
	}
	for _, p := range r.parts[l] {
		for _, f := range p.files {
			k.Text(f.Path)
		}
		k.Ints(len(p.files))
	}
	return k.String()
}
