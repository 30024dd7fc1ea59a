package main

import (
	"cmp"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	"example.org/gripleaf/cmd/internal/build"
	"example.org/gripleaf/cmd/internal/cache"
	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/folder"
	"example.org/gripleaf/cmd/internal/publish"
	"example.org/gripleaf/cmd/internal/wasm"
)

// building is the part of a command that builds a site.
type building struct {
	Site       string `arg:"" optional:"" default:"." help:"Folder of the site."`
	Out        string `placeholder:"DIR" help:"Where to build it (built in the folder of the site)."`
	KeepOthers bool   `help:"Keep files in the folder that the builder did not make; without it they stop the build."`
}

// builder finds the site, and makes what builds it. Editors learn where to find what the site's own calculators import;
// without that only editors are the worse for it.
func (c *building) builder(command string) (build.Builder, error) {
	site, err := build.Find(c.Site)
	if err != nil {
		return build.Builder{}, err
	}
	c.Out = cmp.Or(c.Out, filepath.Join(c.Site, "built"))
	_ = wasm.Workspace(cache.Open(), site)
	return build.Builder{Site: site, Out: c.Out, KeepOthers: c.KeepOthers, Cache: cache.Open(), Command: command}, nil
}

type buildCommand struct {
	building
	Compressed bool   `help:"Write .br and .gz beside the files, for servers that send them."`
	Since      string `placeholder:"MANIFEST" help:"List what to upload and what to remove, in order, to a server that holds the site of this manifest.json."`
}

func (buildCommand) Help() string {
	return `Every number in the lessons is worked out and compared with what is written. Nothing is published while
there are faults: the folder keeps the last good build.

Lessons with "unfinished: true" are left out.

With --since, standard output holds a line for each file: "upload", a tab and its path, first those that pages need, then
pages, then the manifest; then "remove" and what the site no longer has. Carried out in this order, no page ever asks
for what is not there.

Examples:
  gripleaf build --out /srv/www/braking
  gripleaf build --compressed --since live-manifest.json`
}

// Run builds the site.
func (c *buildCommand) Run(w *world) error {
	b, err := c.builder("gripleaf build")
	if err != nil {
		return err
	}
	defer b.Close()
	b.Weigh, b.Compress = true, c.Compressed
	var before publish.Manifest
	if c.Since != "" { // it may be the one that is about to be replaced
		if before, err = manifest(c.Since); err != nil {
			return fault.Fault{File: c.Since, Text: "this manifest cannot be read: " + folder.Why(err),
				Hint: "give the manifest.json of the site that is on the server"}
		}
	}
	r, err := b.Build(w.ctx)
	if err != nil {
		return err
	}
	if c.Since == "" {
		w.built(w.stdout, r, c.Out)
		return nil
	}
	w.built(w.stderr, r, c.Out)
	after, err := manifest(filepath.Join(c.Out, publish.ManifestName))
	if err != nil {
		return err
	}
	w.carry(publish.Changes(before, after))
	return nil
}

func manifest(name string) (publish.Manifest, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return publish.ReadManifest(f)
}

// carry lists what to do to a server. The manifest comes after all that it lists, and before anything is gone that the
// old one lists: readers keep sites for offline use by it.
func (w *world) carry(changes []publish.Change) {
	listed := len(changes) == 0
	manifest := func() {
		if !listed {
			fmt.Fprintln(w.stdout, "upload\t"+publish.ManifestName)
		}
		listed = true
	}
	for _, c := range changes {
		verb := "upload"
		if c.Kind == publish.Removed {
			manifest()
			verb = "remove"
		}
		fmt.Fprintln(w.stdout, verb+"\t"+c.Path)
	}
	manifest()
}

// unsaid says which texts of the interface stay English, and where their translations go.
func unsaid(to io.Writer, languages []build.Unsaid) {
	const most = 5
	for _, u := range languages {
		fmt.Fprintf(to, "%s: %s of the interface stay English; write %s", u.Language, count(len(u.Texts), "text", "texts"), u.Catalogue)
		if len(u.Texts) <= most {
			fmt.Fprintf(to, " for %q\n", u.Texts)
			continue
		}
		fmt.Fprintf(to, ", a line each: %q: \"…\"\n", u.Texts[0])
		fmt.Fprintf(to, "  gripleaf theme %s writes it for you to fill in, gripleaf prove --json lists what is left\n",
			strings.TrimPrefix(u.Catalogue, "theme/"))
	}
}

// built says what a build has made.
func (w *world) built(to io.Writer, r *build.Result, out string) {
	fmt.Fprintf(to, "%s: %s; %s checked", out, extent(r.Course), count(r.Numbers, "number", "numbers"))
	for _, more := range []struct {
		n         int
		one, many string
	}{{r.Claims, "claim", "claims"}, {r.Steps, "worked step", "worked steps"}} {
		if more.n > 0 {
			fmt.Fprintf(to, ", %s", count(more.n, more.one, more.many))
		}
	}
	fmt.Fprintf(to, "; %s, %s, %d changed; %s\n", count(r.Report.Files, "file", "files"),
		size(int(r.Report.Bytes)), len(r.Report.Changes), took(r.Took))
	if n := len(r.Course.Unfinished); n > 0 {
		fmt.Fprintf(to, "left out, unfinished: %s\n", count(n, "lesson", "lessons"))
	}
	if n := len(r.Report.Foreign); n > 0 {
		fmt.Fprintf(to, "kept as they are: %s of others\n", count(n, "file", "files"))
	}
	for _, name := range r.Report.Damaged {
		fmt.Fprintf(to, "made anew, since somebody had changed it: %s\n", name)
	}
	if u := r.Undrawn; u.Lessons > 0 {
		fmt.Fprintf(w.stderr, "left without a social picture: %s, since no font on this machine has %s\n  %s\n",
			count(u.Lessons, "lesson", "lessons"), strings.Join(u.Scripts, ", "), u.Hint())
	}
	if r.Module.Bytes > 0 {
		fmt.Fprintf(to, "the calculators weigh at most %s in brotli\n", size(r.Module.Bytes))
	}
	if r.Module.Over() {
		r.Heavy = append(r.Heavy, r.Module)
	}
	_ = r.LeftOut.Print(w.stderr, w.colour)
	unsaid(w.stderr, r.Unsaid)
	for _, h := range r.Heavy {
		fmt.Fprintf(w.stderr, "%s weighs %s, over the budget of %s in site.yaml\n", h.Path, size(h.Bytes), size(h.Budget))
	}
}

// extent says how much a course is: lessons in its main language, those of them that are there in others, and pages.
func extent(c *course.Course) string {
	translations, pages := 0, 0
	for _, l := range c.Languages {
		pages += len(l.Pages)
		if !l.Main {
			translations += len(l.Lessons)
		}
	}
	text := count(len(c.Languages[0].Lessons), "lesson", "lessons") + " in " + c.Languages[0].Folder
	if translations > 0 {
		text += ", " + count(translations, "translation", "translations")
	}
	if pages > 0 {
		text += ", " + count(pages, "page", "pages")
	}
	return text
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
