package build

import (
	"bytes"
	"crypto/rand"
	"encoding/gob"
	"sync"

	"example.org/gripleaf/cmd/internal/cache"
)

// table is one kind of things that builds remember, by name. It lies in the cache as two files: one with all of them,
// and one with what has changed since, so that a build which changes little writes little. Any number of goroutines may
// use it at once.
type table[V any] struct {
	mu      sync.Mutex
	base    string // names the file with all of them; empty if there is none
	size    int    // how many that one has
	values  map[string]V
	changes changes[V] // since the base
	touched bool       // there are changes that are not kept yet
	used    map[string]bool
}

// changes are what is different from a base.
type changes[V any] struct {
	Base string
	Set  map[string]V
	Gone map[string]bool
}

// base is the file with all of them.
type base[V any] struct {
	Name   string
	Values map[string]V
}

// changesOf is the kind under which the changes of a kind are kept.
func changesOf(kind string) string { return kind + "-changes" }

// openTable reads a table. What cannot be read is as if it had never been.
func openTable[V any](c cache.Cache, kind, name string) *table[V] {
	t := &table[V]{values: make(map[string]V), used: make(map[string]bool)}
	var b base[V]
	if decode(c, kind, name, &b) && b.Values != nil {
		t.base, t.size, t.values = b.Name, len(b.Values), b.Values
		var ch changes[V]
		if decode(c, changesOf(kind), name, &ch) && ch.Base == b.Name {
			t.apply(ch)
		}
	}
	if t.changes.Base != t.base || t.base == "" {
		t.changes = changes[V]{Base: t.base}
	}
	if t.changes.Set == nil {
		t.changes.Set = make(map[string]V)
	}
	if t.changes.Gone == nil {
		t.changes.Gone = make(map[string]bool)
	}
	return t
}

// again gets a table ready for one more build.
func (t *table[V]) again() {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.used = make(map[string]bool, len(t.values))
}

func (t *table[V]) apply(ch changes[V]) {
	for name := range ch.Gone {
		delete(t.values, name)
	}
	for name, v := range ch.Set {
		t.values[name] = v
	}
	t.changes = ch
}

// get gives what is remembered under a name.
func (t *table[V]) get(name string) (V, bool) {
	t.mu.Lock()
	defer t.mu.Unlock()
	v, ok := t.values[name]
	return v, ok
}

// use notes that this build has a use for what is remembered under a name.
func (t *table[V]) use(name string) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.used[name] = true
}

// has reports whether this build has a use for what is remembered under a name.
func (t *table[V]) has(name string) bool {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.used[name]
}

// put remembers something that was not known, or was other.
func (t *table[V]) put(name string, v V) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.values[name] = v
	if t.base != "" { // without a base all is written
		t.changes.Set[name] = v
	}
	t.used[name], t.touched = true, true
}

// forget forgets what this build had no use for, if that is more than so many.
func (t *table[V]) forget(most int) {
	if len(t.values)-len(t.used) <= most {
		return
	}
	for name := range t.values {
		if !t.used[name] {
			delete(t.values, name)
			delete(t.changes.Set, name)
			t.changes.Gone[name], t.touched = true, true
		}
	}
}

// keep writes what has changed: as changes while they are few, otherwise all anew.
func (t *table[V]) keep(c cache.Cache, kind, name string) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if !t.touched {
		return
	}
	t.touched = false
	if t.base != "" && len(t.changes.Set)+len(t.changes.Gone) <= t.size/20 {
		encode(c, changesOf(kind), name, t.changes)
		return
	}
	t.base, t.size = rand.Text(), len(t.values)
	t.changes = changes[V]{t.base, make(map[string]V), make(map[string]bool)}
	encode(c, kind, name, base[V]{t.base, t.values})
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
