package build

import (
	"slices"
	"sync/atomic"

	"example.org/gripleaf/cmd/internal/course"
)

// Viewer looks at some pages of the site while it is built. Its methods are called by several goroutines.
type Viewer interface {
	// Wanted lists the files of the site that are made first, if they are to be made at all.
	Wanted() []string

	// Made is shown those of them that were made, and what pages load, before the site is published.
	Made(path string, data []byte)
}

// show shows the viewer a file that was made, if it is wanted.
func (r *run) show(path string, data []byte) {
	if r.Viewer != nil && slices.Contains(r.Viewer.Wanted(), path) {
		r.Viewer.Made(path, slices.Clone(data))
	}
}

// queue hands out entries, each once: what is wanted first, then in order. Several goroutines may take from it.
type queue struct {
	entries []*course.Entry
	taken   []atomic.Bool
	next    atomic.Int64

	viewer Viewer         // may be nil
	places map[string]int // of entries by address, if there is a viewer
}

func newQueue(entries []*course.Entry, v Viewer) *queue {
	q := &queue{entries: entries, taken: make([]atomic.Bool, len(entries)), viewer: v}
	if v != nil {
		q.places = make(map[string]int, len(entries))
		for i, e := range entries {
			q.places[e.Address] = i
		}
	}
	return q
}

// take gives the place of an entry; there are none any more if it is negative.
func (q *queue) take() int {
	if q.viewer != nil {
		for _, path := range q.viewer.Wanted() {
			if i, ok := q.places[path]; ok && q.taken[i].CompareAndSwap(false, true) {
				return i
			}
		}
	}
	for {
		i := int(q.next.Add(1)) - 1
		if i >= len(q.entries) {
			return -1
		}
		if q.taken[i].CompareAndSwap(false, true) {
			return i
		}
	}
}
