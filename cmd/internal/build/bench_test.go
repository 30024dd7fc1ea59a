//go:build unix

package build

import (
	"context"
	"flag"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/evanw/esbuild/pkg/api"
	"github.com/yuin/goldmark"

	"example.org/gripleaf/cmd/internal/asset"
	"example.org/gripleaf/cmd/internal/cache"
	"example.org/gripleaf/cmd/internal/wasm"
	"example.org/gripleaf/testdata/courses"
	"example.org/gripleaf/theme"
)

// How long builds take, each beside its floor. Each figure is of one course; -lessons sets its size.
//
//	go test -run '^$' -bench . -lessons 10000 ./cmd/internal/build
var lessons = flag.Int("lessons", 300, "size of the courses that are built in benchmarks")

// benchCourse makes a course, and has garbage collected as rarely as the program does.
func benchCourse(b *testing.B) string {
	b.Helper()
	percent, limit := debug.SetGCPercent(400), debug.SetMemoryLimit(970<<20)
	b.Cleanup(func() {
		debug.SetGCPercent(percent)
		debug.SetMemoryLimit(limit)
	})
	dir := filepath.Join(b.TempDir(), "site")
	if err := courses.Make(dir, *lessons, 1); err != nil {
		b.Fatal(err)
	}
	return dir
}

func perBuild(b *testing.B, before time.Duration) {
	b.ReportMetric(float64((processor()-before).Microseconds())/1000/float64(b.N), "cpu-ms/op")
}

// processor is the time that all processors have worked for this process.
func processor() time.Duration {
	var r syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &r); err != nil {
		return 0
	}
	return time.Duration(r.Utime.Nano() + r.Stime.Nano())
}

// cost is what something took: by the clock, and of the processors, which tells more on a machine that has other work.
type cost struct{ clock, processor time.Duration }

// measure adds what f takes. The disk has what was written before by then, which would otherwise be paid for by f.
func (c *cost) measure(f func()) {
	runtime.GC()
	syscall.Sync()
	start, before := time.Now(), processor()
	f()
	c.clock += time.Since(start)
	c.processor += processor() - before
}

func (c *cost) perLesson(b *testing.B, of string) {
	one := float64(b.N) * float64(*lessons)
	b.ReportMetric(float64(c.clock.Microseconds())/one, of+"µs/lesson")
	b.ReportMetric(float64(c.processor.Microseconds())/one, of+"cpu-µs/lesson")
}

// A cold build, and by turns goldmark alone converting the same files and writing them. Nothing is removed between: a
// file system may look for the place of a new file among all that have just been removed.
func BenchmarkCold(b *testing.B) {
	site, c := benchCourse(b), cache.Open()
	names, err := filepath.Glob(filepath.Join(site, "en", "*.md"))
	if err != nil {
		b.Fatal(err)
	}
	warm(b, c)
	var floor, cold cost
	for b.Loop() {
		out := b.TempDir()
		floor.measure(func() { convertAll(b, names, out) })
		kept := cache.Cache{Folder: b.TempDir()}
		for _, kind := range []string{"module", "answers"} {
			if err := os.Symlink(c.Path(kind, ""), kept.Path(kind, "")); err != nil {
				b.Fatal(err)
			}
		}
		out = filepath.Join(b.TempDir(), "built")
		cold.measure(func() { build(b, site, out, kept) })
	}
	b.ReportMetric(float64(cold.clock)/float64(b.N), "ns/op")
	floor.perLesson(b, "floor-")
	cold.perLesson(b, "")
	b.ReportMetric(float64(cold.clock)/float64(floor.clock), "×floor")
	b.ReportMetric(float64(cold.processor)/float64(floor.processor), "×floor-cpu")
}

// convertAll is the floor of a build, on all cores.
func convertAll(b *testing.B, names []string, out string) {
	var group sync.WaitGroup
	workers := runtime.GOMAXPROCS(0)
	for w := range workers {
		group.Go(func() {
			for i := w; i < len(names); i += workers {
				if err := convert(names[i], out); err != nil {
					b.Error(err)
				}
			}
		})
	}
	group.Wait()
}

func convert(name, out string) error {
	text, err := os.ReadFile(name)
	if err != nil {
		return err
	}
	var html strings.Builder
	if err := goldmark.Convert(text, &html); err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(out, filepath.Base(name)+".html"), []byte(html.String()), 0o666)
}

