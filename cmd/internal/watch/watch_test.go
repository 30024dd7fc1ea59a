package watch

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// A trial is a watcher that runs over a folder of its own.
type trial struct {
	t     *testing.T
	dir   string
	calls chan []string // of changed, with paths relative to dir
	warn  chan string
	stop  func()
}

// begin starts w over a folder that is the current one.
func begin(t *testing.T, w *Watcher) *trial {
	t.Helper()
	tr := &trial{t: t, dir: t.TempDir(), calls: make(chan []string, 10_000), warn: make(chan string, 100)}
	t.Chdir(tr.dir)
	write(t, "site.yaml", "title: Ferndale")
	write(t, "lessons/stopping.md", "# Stopping")
	if w.Roots == nil {
		w.Roots = []string{"."}
	}
	w.Warn = func(text string) { tr.warn <- text }
	tr.run(w)
	return tr
}

func (tr *trial) run(w *Watcher) {
	ctx, cancel := context.WithCancel(context.Background())
	done, seen := make(chan error), make(chan struct{})
	w.Ready = func() { close(seen) }
	go func() { done <- w.Run(ctx, func(paths []string) { tr.calls <- paths }) }()
	tr.stop = sync.OnceFunc(func() {
		cancel()
		if err := <-done; err != nil {
			tr.t.Errorf("Run returned %v", err)
		}
	})
	tr.t.Cleanup(tr.stop)
	<-seen
}

const long = 10 * time.Second

// want waits until all paths were told of, and checks that no others were.
func (tr *trial) want(paths ...string) {
	tr.t.Helper()
	var got []string
	timeout := time.After(long)
	for {
		select {
		case call := <-tr.calls:
			if !slices.IsSorted(call) {
				tr.t.Errorf("not sorted: %q", call)
			}
			got = append(got, call...)
		case <-timeout:
			tr.t.Fatalf("told of %q only, want %q", got, paths)
		}
		slices.Sort(got)
		got = slices.Compact(got)
		if len(got) >= len(paths) {
			break
		}
	}
	slices.Sort(paths)
	if diff := cmp.Diff(paths, got); diff != "" {
		tr.t.Errorf("told of (-want +got):\n%s", diff)
	}
}

