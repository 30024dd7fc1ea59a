package build

import (
	"context"
	"crypto/sha256"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"example.org/gripleaf/cmd/internal/cache"
	"example.org/gripleaf/cmd/internal/publish"
)

// yard is an invented site: four lessons, of which the second has a term, the third a source and the fourth a picture.
var yard = map[string]string{
	"site.yaml":         "title: Yard\naddress: https://braking.example/\nlanguages: [en]\nlessons: [a, b, c, d]\n",
	"sources.yaml":      "book: {title: A book}\n",
	"en/glossary.yaml":  "grip: {term: Grip, means: How a tyre holds.}\n",
	"en/a.md":           "---\ntitle: First\n---\nIt takes [17.7 m](calc:stop?speed=60km/h&grip=0.8#braking-distance). See [more](b.md#more).\n",
	"en/b.md":           "---\ntitle: Second\n---\n## More\nOf [grip](term:grip).\n",
	"en/c.md":           "---\ntitle: Third\n---\nAs in [a book](source:book).\n",
	"en/d.md":           "---\ntitle: Fourth\n---\n![The yard](../pictures/yard.svg)\n",
	"pictures/yard.svg": `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 4 3"/>`,
}

// ground is a site on disk, its cache, and where it is built.
type ground struct {
	t     *testing.T
	dir   string
	cache cache.Cache

	writes int
}

// newGround makes the yard.
func newGround(t *testing.T) *ground {
	t.Helper()
	g := &ground{t: t, dir: t.TempDir()}
	g.forget()
	for name, text := range yard {
		g.write(name, text)
	}
	return g
}

// forget takes a new cache that knows nothing but modules. Those are of the user's cache: compiling them is not what is
// tested.
func (g *ground) forget() {
	g.t.Helper()
	g.cache = cache.Cache{Folder: g.t.TempDir()}
	kept := cache.Open().Path("module", "")
	if kept == "" {
		return
	}
	if err := os.MkdirAll(kept, 0o777); err != nil {
		g.t.Fatal(err)
	}
	if err := os.Symlink(kept, g.cache.Path("module", "")); err != nil {
		g.t.Fatal(err)
	}
}

// write writes a source as it was some time ago, so that its time tells that it stays the same.
func (g *ground) write(name, text string) {
	g.t.Helper()
	file := filepath.Join(g.dir, "site", name)
	if err := os.MkdirAll(filepath.Dir(file), 0o777); err != nil {
		g.t.Fatal(err)
	}
	if err := os.WriteFile(file, []byte(text), 0o666); err != nil {
		g.t.Fatal(err)
	}
	g.writes++
	before := time.Now().Add(-time.Hour + time.Duration(g.writes)*time.Second)
	if err := os.Chtimes(file, before, before); err != nil {
		g.t.Fatal(err)
	}
}

// build builds the yard as a run of its own does, and gives the files that have changed.
func (g *ground) build() []string {
	g.t.Helper()
	b := Builder{Site: filepath.Join(g.dir, "site"), Out: filepath.Join(g.dir, "built"), Cache: g.cache}
	defer b.Close()
	r, err := b.Build(context.Background())
	if err != nil {
		g.t.Fatal(err)
	}
	var names []string
	for _, c := range r.Report.Changes {
		if c.Kind == publish.Removed {
			names = append(names, "-"+c.Path)
		} else if !strings.HasPrefix(c.Path, "search/") {
			names = append(names, c.Path)
		}
	}
	slices.Sort(names)
	return names
}

func (g *ground) built() map[string][sha256.Size]byte {
	g.t.Helper()
	sums := make(map[string][sha256.Size]byte)
	root := os.DirFS(filepath.Join(g.dir, "built"))
	err := fs.WalkDir(root, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		text, err := fs.ReadFile(root, name)
		sums[name] = sha256.Sum256(text)
		return err
	})
	if err != nil {
		g.t.Fatal(err)
	}
	return sums
}

// A change makes anew what it touches, and nothing else; and what is built upon an earlier build is what is built from
// nothing.
func TestChanges(t *testing.T) {
	g := newGround(t)
	g.build()
	for _, change := range []struct {
		what, file, text string
		want             []string
	}{
		{"nothing", "", "", nil},
		{"a text", "en/c.md", "---\ntitle: Third\n---\nAs in [that book](source:book).\n", []string{"c.html"}},
		{"a title", "en/c.md", "---\ntitle: The third\n---\nAs in [that book](source:book).\n", []string{"a.html", "b.html", "c.html", "d.html", "feed.xml", "index.html"}},
		{"a term", "en/glossary.yaml", "grip: {term: Grip, means: How hard a tyre holds.}\n", []string{"b.html", "glossary.html"}},
		{"a correction", "en/d.md", "---\ntitle: Fourth\ncorrected: [{date: 2026-02-03, note: The yard was upside down.}]\n---\n![The yard](../pictures/yard.svg)\n", []string{"corrections.html", "d.html", "feed.xml", "sitemap.xml"}},
		{"a source", "sources.yaml", "book: {title: The book}\n", []string{"c.html", "sources.html"}},
		{"a picture", "pictures/yard.svg", `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 4 4"/>`, []string{"-pictures/", "d.html", "pictures/"}},
	} {
		if change.file != "" {
			g.write(change.file, change.text)
		}
		got := g.build()
		for i, name := range got {
			if before, _, found := strings.Cut(name, "/yard."); found {
				got[i] = before + "/"
			}
		}
		if diff := cmp.Diff(change.want, got); diff != "" {
			t.Errorf("%s changes other files:\n%s", change.what, diff)
		}
	}
	step := g.built()
	g.forget()
	if err := os.RemoveAll(filepath.Join(g.dir, "built")); err != nil {
		t.Fatal(err)
	}
	g.build()
	if diff := cmp.Diff(g.built(), step); diff != "" {
		t.Errorf("step by step is not what it is at once:\n%s", diff)
	}
}

