package build

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"io/fs"
	"path"
	"runtime"
	"sync"

	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/lesson"
	"example.org/gripleaf/cmd/internal/page"
	"example.org/gripleaf/cmd/internal/proof"
)

// Visit is shown every lesson that was read and checked, in no order, by several goroutines.
type Visit func(e *course.Entry, l *lesson.Lesson)

// all lists the lessons and the pages beside them, and gets a reader ready for each language.
func (r *run) all() []*course.Entry {
	var all []*course.Entry
	for e := range r.course.Entries {
		all = append(all, e)
	}
	r.faces = make(map[*course.Entry][16]byte, len(all))
	for _, e := range all {
		r.faces[e] = face(e)
	}
	r.readers = make(map[*course.Language]*lesson.Reader)
	for _, l := range r.course.Languages {
		r.readers[l] = lesson.NewReader(l.Locale, r.course.Site.Several)
	}
	return all
}

// each works on all entries, on all cores, one a worker at a time.
func (r *run) each(all []*course.Entry, work func(w *worker, e *course.Entry) fault.List) {
	found := make([]fault.List, len(all))
	workers := make([]worker, min(runtime.GOMAXPROCS(0), len(all)))
	waiting := newQueue(all, r.Viewer)
	var group sync.WaitGroup
	for i := range workers {
		group.Go(func() {
			for k := waiting.take(); k >= 0 && r.ctx.Err() == nil; k = waiting.take() {
				found[k] = work(&workers[i], all[k])
			}
		})
	}
	group.Wait()
	for _, faults := range found {
		r.faults.Add(faults...)
	}
	for i := range workers {
		r.result.Numbers += workers[i].numbers
		r.result.Claims += workers[i].claims
		r.result.Steps += workers[i].steps
	}
	if err := r.ctx.Err(); err != nil {
		r.faults.Add(fault.Fault{Text: err.Error()})
	}
}

// worker is what one goroutine uses again for each lesson, and what it has counted.
type worker struct {
	html                   bytes.Buffer
	numbers, claims, steps int
}

func (w *worker) count(m made) {
	w.numbers += m.Numbers
	w.claims += m.Claims
	w.steps += m.Steps
}

// check reads and checks one lesson without making anything of it.
func (r *run) check(w *worker, e *course.Entry) fault.List {
	l, m, faults := r.readAndCheck(e)
	if l == nil {
		return faults
	}
	w.count(m)
	if r.visit != nil {
		r.visit(e, l)
	}
	return faults
}

// lesson reads a lesson. It is nil if its file cannot be read.
func (r *run) lesson(e *course.Entry) (*lesson.Lesson, fault.List) {
	reader := r.readers[e.Language]
	if text, ok := r.texts.take(e.File); ok {
		return reader.ReadBody(&fault.Source{File: r.shown(e.File), Text: text}, *e.Meta)
	}
	text, err := fs.ReadFile(r.files, e.File)
	if err != nil {
		return nil, fault.List{{Code: "missing-file", File: r.shown(e.File), Text: course.Reason(err)}}
	}
	if known, ok := r.memory.files().get(e.File); ok && known.Meta != nil && known.Sum == newHash(sha256.Sum256(text)) {
		return reader.ReadBody(&fault.Source{File: r.shown(e.File), Text: text}, *known.Meta)
	}
	return reader.Read(&fault.Source{File: r.shown(e.File), Text: text})
}

// readAndCheck reads a lesson and checks it. It is nil if its file cannot be read.
func (r *run) readAndCheck(e *course.Entry) (*lesson.Lesson, made, fault.List) {
	l, faults := r.lesson(e)
	if l == nil {
		return nil, made{}, faults
	}
	facts, more := r.course.Check(e, l)
	e.Facts = facts
	faults.Add(more...)
	faults.Add(proof.Check(l, e.Language.Locale, r.book)...)
	return l, made{Facts: facts, Numbers: len(l.Numbers), Claims: len(l.Claims), Steps: len(l.Steps)}, faults
}

// page makes the page of one lesson, unless it is as an earlier build made it.
func (r *run) page(w *worker, e *course.Entry) fault.List {
	sum, err := r.sum(e.File)
	if err != nil {
		return fault.List{{Code: "missing-file", File: r.shown(e.File), Text: course.Reason(err)}}
	}
	key := r.pageKey(r.environments[e.Language], e, sum)
	if m, ok := r.recall(key, e); ok {
		e.Facts = m.Facts
		w.count(m)
		r.weighed(e.Address, m.Heavy)
		return r.through(e, sum, nil)
	}
	l, m, faults := r.readAndCheck(e)
	w.count(m)
	if len(faults) > 0 || r.printer == nil {
		r.spoil(e)
		return faults
	}
	if faults := r.write(w, e, l, key, m); len(faults) > 0 {
		r.spoil(e)
		return faults
	}
	return r.through(e, sum, page.Passages(e, l))
}

// write renders a lesson and publishes its page.
func (r *run) write(w *worker, e *course.Entry, l *lesson.Lesson, key string, m made) fault.List {
	social, picture, err := r.social(e, l, &m)
	if err == nil && picture != nil {
		_, err = r.edition.Add(m.Social.Path, picture)
	}
	if err != nil {
		return fault.List{{File: r.shown(e.File), Text: err.Error()}}
	}
	w.html.Reset()
	if err := r.printer.Lesson(&w.html, e, l, social); err != nil {
		var large fault.Fault
		if errors.As(err, &large) {
			return fault.List{large}
		}
		return fault.List{{Code: "theme", File: r.shown(e.File), Text: err.Error()}}
	}
	html := w.html.Bytes()
	heavy, err := r.weigh(html)
	if err == nil {
		var sum [sha256.Size]byte
		sum, err = r.edition.Add(e.Address, html)
		m.Sum = newHash(sum)
	}
	if err != nil {
		return fault.List{{File: e.Address, Text: err.Error()}}
	}
	r.show(e.Address, html)
	r.weighed(e.Address, heavy)
	m.Uses, m.Heavy = r.uses(e, m.Facts), heavy
	if !m.undrawn {
		r.memory.pages().put(key, m)
	}
	return nil
}

func (r *run) shown(file string) string { return path.Join(shown(r.Site), file) }
