package build

import (
	"runtime"
	"sync/atomic"

	"golang.org/x/sync/errgroup"

	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/page"
)

// newGroup makes a group that works on all cores.
func newGroup() *errgroup.Group {
	var g errgroup.Group
	g.SetLimit(runtime.GOMAXPROCS(0))
	return &g
}

// each works on all entries, on all cores, one a worker at a time.
func (r *run) each(all []*course.Entry, work func(w *worker, e *course.Entry) fault.List) {
	found := make([]fault.List, len(all))
	workers := make([]worker, min(runtime.GOMAXPROCS(0), len(all)))
	waiting := newQueue(all, r.Viewer)
	group := newGroup()
	for i := range workers {
		group.Go(func() error {
			for k := waiting.take(); k >= 0 && r.ctx.Err() == nil; k = waiting.take() {
				found[k] = work(&workers[i], all[k])
			}
			return r.ctx.Err()
		})
	}
	err := group.Wait()
	for _, faults := range found {
		r.faults.Add(faults...)
	}
	for i := range workers {
		r.result.Numbers += workers[i].numbers
		r.result.Claims += workers[i].claims
		r.result.Steps += workers[i].steps
		r.result.LeftOut.Add(workers[i].leftOut...)
	}
	if err != nil {
		r.faults.Add(fault.Fault{Text: err.Error()})
	}
}

// lists makes the files that are no lessons: the calculators' own pages, some of which take seconds to work out; the
// map, the glossary, the feeds; and the ends of the search indexes.
func (r *run) lists() error {
	group := newGroup()
	for _, l := range r.course.Languages {
		for _, f := range r.sites[l].Files(r.course, l, r.defaults.work) {
			group.Go(func() error { return r.output.file(&f) })
		}
		group.Go(func() error { return r.index.close(r, l) })
	}
	for _, f := range page.Sitemaps(r.course, r.sites) {
		group.Go(func() error { return r.output.file(&f) })
	}
	return group.Wait()
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

// take gives the place of an entry, or a negative number once all are taken.
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
