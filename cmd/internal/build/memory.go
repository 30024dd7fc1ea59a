package build

import (
	"bytes"
	"encoding/gob"
	"path/filepath"
	"sync"

	"example.org/gripleaf/cmd/internal/cache"
	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/folder"
	"example.org/gripleaf/cmd/internal/lesson"
)

// memory is what a build leaves for the next one of the same folder: of each file of the site that it published, the
// key of all that it shows, and what came of it. If the key is the same and the file is still there, it is kept and not
// even made. Nothing depends on the memory: without it everything is made.
type memory struct {
	name    string
	lessons room[*madeLesson] // by file
	files   room[madeFile]    // by path
	parts   room[madePart]    // of the search index, by language and number
}

// madeLesson is a lesson whose page was made.
type madeLesson struct {
	Identity folder.Identity // of its file, if that was certain
	Text     string          // SHA-256 of its file; empty if nobody can say
	Meta     *lesson.Meta

	Facts                  *course.Facts // nil until its body has been read
	Numbers, Claims, Steps int
	Key                    string // of all that its page shows
	Page                   string // SHA-256
	Heavy                  int    // what the page weighs if that is over the budget
	Social                 *madeFile
	LeftOut                fault.List // of its raw HTML, which its author is told at every build

	source []byte // the file, between the reading of its head and that of its body, as far as there is room
}

// madeFile is a published file: the key of all that it shows, and its SHA-256.
type madeFile struct{ Path, Key, Sum string }

// madePart is a part of the search index that was made.
type madePart struct {
	Key   string
	Files []madeFile
}

// remember reads what the last build of this folder has left.
func (b *Builder) remember() *memory {
	place, _ := filepath.Abs(b.Site)
	k := cache.NewKey("memory 1")
	k.Text(cache.Program(), place)
	m := b.memory
	if m == nil || m.name != k.String() {
		m = &memory{name: k.String()}
		for kind, values := range m.rooms() {
			decode(b.Cache, kind, m.name, values)
		}
		b.memory = m
	}
	m.lessons.begin()
	m.files.begin()
	m.parts.begin()
	return m
}

// rooms yields what is kept of each kind.
func (m *memory) rooms() map[string]any {
	return map[string]any{"lessons": &m.lessons.was, "files": &m.files.was, "parts": &m.parts.was}
}

// keep leaves for the next build what this one knows, once it is published.
func (m *memory) keep(c cache.Cache) {
	changed := map[string]bool{"lessons": m.lessons.end(), "files": m.files.end(), "parts": m.parts.end()}
	for kind, values := range m.rooms() {
		if changed[kind] {
			encode(c, kind, m.name, values)
		}
	}
}

// room is one kind of things that builds remember, by name. Any number of goroutines may use it at once.
type room[V any] struct {
	mu      sync.Mutex
	was, is map[string]V // of the last build and of this one
	changed bool
}

func (r *room[V]) begin() { r.is, r.changed = make(map[string]V, len(r.was)), false }

// end makes what is what was, and reports whether it is different.
func (r *room[V]) end() bool {
	changed := r.changed || len(r.is) != len(r.was)
	r.was, r.is = r.is, nil
	return changed
}

// before gives what the last build knew.
func (r *room[V]) before(name string) (V, bool) {
	v, ok := r.was[name]
	return v, ok
}

// now gives what this build knows.
func (r *room[V]) now(name string) V {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.is[name]
}

// put remembers something; changed says that the last build knew nothing of it, or something else.
func (r *room[V]) put(name string, v V, changed bool) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.is[name] = v
	r.changed = r.changed || changed
}

// sumOf is a hash as it is compared.
func sumOf(s string) (h [32]byte) {
	copy(h[:], s)
	return h
}

func decode(c cache.Cache, kind, name string, into any) bool {
	data, ok := c.Get(kind, name)
	return ok && gob.NewDecoder(bytes.NewReader(data)).Decode(into) == nil
}

func encode(c cache.Cache, kind, name string, v any) {
	var data bytes.Buffer
	if gob.NewEncoder(&data).Encode(v) == nil {
		_ = c.Put(kind, name, data.Bytes()) // what cannot be kept is made again
	}
}