func write(t *testing.T, name, text string) {
	t.Helper()
	if err := errors.Join(os.MkdirAll(filepath.Dir(name), 0o755), os.WriteFile(name, []byte(text), 0o644)); err != nil {
		t.Fatal(err)
	}
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func TestChanges(t *testing.T) {
	for _, test := range []struct {
		name string
		make func(t *testing.T)
		want []string
	}{
		{"write", func(t *testing.T) { write(t, "lessons/stopping.md", "new") }, []string{"lessons/stopping.md"}},
		{"same size", func(t *testing.T) { write(t, "lessons/stopping.md", "# sTOPPING") }, []string{"lessons/stopping.md"}},
		{"new", func(t *testing.T) { write(t, "lessons/new.md", "new") }, []string{"lessons/new.md"}},
		{"remove", func(t *testing.T) { must(t, os.Remove("lessons/stopping.md")) }, []string{"lessons/stopping.md"}},
		{"rename", func(t *testing.T) { must(t, os.Rename("lessons/stopping.md", "lessons/b.md")) }, []string{"lessons/stopping.md", "lessons/b.md"}},
		{"write by rename", func(t *testing.T) {
			write(t, "lessons/.stopping.md.tmp", "new")
			must(t, os.Rename("lessons/.stopping.md.tmp", "lessons/stopping.md"))
		}, []string{"lessons/stopping.md"}},
		{"write with a copy kept", func(t *testing.T) {
			must(t, os.Rename("lessons/stopping.md", "lessons/stopping.md~"))
			write(t, "lessons/stopping.md", "new")
			must(t, os.Remove("lessons/stopping.md~"))
		}, []string{"lessons/stopping.md"}},
		{"truncate and write", func(t *testing.T) {
			must(t, os.Truncate("lessons/stopping.md", 0))
			write(t, "lessons/stopping.md", "new")
		}, []string{"lessons/stopping.md"}},
		{"many small writes", func(t *testing.T) {
			file, err := os.Create("lessons/stopping.md")
			must(t, err)
			defer file.Close()
			for range 1000 {
				_, err := file.WriteString("x")
				must(t, err)
			}
		}, []string{"lessons/stopping.md"}},
		{"folders at once", func(t *testing.T) { write(t, "a/b/c/d.md", "new") }, []string{"a/b/c/d.md"}},
		{"folder moved in", func(t *testing.T) {
			outside := filepath.Join(t.TempDir(), "outside")
			write(t, filepath.Join(outside, "in", "x.md"), "new")
			must(t, os.Rename(outside, "moved"))
		}, []string{"moved/in/x.md"}},
		{"folder moved out", func(t *testing.T) { must(t, os.Rename("lessons", filepath.Join(t.TempDir(), "x"))) }, []string{"lessons/stopping.md"}},
		{"folder renamed", func(t *testing.T) { must(t, os.Rename("lessons", "teaching")) }, []string{"lessons/stopping.md", "teaching/stopping.md"}},
		{"folder removed", func(t *testing.T) { must(t, os.RemoveAll("lessons")) }, []string{"lessons/stopping.md"}},
		{"folder for a file", func(t *testing.T) {
			must(t, os.Remove("site.yaml"))
			write(t, "site.yaml/x", "")
		}, []string{"site.yaml", "site.yaml/x"}},
		{"link", func(t *testing.T) { must(t, os.Symlink("site.yaml", "link")) }, []string{"link"}},
		{"odd name", func(t *testing.T) { write(t, "lessons/größe \n☃.md", "new") }, []string{"lessons/größe \n☃.md"}},
	} {
		for way, w := range map[string]Watcher{
			"told":   {},
			"polled": {Poll: 30 * time.Millisecond, Quiet: 20 * time.Millisecond},
		} {
			t.Run(fmt.Sprint(test.name, " ", way), func(t *testing.T) {
				tr := begin(t, &w)
				test.make(t)
				tr.want(test.want...)
				write(t, "after.md", "")
				tr.want("after.md")
			})
		}
	}
}

// After each change of folders the watcher still hears of all that is there.
func TestFoldersComeAndGo(t *testing.T) {
	tr := begin(t, &Watcher{})
	for i := range 3 {
		must(t, os.RemoveAll("lessons"))
		tr.want("lessons/stopping.md")
		write(t, "lessons/stopping.md", "made again")
		tr.want("lessons/stopping.md")
		write(t, "lessons/stopping.md", fmt.Sprint("written ", i))
		tr.want("lessons/stopping.md")
		write(t, "lessons/deep/x.md", "")
		tr.want("lessons/deep/x.md")

		must(t, os.Rename("lessons", "moved"))
		tr.want("lessons/stopping.md", "lessons/deep/x.md", "moved/stopping.md", "moved/deep/x.md")
		write(t, "moved/deep/x.md", "written")
		tr.want("moved/deep/x.md")
		must(t, os.Rename("moved", "lessons"))
		tr.want("lessons/stopping.md", "lessons/deep/x.md", "moved/stopping.md", "moved/deep/x.md")
		write(t, "lessons/deep/x.md", "written again")
		tr.want("lessons/deep/x.md")
		must(t, os.RemoveAll("lessons/deep"))
		tr.want("lessons/deep/x.md")
	}
	write(t, "a/x.md", "")
	write(t, "b/x.md", "other")
	tr.want("a/x.md", "b/x.md")
	must(t, os.Rename("a", "c"))
	must(t, os.Rename("b", "a"))
	must(t, os.Rename("c", "b"))
	tr.want("a/x.md", "b/x.md")
	write(t, "a/x.md", "of a")
	tr.want("a/x.md")
	write(t, "b/x.md", "of b")
	tr.want("b/x.md")
}

func TestThousandsAtOnce(t *testing.T) {
	tr := begin(t, &Watcher{})
	var want []string
	for i := range 5000 {
		name := fmt.Sprintf("lessons/%d/%d.md", i%50, i)
		write(t, name, "new")
		want = append(want, name)
	}
	tr.want(want...)
	for i := range 50 {
		must(t, os.RemoveAll(fmt.Sprintf("lessons/%d", i)))
	}
	tr.want(want...)
}

// A file that is written all the time is not told of, and holds up nothing.
func TestRestlessFileHoldsUpNothing(t *testing.T) {
	tr := begin(t, &Watcher{})
	stop := make(chan struct{})
	var group sync.WaitGroup
	group.Go(func() {
		for i := 0; ; i++ {
			write(t, "log", fmt.Sprint(i))
			select {
			case <-stop:
				return
			case <-time.After(5 * time.Millisecond):
			}
		}
	})
	write(t, "lessons/stopping.md", "new")
	call := <-tr.calls
	close(stop)
	group.Wait()
	if !slices.Contains(call, "lessons/stopping.md") {
		t.Errorf("told of %q", call)
	}
}

// Changes during a call come in one call after it.
func TestChangesDuringACall(t *testing.T) {
	dir := t.TempDir()
	calls, proceed := make(chan []string), make(chan bool)
	w := &Watcher{Roots: []string{dir}, Poll: time.Millisecond}
	ctx, cancel := context.WithCancel(t.Context())
	done := make(chan error)
	go func() {
		done <- w.Run(ctx, func(paths []string) { calls <- paths; <-proceed })
	}()
	var call []string
	for i := 0; call == nil; i++ {
		write(t, filepath.Join(dir, "a"), fmt.Sprint(i))
		select {
		case call = <-calls:
		case <-time.After(100 * time.Millisecond):
		}
	}
	for i := range 20 {
		write(t, filepath.Join(dir, "b", fmt.Sprint(i)), "")
	}
	select {
	case call := <-calls:
		t.Fatalf("a call during a call: %q", call)
	case <-time.After(300 * time.Millisecond):
	}
	proceed <- true
	if call = <-calls; len(call) < 20 {
		t.Errorf("told of %q", call)
	}
	cancel()
	select {
	case <-done:
		t.Error("Run returned during a call")
	case <-time.After(50 * time.Millisecond):
	}
	proceed <- true
	if err := <-done; err != nil {
		t.Error(err)
	}
}

func TestSkip(t *testing.T) {
	tr := begin(t, &Watcher{Skip: func(path string) bool {
		return path == "built" || strings.HasPrefix(filepath.Base(path), ".")
	}})
	write(t, "built/index.html", "")
	write(t, ".git/index", "")
	write(t, "lessons/.swap", "")
	write(t, "lessons/built/x.md", "")
	tr.want("lessons/built/x.md")
	write(t, "built/index.html", "again")
	write(t, "lessons/x.md", "")
	tr.want("lessons/x.md")
}

func TestRoots(t *testing.T) {
	tr := begin(t, &Watcher{Roots: []string{"site.yaml", "lessons", "later", "deep/er"}})
	write(t, "other.md", "")
	write(t, "site.yaml", "new")
	tr.want("site.yaml")
	must(t, os.Remove("site.yaml"))
	tr.want("site.yaml")
	write(t, "site.yaml", "made again")
	tr.want("site.yaml")
	write(t, "later/x.md", "")
	tr.want("later/x.md")
	write(t, "later/x.md", "again")
	tr.want("later/x.md")
	must(t, os.RemoveAll("lessons"))
	tr.want("lessons/stopping.md")
	write(t, "lessons/stopping.md", "made again")
	tr.want("lessons/stopping.md")
	write(t, "deep/er/x.md", "")
	tr.want("deep/er/x.md")
	write(t, "deep/er/x.md", "again")
	tr.want("deep/er/x.md")
}

func TestAbsoluteRoot(t *testing.T) {
	dir := t.TempDir()
	tr := begin(t, &Watcher{Roots: []string{dir + "/"}})
	write(t, filepath.Join(dir, "a", "x.md"), "")
	tr.want(filepath.Join(dir, "a", "x.md"))
}

// Where the limit of the system is reached, looks take over.
func TestWatchLimit(t *testing.T) {
	count := 0
	tr := begin(t, &Watcher{testAdd: func(dir string) error {
		if count++; count > 1 {
			return fmt.Errorf("watching %s: %w", dir, syscall.ENOSPC)
		}
		return nil
	}})
	warning := <-tr.warn
	if !strings.Contains(warning, "more folders than") || !strings.Contains(warning, "every 1s") {
		t.Errorf("warned %q", warning)
	}
	write(t, "lessons/stopping.md", "new")
	tr.want("lessons/stopping.md")
	write(t, "deep/er/x.md", "new")
	tr.want("deep/er/x.md")
	if len(tr.warn) > 0 {
		t.Errorf("warned again: %q", <-tr.warn)
	}
}

// The system loses hints when too many come at once, and says so.
func TestLostHints(t *testing.T) {
	dir := t.TempDir()
	write(t, filepath.Join(dir, "x.md"), "")
	r := &run{Watcher: &Watcher{Roots: []string{dir}}, hints: hints{heard: make(map[string]hint), wake: make(chan struct{}, 1)}}
	r.files, r.dirs, r.ready = map[string]os.FileInfo{}, map[string]os.FileInfo{}, map[string]bool{}
	calls := make(chan []string, 1)
	r.changed = func(paths []string) { calls <- paths }
	r.start()
	defer r.stop()
	r.system.Errors <- errors.New("queue or buffer overflow")
	<-r.hints.wake
	now := time.Now()
	for range 3 {
		r.step(now)
		now = now.Add(defaultQuiet)
	}
	r.step(now)
	if diff := cmp.Diff([]string{filepath.Join(dir, "x.md")}, <-calls); diff != "" {
		t.Error(diff)
	}
}

func openFiles(t *testing.T) int {
	entries, err := os.ReadDir("/proc/self/fd")
	if err != nil {
		return 0 // not Linux: goroutines are counted all the same
	}
	return len(entries)
}

func TestThousandsOfSavesLeaveNothingOpen(t *testing.T) {
	tr := begin(t, &Watcher{Quiet: time.Millisecond})
	files, routines := openFiles(t), runtime.NumGoroutine()
	for i := range 2000 {
		write(t, "lessons/new.tmp", fmt.Sprint("version ", i))
		must(t, os.Rename("lessons/new.tmp", "lessons/stopping.md"))
	}
	write(t, "last", "")
	for call := range tr.calls {
		if slices.Contains(call, "last") {
			break
		}
	}
	if n := openFiles(t); n > files {
		t.Errorf("%d files are open, %d were", n, files)
	}
	if n := runtime.NumGoroutine(); n > routines+1 {
		t.Errorf("%d goroutines run, %d did", n, routines)
	}
	tr.stop()
	if n := openFiles(t); n >= files && files > 0 {
		t.Errorf("%d files are open after the end, %d were during it", n, files)
	}
}
