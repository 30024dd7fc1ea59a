package build

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"io/fs"
	"path"
	"time"

	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/folder"
	"example.org/gripleaf/cmd/internal/lesson"
	"example.org/gripleaf/cmd/internal/page"
	"example.org/gripleaf/cmd/internal/proof"
)

// Visit is shown every lesson that was read and checked, in no order, by several goroutines.
type Visit func(e *course.Entry, l *lesson.Lesson)

// head reads the metadata of a lesson, unless its file is the one that the last build has read.
func (r *run) head(file, shown string) (*lesson.Meta, fault.List) {
	info, err := fs.Stat(r.files, file)
	if err != nil {
		return course.ReadHead(r.files, file, shown)
	}
	known, ok := r.memory.lessons.before(file)
	identity := folder.Identify(info)
	if ok && identity.Certain() && known.Identity == identity {
		r.memory.lessons.put(file, known, false)
		return known.Meta, nil
	}
	text, err := fs.ReadFile(r.files, file)
	if err != nil {
		return course.ReadHead(r.files, file, shown)
	}
	if identity.Young(time.Now()) {
		identity = folder.Identity{}
	}
	sum := hash(text)
	if ok && known.Text == sum {
		again := *known
		again.Identity = identity
		r.memory.lessons.put(file, &again, known.Identity != identity)
		return known.Meta, nil
	}
	meta, _, faults := lesson.ReadMeta(&fault.Source{File: shown, Text: text})
	if len(faults) > 0 {
		sum = ""
	}
	m := &madeLesson{Identity: identity, Text: sum, Meta: &meta}
	if r.held.Add(int64(len(text))) < mostHeld {
		m.source = text
	}
	r.memory.lessons.put(file, m, true)
	return &meta, faults
}

// mostHeld bounds the texts that wait to be read whole, in bytes.
const mostHeld = 64 << 20

func hash(data []byte) string {
	sum := sha256.Sum256(data)
	return string(sum[:])
}

// lesson reads a lesson, and says what the hash of its file is. It is nil if the file cannot be read.
func (r *run) lesson(e *course.Entry) (*lesson.Lesson, string, fault.List) {
	known := r.memory.lessons.now(e.File)
	if known != nil && known.source != nil && known.Text != "" {
		l, faults := r.readers[e.Language].ReadBody(&fault.Source{File: r.shown(e.File), Text: known.source}, *known.Meta)
		return l, known.Text, faults
	}
	text, err := fs.ReadFile(r.files, e.File)
	if err != nil {
		return nil, "", fault.List{{Code: "missing-file", File: r.shown(e.File), Text: course.Reason(err)}}
	}
	source, sum := &fault.Source{File: r.shown(e.File), Text: text}, hash(text)
	if known != nil && known.Text == sum {
		l, faults := r.readers[e.Language].ReadBody(source, *known.Meta)
		return l, sum, faults
	}
	l, faults := r.readers[e.Language].Read(source)
	return l, sum, faults
}

// readAndCheck reads a lesson and checks it, and gives what is known of it then. The lesson is nil if its file cannot
// be read.
func (r *run) readAndCheck(e *course.Entry) (*lesson.Lesson, *madeLesson, fault.List) {
	l, sum, faults := r.lesson(e)
	if l == nil {
		return nil, nil, faults
	}
	facts, more := r.course.Check(e, l)
	e.Facts = facts
	faults.Add(more...)
	faults.Add(proof.Check(l, e.Language.Locale, r.book)...)
	m := &madeLesson{Text: sum, Meta: e.Meta, Facts: facts, LeftOut: l.LeftOut.Most(mostFaults),
		Numbers: len(l.Numbers), Claims: len(l.Claims), Steps: len(l.Steps)}
	if head := r.memory.lessons.now(e.File); head != nil && head.Text == sum {
		m.Identity = head.Identity
	} else { // it was written between: the next build knows better
		m.Text = ""
	}
	return l, m, faults
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

// page makes the page of one lesson, unless it shows what it did.
func (r *run) page(w *worker, e *course.Entry) fault.List {
	if known := r.memory.lessons.now(e.File); known != nil && known.Facts != nil && r.sites != nil && r.keep(e, known) {
		w.count(known)
		r.scale.note(e.Address, known.Heavy)
		return r.index.done(r, e, known.Text, nil)
	}
	l, m, faults := r.readAndCheck(e)
	if l == nil || len(faults) > 0 || r.sites == nil {
		r.index.failed(e)
		return faults
	}
	w.count(m)
	if faults := r.write(w, e, l, m); len(faults) > 0 {
		r.index.failed(e)
		return faults
	}
	r.memory.lessons.put(e.File, m, true)
	return r.index.done(r, e, m.Text, page.Passages(e, l))
}

// shows is all that the page of a lesson shows.
func (r *run) shows(e *course.Entry, m *madeLesson) *page.Lesson {
	return r.sites[e.Language].Lesson(r.course, e, m.Facts, m.Text, r.gallery.pictures)
}

// keep keeps the page of a lesson if it shows what it did, with the picture that stands for it elsewhere.
func (r *run) keep(e *course.Entry, m *madeLesson) bool {
	if page.Key(r.shows(e, m)) != m.Key || !r.output.edition.Has(e.Address, sumOf(m.Page)) {
		return false
	}
	if m.Social != nil && !r.output.edition.Keep(m.Social.Path, sumOf(m.Social.Sum)) {
		return false
	}
	e.Facts = m.Facts
	return r.output.edition.Keep(e.Address, sumOf(m.Page))
}

// write renders a lesson and publishes its page.
func (r *run) write(w *worker, e *course.Entry, l *lesson.Lesson, m *madeLesson) fault.List {
	shows := r.shows(e, m)
	social, picture, late, err := r.easel.picture(e, l)
	if social != nil {
		var sum string
		sum, err = r.output.add(social.Path, picture)
		m.Social = &madeFile{Path: social.Path, Sum: sum}
	}
	if err != nil {
		return fault.List{{File: r.shown(e.File), Text: err.Error()}}
	}
	w.html.Reset()
	if err := shows.Write(&w.html, l, social); err != nil {
		var large fault.Fault
		if errors.As(err, &large) {
			return fault.List{large}
		}
		return fault.List{{Code: "theme", File: r.shown(e.File), Text: err.Error()}}
	}
	if m.Heavy, err = r.scale.page(w.html.Bytes()); err == nil {
		m.Page, err = r.output.add(e.Address, w.html.Bytes())
	}
	if err != nil {
		return fault.List{{File: e.Address, Text: err.Error()}}
	}
	r.scale.note(e.Address, m.Heavy)
	if !late { // the next build may be able to draw it
		m.Key = page.Key(shows)
	}
	return nil
}

// worker is what one goroutine uses again for each lesson, and what it has counted.
type worker struct {
	html                   bytes.Buffer
	numbers, claims, steps int
	leftOut                fault.List
}

func (w *worker) count(m *madeLesson) {
	w.numbers += m.Numbers
	w.claims += m.Claims
	w.steps += m.Steps
	w.leftOut.Add(m.LeftOut...)
}

func (r *run) shown(file string) string { return path.Join(shown(r.Site), file) }
