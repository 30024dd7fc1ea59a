package build

import (
	"bytes"
	"context"
	"encoding/json"
	"path/filepath"
	"slices"

	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/folder"
	"example.org/gripleaf/cmd/internal/lesson"
)

// Viewer looks at some pages of the site while it is built. Its methods are called by several goroutines.
type Viewer interface {
	// Wanted lists the files of the site that are made first, if they are to be made at all.
	Wanted() []string

	// Made is shown those of them that were made, and what pages load, before the site is published.
	Made(path string, data []byte)

	// Settle waits for a moment in which what it was shown can be taken.
	Settle(ctx context.Context)
}

// lookBack keeps what a glance needs of a build.
func (b *Builder) lookBack(r *run) {
	if b.last = nil; b.Viewer != nil {
		r.output.edition, r.index = nil, nil
		b.last = r
	}
}

// Glance shows the viewer the lessons that it looks at if nothing has changed but the bodies of lessons: what the last
// build knows of the course is enough for their pages, so they need not wait until the course has been read again. The
// build that follows makes them once more, and what else is affected. changed are files of the site by name.
func (b *Builder) Glance(ctx context.Context, changed []string) {
	r := b.last
	if r == nil || b.Viewer == nil {
		return
	}
	files, err := folder.Open(b.Site)
	if err != nil {
		return // the build tells
	}
	defer files.Close()
	r.files, r.course.Files = files, files
	wanted := b.Viewer.Wanted()
	var looked []*course.Entry
	for _, name := range changed {
		file, err := filepath.Rel(b.Site, name)
		e := r.course.Entry(filepath.ToSlash(file))
		if err != nil || e == nil {
			return
		}
		if slices.Contains(wanted, e.Address) {
			looked = append(looked, e)
		}
	}
	shown := false
	for _, e := range looked {
		shown = r.glance(e) || shown
	}
	if shown {
		b.Viewer.Settle(ctx)
	}
}

// glance shows the viewer a lesson whose metadata is as it was. One with faults is left to the build.
func (r *run) glance(e *course.Entry) (shown bool) {
	l, m, faults := r.readAndCheck(e)
	if len(faults) > 0 || !sameMeta(l.Meta, *e.Meta) {
		return false
	}
	social, _, _, err := r.easel.picture(e, l)
	if err != nil {
		return false
	}
	var html bytes.Buffer
	if err := r.shows(e, m).Write(&html, l, social); err != nil {
		return false
	}
	r.output.show(e.Address, html.Bytes())
	return true
}

// sameMeta compares what other pages may tell of a lesson, whether it was read or remembered.
func sameMeta(a, b lesson.Meta) bool {
	x, errX := json.Marshal(a)
	y, errY := json.Marshal(b)
	return errX == nil && errY == nil && bytes.Equal(x, y)
}
