package build

import (
	"path"
	"runtime"
	"slices"
	"strconv"
	"sync"

	"example.org/gripleaf/cmd/internal/cache"
	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/page"
	"example.org/gripleaf/cmd/internal/search"
)

// partSize is how many lessons share a part of the search index. A change of one makes its part anew.
const partSize = 200

// part is the lessons that share a part of the search index. Its passages are kept only until its last lesson has been
// through, so that an index of any length needs little memory.
type part struct {
	language *course.Language
	number   int
	entries  []*course.Entry

	mu     sync.Mutex
	left   int                    // lessons that have not been through
	sums   map[*course.Entry]hash // of those that have
	index  search.Index
	has    map[*course.Entry]bool // those whose passages are in the index
	broken bool                   // one of its lessons has faults
	key    string                 // of its files, once it is finished
}

// divide puts the entries of every language into parts.
func (r *run) divide() {
	r.parts = make(map[*course.Language][]*part)
	r.partOf = make(map[*course.Entry]*part)
	for e := range r.course.Entries {
		parts := r.parts[e.Language]
		if len(parts) == 0 || len(parts[len(parts)-1].entries) == partSize {
			parts = append(parts, &part{language: e.Language, number: len(parts), sums: make(map[*course.Entry]hash), has: make(map[*course.Entry]bool)})
			r.parts[e.Language] = parts
		}
		p := parts[len(parts)-1]
		p.entries = append(p.entries, e)
		p.left++
		r.partOf[e] = p
	}
}

// through notes that a lesson has been through, with its passages if they were at hand, and finishes its part after the
// last one.
func (r *run) through(e *course.Entry, sum hash, passages []search.Passage) fault.List {
	p := r.partOf[e]
	p.mu.Lock()
	defer p.mu.Unlock()
	p.sums[e] = sum
	if passages != nil {
		p.index.Add(e.Address, passages)
		p.has[e] = true
	}
	if p.left--; p.left > 0 || p.broken || r.printer == nil {
		return nil
	}
	defer func() { p.index = search.Index{} }()
	return r.finish(p)
}

// spoil notes that a lesson has faults: nothing of its part will be published.
func (r *run) spoil(e *course.Entry) {
	p := r.partOf[e]
	p.mu.Lock()
	defer p.mu.Unlock()
	p.left--
	p.broken = true
}

// finish publishes a part of the index, unless it is as an earlier build made it.
func (r *run) finish(p *part) fault.List {
	k := cache.NewKey("search part 1")
	k.Text(program(), p.language.Folder, strconv.Itoa(p.number))
	for _, e := range p.entries {
		sum := p.sums[e]
		k.Text(e.Address, string(sum))
	}
	p.key = k.String()
	var faults fault.List
	err := r.many(p.key, func() []page.File {
		faults = r.reread(p)
		return r.searchFiles(p.language, p.index.Files(p.number))
	})
	if err != nil {
		faults.Add(fault.From(err)...)
	}
	return faults
}

// reread gives the index the lessons whose pages were kept, on all cores: while one lesson was changed, they have
// nothing else to do.
func (r *run) reread(p *part) fault.List {
	missing := slices.DeleteFunc(slices.Clone(p.entries), func(e *course.Entry) bool { return p.has[e] })
	found := make([]fault.List, len(missing))
	waiting := newQueue(missing, nil)
	var group sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		group.Go(func() {
			for k := waiting.take(); k >= 0; k = waiting.take() {
				l, faults := r.lesson(missing[k])
				if l == nil {
					found[k] = faults
					continue
				}
				p.index.Add(missing[k].Address, page.Passages(missing[k], l))
			}
		})
	}
	group.Wait()
	var all fault.List
	for _, faults := range found {
		all.Add(faults...)
	}
	return all
}

func (r *run) searchFiles(l *course.Language, files []search.File) []page.File {
	list := make([]page.File, len(files))
	for i, f := range files {
		list[i] = page.Bytes("search/"+l.Tag.String()+"/"+f.Name, f.Data)
	}
	return list
}

// closeSearch publishes what the index has besides lessons, and the list of its parts.
func (r *run) closeSearch(l *course.Language) []page.File {
	var besides search.Index
	besides.Add("besides", page.Besides(r.course, l))
	last := len(r.parts[l])
	files := r.searchFiles(l, besides.Files(last))
	names := make([][]string, last+1)
	for _, f := range files {
		names[last] = append(names[last], path.Base(f.Path))
	}
	for i, p := range r.parts[l] {
		outputs, _ := r.memory.many().get(p.key)
		for _, o := range outputs {
			names[i] = append(names[i], path.Base(o.Path))
		}
	}
	return append(files, r.searchFiles(l, []search.File{search.Shards(names)})...)
}