// warm builds a small course once, so that what is made of the program alone is in the cache: the module, and what the
// calculators' own pages show that takes long.
func warm(b *testing.B, c cache.Cache) {
	b.Helper()
	dir := filepath.Join(b.TempDir(), "small")
	if err := courses.Make(dir, 2, 1); err != nil {
		b.Fatal(err)
	}
	builder := Builder{Site: dir, Out: filepath.Join(b.TempDir(), "built"), Cache: c}
	defer builder.Close()
	if _, err := builder.Build(context.Background()); err != nil {
		b.Fatal(err)
	}
}

func build(b *testing.B, site, out string, c cache.Cache) {
	b.Helper()
	builder := Builder{Site: site, Out: out, Cache: c}
	defer builder.Close()
	if _, err := builder.Build(context.Background()); err != nil {
		b.Fatal(err)
	}
}

// Bundles against esbuild alone, writing the same sources from the disk; again is after a change, as a preview has it.
func BenchmarkBundle(b *testing.B) {
	dir := b.TempDir()
	if err := os.CopyFS(dir, theme.Files); err != nil {
		b.Fatal(err)
	}
	b.Run("floor", func(b *testing.B) {
		for b.Loop() {
			for _, entry := range []string{"script/main.ts", "style/main.css"} {
				r := api.Build(api.BuildOptions{EntryPoints: []string{filepath.Join(dir, entry)}, Bundle: true, Target: api.ES2020, Format: api.FormatIIFE,
					MinifyWhitespace: true, MinifyIdentifiers: true, MinifySyntax: true, Outdir: b.TempDir(), Write: true})
				if len(r.Errors) > 0 {
					b.Fatal(r.Errors[0].Text)
				}
			}
		}
	})
	bundle := func(b *testing.B, bundler *asset.Bundler, extra string) {
		script, style, faults := bundler.Bundle(theme.Files, extra)
		if len(faults) > 0 || len(script.Data)+len(style.Data) == 0 {
			b.Fatal(faults)
		}
	}
	b.Run("cold", func(b *testing.B) {
		for b.Loop() {
			var bundler asset.Bundler
			bundle(b, &bundler, "")
			bundler.Close()
		}
	})
	b.Run("again", func(b *testing.B) {
		var bundler asset.Bundler
		defer bundler.Close()
		for i := 0; b.Loop(); i++ {
			bundle(b, &bundler, fmt.Sprintf(":root{--i:%d}", i))
		}
	})
}

// The module against the go command alone: both find the packages compiled, and link.
func BenchmarkModule(b *testing.B) {
	b.Run("floor", func(b *testing.B) {
		for b.Loop() {
			cmd := exec.Command("go", slices.Concat([]string{"build"}, wasm.Flags, []string{"-o", filepath.Join(b.TempDir(), "module.wasm"), "example.org/gripleaf/calculators/module"})...)
			cmd.Env = append(os.Environ(), "GOOS=wasip1", "GOARCH=wasm")
			if text, err := cmd.CombinedOutput(); err != nil {
				b.Fatalf("%v: %s", err, text)
			}
		}
	})
	b.Run("stripped", func(b *testing.B) {
		for b.Loop() {
			source, err := wasm.New(cache.Cache{Folder: b.TempDir()}, b.TempDir())
			if err != nil {
				b.Fatal(err)
			}
			if _, err := source.Compile(b.Context()); err != nil {
				b.Fatal(err)
			}
		}
	})
}

func BenchmarkNoChange(b *testing.B) {
	site, out, c := benchCourse(b), filepath.Join(b.TempDir(), "built"), cache.Cache{Folder: b.TempDir()}
	build(b, site, out, c)
	before := processor()
	for b.Loop() {
		build(b, site, out, c)
	}
	perBuild(b, before)
}

func BenchmarkOneLesson(b *testing.B) {
	site, out, c := benchCourse(b), filepath.Join(b.TempDir(), "built"), cache.Cache{Folder: b.TempDir()}
	build(b, site, out, c)
	name := filepath.Join(site, "en", "lesson-000007.md")
	before := processor()
	for i := 0; b.Loop(); i++ {
		text, err := os.ReadFile(name)
		if err != nil {
			b.Fatal(err)
		}
		text = append(text, fmt.Sprintf("\nOnce more, %d.\n", i)...)
		if err := os.WriteFile(name, text, fs.ModePerm); err != nil {
			b.Fatal(err)
		}
		build(b, site, out, c)
	}
	perBuild(b, before)
}
