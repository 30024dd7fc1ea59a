package main

import (
	"fmt"
	"strings"
	"time"

	"example.org/gripleaf/cmd/internal/build"
	"example.org/gripleaf/cmd/internal/cache"
)

type buildCommand struct {
	Site string `arg:"" optional:"" default:"." help:"Folder of the site."`
	Out  string `default:"built" placeholder:"DIR" help:"Where to build it (${default})."`
}

func (buildCommand) Help() string {
	return `Every number in the lessons is worked out and compared with what is written. Nothing is published while
there are faults: the folder keeps the last good build.

Lessons with "workshop: true" are left out.

Example: gripleaf build --out /srv/www/braking`
}

// Run builds the site.
func (c *buildCommand) Run(w *world) error {
	site, err := build.Find(c.Site)
	if err != nil {
		return err
	}
	b := build.Builder{Site: site, Out: c.Out, Weigh: true, Cache: cache.Open(), Command: "gripleaf build"}
	defer b.Close()
	r, err := b.Build(w.ctx)
	if err != nil {
		return err
	}
	w.built(r, c.Out)
	return nil
}

// built says what a build has made.
func (w *world) built(r *build.Result, out string) {
	fmt.Fprintf(w.stdout, "%s: %s, %s checked", out, count(r.Lessons, "lesson", "lessons"), count(r.Numbers, "number", "numbers"))
	for _, more := range []struct {
		n         int
		one, many string
	}{{r.Claims, "claim", "claims"}, {r.Steps, "worked step", "worked steps"}} {
		if more.n > 0 {
			fmt.Fprintf(w.stdout, ", %s", count(more.n, more.one, more.many))
		}
	}
	fmt.Fprintf(w.stdout, "; %s, %s, %d changed; %s\n", count(r.Report.Files, "file", "files"), size(int(r.Report.Bytes)), len(r.Report.Changes), took(r.Took))
	if n := len(r.Course.Workshop); n > 0 {
		fmt.Fprintf(w.stdout, "left in the workshop: %s\n", count(n, "lesson", "lessons"))
	}
	for _, name := range r.Report.Damaged {
		fmt.Fprintf(w.stdout, "made anew, since somebody had changed it: %s\n", name)
	}
	if u := r.Undrawn; u.Lessons > 0 {
		fmt.Fprintf(w.stderr, "left without a social picture: %s, since no font on this machine has %s\n  %s\n",
			count(u.Lessons, "lesson", "lessons"), strings.Join(u.Scripts, ", "), u.Hint())
	}
	if r.Module.Bytes > 0 {
		fmt.Fprintf(w.stdout, "the calculators weigh at most %s in brotli\n", size(r.Module.Bytes))
	}
	if r.Module.Over() {
		r.Heavy = append(r.Heavy, r.Module)
	}
	for _, h := range r.Heavy {
		fmt.Fprintf(w.stderr, "%s weighs %s, over the budget of %s in site.yaml\n", h.Path, size(h.Bytes), size(h.Budget))
	}
}

func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// size writes bytes for people, in thousands as networks count.
func size(n int) string {
	switch {
	case n >= 10_000_000:
		return fmt.Sprintf("%d MB", (n+500_000)/1_000_000)
	case n >= 1_000_000:
		return fmt.Sprintf("%.1f MB", float64(n)/1e6)
	}
	return fmt.Sprintf("%d KB", (n+500)/1000)
}

func took(d time.Duration) string {
	if d < time.Second {
		return fmt.Sprintf("%d ms", d.Milliseconds())
	}
	return fmt.Sprintf("%.1f s", d.Seconds())
}
