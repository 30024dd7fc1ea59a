package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"example.org/gripleaf/cmd/internal/build"
	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/ledger"
	"example.org/gripleaf/cmd/internal/preview"
	"example.org/gripleaf/cmd/internal/publish"
	"example.org/gripleaf/cmd/internal/series"
	"example.org/gripleaf/cmd/internal/watch"
)

type previewCommand struct {
	building
	Address string `placeholder:"HOST:PORT" help:"Where to serve it; without it, on this machine only."`
}

func (previewCommand) Help() string {
	return `The site is built, with the unfinished lessons too, and served. Every save is built at once, and pages that are
open take it over: a style without loading anew, calculators with their explorers kept as they are. What is wrong with
the course is shown in the page and here; the site stays as it was until it is put right. Stop it with Ctrl-C.

Example: gripleaf preview --address 127.0.0.1:8080`
}

// Run previews the site until it is interrupted.
func (c *previewCommand) Run(w *world) error {
	b, err := c.builder("gripleaf preview")
	if err != nil {
		return err
	}
	defer b.Close()
	b.Unfinished = true
	return preview.Serve(w.ctx, preview.Options{
		Dir:  c.Out,
		Addr: c.Address,
		Watch: watch.Watcher{
			Roots: []string{b.Site},
			Skip:  c.skips,
			Warn:  func(text string) { fmt.Fprintln(w.stderr, text) },
		},
		Build: func(ctx context.Context, changed []string, s *preview.Server) (preview.Report, error) {
			b.Viewer = s
			if slices.ContainsFunc(changed, func(name string) bool { return filepath.Ext(name) == ".go" }) {
				fmt.Fprintln(w.stdout, "compiling the calculators …")
			}
			b.Glance(ctx, changed)
			return c.build(ctx, w, &b)
		},
		Ready: func(url string) { fmt.Fprintf(w.stdout, "%s\nthe series: %s.gripleaf/series\n", url, url) },
	})
}

// skips leaves out what is not a source: the built site, the ledger, and what editors and systems hide.
func (c *previewCommand) skips(path string) bool {
	base := filepath.Base(path)
	if base == ledger.FileName || strings.HasPrefix(base, ".") && base != "." && base != ".." || strings.HasSuffix(base, "~") {
		return true
	}
	a, err := filepath.Abs(path)
	b, err2 := filepath.Abs(c.Out)
	return err == nil && err2 == nil && a == b
}

// build builds once more, and says here too what came of it.
func (c *previewCommand) build(ctx context.Context, w *world, b *build.Builder) (preview.Report, error) {
	r, err := b.Build(ctx)
	if err != nil {
		if !errors.Is(err, context.Canceled) {
			_ = fault.From(err).Print(w.stderr, w.colour)
		}
		return preview.Report{}, err
	}
	w.built(w.stdout, r, c.Out)
	report := preview.Report{Lessons: lessonsOf(b.Site, r.Course)}
	for _, change := range r.Report.Changes {
		if change.Kind == publish.Removed {
			report.Removed = append(report.Removed, change.Path)
		} else {
			report.Changed = append(report.Changed, change.Path)
		}
	}
	return report, nil
}

// lessonsOf is how far the lessons have come. A ledger that cannot be read is the proof's to tell.
func lessonsOf(site string, c *course.Course) []series.Lesson {
	numbers, _ := ledger.Read(site)
	return series.Of(c, numbers)
}
