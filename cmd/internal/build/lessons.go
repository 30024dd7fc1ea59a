package build

import (
	"bytes"
	"errors"
	"io/fs"
	"path"
	"runtime"
	"sync"
	"sync/atomic"

	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/lesson"
	"example.org/gripleaf/cmd/internal/proof"
)

// Visit is shown every lesson that was read and checked, in no order, by several goroutines.
type Visit func(e *course.Entry, l *lesson.Lesson)

// lessons reads, checks and writes all lessons and pages beside them, on all cores.
func (r *run) lessons() {
	var all []*course.Entry
	for e := range r.course.Entries {
		all = append(all, e)
	}
	readers := make(map[*course.Language]*lesson.Reader)
	for _, l := range r.course.Languages {
		readers[l] = lesson.NewReader(l.Locale, r.course.Site.Several)
	}
	found := make([]fault.List, len(all))
	var next, numbers, claims, steps atomic.Int64
	var group sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(all)) {
		group.Go(func() {
			var html bytes.Buffer
			for i := next.Add(1) - 1; int(i) < len(all) && r.ctx.Err() == nil; i = next.Add(1) - 1 {
				l, faults := r.lesson(readers[all[i].Language], all[i], &html)
				found[i] = faults
				if l != nil {
					numbers.Add(int64(len(l.Numbers)))
					claims.Add(int64(len(l.Claims)))
					steps.Add(int64(len(l.Steps)))
				}
			}
		})
	}
	group.Wait()
	for _, faults := range found {
		r.faults.Add(faults...)
	}
	if err := r.ctx.Err(); err != nil {
		r.faults.Add(fault.Fault{Text: err.Error()})
	}
	r.result.Lessons = len(all)
	r.result.Numbers, r.result.Claims, r.result.Steps = int(numbers.Load()), int(claims.Load()), int(steps.Load())
}

// lesson reads and checks one lesson, and writes its page if there is someone to write it and nothing is wrong.
func (r *run) lesson(reader *lesson.Reader, e *course.Entry, html *bytes.Buffer) (*lesson.Lesson, fault.List) {
	file := path.Join(shown(r.Site), e.File)
	text, err := fs.ReadFile(r.files, e.File)
	if err != nil {
		return nil, fault.List{{Code: "missing-file", File: file, Text: err.Error()}}
	}
	l, faults := reader.Read(&fault.Source{File: file, Text: text})
	facts, more := r.course.Check(e, l)
	e.Facts = facts
	faults.Add(more...)
	faults.Add(proof.Check(l, e.Language.Locale, r.book)...)
	if r.visit != nil {
		r.visit(e, l)
	}
	if r.printer == nil || len(faults) > 0 {
		return l, faults
	}
	html.Reset()
	if err := r.printer.Lesson(html, e, l); err != nil {
		return l, fault.List{{Code: "theme", File: file, Text: err.Error()}}
	}
	if err := errors.Join(r.weigh(e.Address, html.Bytes()), r.edition.Add(e.Address, html.Bytes())); err != nil {
		return l, fault.List{{File: e.Address, Text: err.Error()}}
	}
	return l, nil
}
