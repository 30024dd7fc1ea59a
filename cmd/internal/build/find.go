package build

import (
	"crypto/sha256"
	"os"
	"path"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync"

	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/page"
	"example.org/gripleaf/cmd/internal/proof"
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
	files  []output               // once it is finished
}

// name is what a part is remembered by.
func (p *part) name() string {
	return program() + "/" + p.language.Folder + "/" + strconv.Itoa(p.number)
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
	defer func() { p.index, p.sums, p.has = search.Index{}, nil, nil }()
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
	now := partMade{Environment: r.environments[p.language], Lessons: make([]output, len(p.entries))}
	for i, e := range p.entries {
		now.Lessons[i] = output{e.Address, p.sums[e]}
	}
	known := r.memory.parts()
	before, _ := known.get(p.name())
	if before.Environment != now.Environment { // numbers may have come out otherwise
		before = partMade{}
	}
	if slices.Equal(before.Lessons, now.Lessons) && r.keepAll(before.Files) {
		p.files = before.Files
		known.use(p.name())
		return nil
	}
	r.recover(p, &before)
	faults := r.reread(p)
	for _, f := range p.index.Files(p.number) {
		o, err := r.addBytes(searchPath(p.language, f), f.Data)
		if err != nil {
			faults.Add(fault.From(err)...)
			return faults
		}
		now.Files = append(now.Files, o)
	}
	p.files = now.Files
	known.put(p.name(), now)
	return faults
}

// recover gives the index the passages of lessons that were not read, from the files of the part as it was: all of them
// or, if a file is not what it was, none.
func (r *run) recover(p *part, before *partMade) {
	found, ok := r.passages(before.Files)
	if !ok {
		return
	}
	was := make(map[output]bool, len(before.Lessons))
	for _, l := range before.Lessons {
		was[l] = true
	}
	for _, e := range p.entries {
		if passages := found[e.Address]; passages != nil && !p.has[e] && was[output{e.Address, p.sums[e]}] {
			p.index.Add(e.Address, passages)
			p.has[e] = true
		}
	}
}

// passages reads what is in the published files of a part, by page.
func (r *run) passages(files []output) (map[string][]search.Passage, bool) {
	files = slices.DeleteFunc(slices.Clone(files), func(f output) bool { return !strings.HasPrefix(path.Base(f.Path), "passages-") })
	read := make([]map[string][]search.Passage, len(files))
	var group sync.WaitGroup
	for i, f := range files {
		group.Go(func() {
			data, err := os.ReadFile(filepath.Join(r.Out, filepath.FromSlash(f.Path)))
			if err == nil && newHash(sha256.Sum256(data)) == f.Sum {
				read[i], _ = search.ReadPassages(data)
			}
		})
	}
	group.Wait()
	found := make(map[string][]search.Passage)
	for _, some := range read {
		if some == nil {
			return nil, false
		}
		for address, passages := range some {
			found[address] = append(found[address], passages...)
		}
	}
	return found, true
}

// reread gives the index the lessons whose pages were kept, on all cores: while one lesson was changed, they have
// nothing else to do.
func (r *run) reread(p *part) fault.List {
	missing := slices.DeleteFunc(slices.Clone(p.entries), func(e *course.Entry) bool { return p.has[e] })
	if len(missing) == 0 {
		return nil
	}
	found := make([]fault.List, len(missing))
	waiting := newQueue(missing, nil)
	var group sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		group.Go(func() {
			for k := waiting.take(); k >= 0; k = waiting.take() {
				e := missing[k]
				l, faults := r.lesson(e)
				if l == nil {
					found[k] = faults
					continue
				}
				_ = proof.Check(l, e.Language.Locale, r.book) // a passage shows what was worked out; its page has no faults
				p.index.Add(e.Address, page.Passages(e, l))
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
		list[i] = page.Bytes(searchPath(l, f), f.Data)
	}
	return list
}

func searchPath(l *course.Language, f search.File) string {
	return "search/" + l.Tag.String() + "/" + f.Name
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
		for _, o := range p.files {
			names[i] = append(names[i], path.Base(o.Path))
		}
	}
	return append(files, r.searchFiles(l, []search.File{search.Shards(names)})...)
}
