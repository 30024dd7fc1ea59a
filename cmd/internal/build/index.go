package build

import (
	"encoding/hex"
	"path"
	"slices"
	"strconv"
	"sync"

	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/page"
	"example.org/gripleaf/cmd/internal/proof"
	"example.org/gripleaf/cmd/internal/search"
)

// partSize is how many lessons share a part of the search index. A change of one makes its part anew.
const partSize = 200

// index is the search index on its way, in parts.
type index struct {
	parts map[*course.Language][]*part
	of    map[*course.Entry]*part
}

// part is the lessons that share a part of the index. Its passages are kept only until its last lesson is done, so that
// an index of any length needs little memory.
type part struct {
	language *course.Language
	number   int
	entries  []*course.Entry

	mu     sync.Mutex
	left   int                      // lessons that are not done
	texts  map[*course.Entry]string // hashes of the files of those that are
	index  search.Index
	has    map[*course.Entry]bool // those whose passages are in the index
	broken bool                   // one of its lessons has faults
	files  []madeFile             // once it is finished
}

// newIndex puts the entries of every language into parts.
func newIndex(c *course.Course) *index {
	x := &index{parts: make(map[*course.Language][]*part), of: make(map[*course.Entry]*part)}
	for e := range c.Entries {
		parts := x.parts[e.Language]
		if len(parts) == 0 || len(parts[len(parts)-1].entries) == partSize {
			parts = append(parts, &part{language: e.Language, number: len(parts),
				texts: make(map[*course.Entry]string), has: make(map[*course.Entry]bool)})
			x.parts[e.Language] = parts
		}
		p := parts[len(parts)-1]
		p.entries = append(p.entries, e)
		p.left++
		x.of[e] = p
	}
	return x
}

// done notes that the page of a lesson is made or kept, with its passages if they were at hand, and finishes its part
// after the last one.
func (x *index) done(r *run, e *course.Entry, text string, passages []search.Passage) fault.List {
	p := x.of[e]
	p.mu.Lock()
	defer p.mu.Unlock()
	p.texts[e] = text
	if passages != nil {
		p.index.Add(e.Address, passages)
		p.has[e] = true
	}
	if p.left--; p.left > 0 || p.broken {
		return nil
	}
	defer func() { p.index, p.texts, p.has = search.Index{}, nil, nil }()
	return p.finish(r)
}

// failed notes that a lesson has faults: nothing of its part will be published.
func (x *index) failed(e *course.Entry) {
	p := x.of[e]
	p.mu.Lock()
	defer p.mu.Unlock()
	p.left--
	p.broken = true
}

// finish publishes a part of the index, unless it is made of what it was.
func (p *part) finish(r *run) fault.List {
	type one struct{ Address, Title, Text string }
	made := struct {
		Site    *page.Site
		Lessons []one
	}{Site: r.sites[p.language]}
	for _, e := range p.entries {
		made.Lessons = append(made.Lessons, one{e.Address, e.Title, hex.EncodeToString([]byte(p.texts[e]))})
	}
	name, now := p.language.Folder+"/"+strconv.Itoa(p.number), madePart{Key: page.Key(made)}
	known, _ := r.memory.parts.before(name)
	if known.Key == now.Key && r.output.keepAll(known.Files) {
		p.files = known.Files
		r.memory.parts.put(name, known, false)
		return nil
	}
	faults := p.reread(r)
	for _, f := range p.index.Files(p.number) {
		at := searchPath(p.language, f)
		sum, err := r.output.add(at, f.Data)
		if err != nil {
			faults.Add(fault.From(err)...)
			return faults
		}
		now.Files = append(now.Files, madeFile{Path: at, Sum: sum})
	}
	p.files = now.Files
	r.memory.parts.put(name, now, true)
	return faults
}

// reread gives the index the lessons whose pages were kept, on all cores: while one lesson was changed, they have
// nothing else to do.
func (p *part) reread(r *run) fault.List {
	missing := slices.DeleteFunc(slices.Clone(p.entries), func(e *course.Entry) bool { return p.has[e] })
	found := make([]fault.List, len(missing))
	group := newGroup()
	for i, e := range missing {
		group.Go(func() error {
			l, _, faults := r.lesson(e)
			if found[i] = faults; l != nil {
				_ = proof.Check(l, e.Language.Locale, r.book) // a passage shows what was worked out; its page has no faults
				p.index.Add(e.Address, page.Passages(e, l))
			}
			return nil
		})
	}
	_ = group.Wait() // there are faults, and no errors
	return slices.Concat(found...)
}

func searchPath(l *course.Language, f search.File) string {
	return "search/" + l.Tag.String() + "/" + f.Name
}

// close publishes what the index of a language has besides lessons, and the list of its parts.
func (x *index) close(r *run, l *course.Language) error {
	var besides search.Index
	besides.Add("besides", page.Besides(r.course, l))
	last := len(x.parts[l])
	files := besides.Files(last)
	names := make([][]string, last+1)
	for _, f := range files {
		names[last] = append(names[last], f.Name)
	}
	for i, p := range x.parts[l] {
		for _, f := range p.files {
			names[i] = append(names[i], path.Base(f.Path))
		}
	}
	for _, f := range append(files, search.Shards(names)) {
		if _, err := r.output.add(searchPath(l, f), f.Data); err != nil {
			return err
		}
	}
	return nil
}