// A link to a heading is checked even if neither page is made anew.
func TestFarFault(t *testing.T) {
	g := newGround(t)
	g.build()
	before := g.built()
	g.write("en/b.md", "---\ntitle: Second\n---\n## Less\nOf [grip](term:grip).\n")
	b := Builder{Site: filepath.Join(g.dir, "site"), Out: filepath.Join(g.dir, "built"), Cache: g.cache}
	defer b.Close()
	_, err := b.Build(context.Background())
	if err == nil || !strings.Contains(err.Error(), `there is no heading "more" in en/b.md`) {
		t.Errorf("the build says %v", err)
	}
	if diff := cmp.Diff(before, g.built()); diff != "" {
		t.Errorf("a build with faults has changed the site:\n%s", diff)
	}
}

// The same content gives the same bytes, on any number of cores, in any time zone, whatever the order of files.
func TestSameBytes(t *testing.T) {
	zone := time.Local
	defer func() { time.Local = zone }()
	var first map[string][sha256.Size]byte
	for i, cores := range []int{1, runtime.GOMAXPROCS(0), 7} {
		before := runtime.GOMAXPROCS(cores)
		time.Local = time.FixedZone("far", (i-1)*11*3600)
		g := newGround(t)
		g.build()
		runtime.GOMAXPROCS(before)
		if first == nil {
			first = g.built()
		} else if diff := cmp.Diff(first, g.built()); diff != "" {
			t.Errorf("on %d cores:\n%s", cores, diff)
		}
	}
	if len(first) < 20 {
		t.Errorf("only %d files: %v", len(first), slices.Sorted(maps.Keys(first)))
	}
}

// A published page that somebody has changed is made anew; the cache may be taken away, or hold anything.
func TestDamage(t *testing.T) {
	g := newGround(t)
	g.build()
	want := g.built()
	damage := func(name string) {
		if err := os.WriteFile(filepath.Join(g.dir, "built", name), []byte("damaged"), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	damage("b.html")
	g.build()
	if diff := cmp.Diff(want, g.built()); diff != "" {
		t.Errorf("a damaged page stays:\n%s", diff)
	}
	err := filepath.WalkDir(g.cache.Folder, func(name string, d fs.DirEntry, err error) error { // not what links lead to
		if err != nil || !d.Type().IsRegular() {
			return err
		}
		text, err := os.ReadFile(name)
		if err != nil || len(text) == 0 {
			return err
		}
		text[len(text)/2] ^= 1
		return os.WriteFile(name, text, 0o666)
	})
	if err != nil {
		t.Fatal(err)
	}
	if changed := g.build(); len(changed) > 0 {
		t.Errorf("a broken cache changes %v", changed)
	}
}

// What the cache has of a bundle is published only if it is what was put there.
func TestFlippedBundle(t *testing.T) {
	g := newGround(t)
	g.build()
	want := g.built()
	kept, err := filepath.Glob(g.cache.Path("bundle", "*"))
	if err != nil || len(kept) == 0 {
		t.Fatalf("nothing is kept: %v", err)
	}
	for _, name := range kept {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		text[len(text)/2] ^= 1
		if err := os.WriteFile(name, text, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.RemoveAll(filepath.Join(g.dir, "built")); err != nil {
		t.Fatal(err)
	}
	g.build()
	if diff := cmp.Diff(want, g.built()); diff != "" {
		t.Error(diff)
	}
}

// The search finds a lesson as its page shows it: with the numbers that were worked out, whether the lesson was read
// for its page or for the index alone.
func TestSearchShowsWhatWasWorkedOut(t *testing.T) {
	g := newGround(t)
	g.write("en/c.md", "---\ntitle: Third\n---\nIt takes [](calc:stop?speed=60km/h&grip=0.8#braking-distance) to stop, as in [a book](source:book).\n")
	g.build()
	name := filepath.Join(g.dir, "built/search/en/passages-0-0.js")
	text, err := os.ReadFile(name)
	if err != nil || !strings.Contains(string(text), "It takes 17.7\u00a0m to stop, as") {
		t.Fatalf("%s, %v", text, err)
	}
	want := g.built()
	if err := os.Remove(name); err != nil {
		t.Fatal(err)
	}
	g.build()
	if diff := cmp.Diff(want, g.built()); diff != "" {
		t.Error(diff)
	}
}
