package publish

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"example.org/gripleaf/cmd/internal/fault"
)

// publish publishes files into dir.
func publish(dir string, o Options, files map[string]string) (*Report, error) {
	e, err := Open(dir, o)
	if err != nil {
		return nil, err
	}
	defer e.Close()
	for p, text := range files {
		if _, err := e.Add(p, []byte(text)); err != nil {
			return nil, err
		}
	}
	return e.Commit(context.Background())
}

func mustPublish(t *testing.T, dir string, files map[string]string) *Report {
	t.Helper()
	r, err := publish(dir, Options{}, files)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// begun opens an edition that has a new index.html so far. It must be closed.
func begun(t *testing.T, dir string) *Edition {
	t.Helper()
	e, err := Open(dir, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := e.Add("index.html", []byte("new")); err != nil {
		t.Fatal(err)
	}
	return e
}

// contents returns the files of a folder but the manifest, and links as "-> to".
func contents(t *testing.T, dir string) map[string]string {
	t.Helper()
	files := make(map[string]string)
	err := filepath.WalkDir(dir, func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		rel, _ := filepath.Rel(dir, name)
		rel = filepath.ToSlash(rel)
		if d.Type()&fs.ModeSymlink != 0 {
			to, err := os.Readlink(name)
			files[rel] = "-> " + to
			return err
		}
		text, err := os.ReadFile(name)
		if rel != ManifestName {
			files[rel] = string(text)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}

// check checks that dir holds these files and a manifest that agrees.
func check(t *testing.T, dir string, want map[string]string) {
	t.Helper()
	got := contents(t, dir)
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("%s (-want +got):\n%s", dir, diff)
	}
	checkManifest(t, dir, got)
}

func checkManifest(t *testing.T, dir string, files map[string]string) {
	t.Helper()
	file, err := os.Open(filepath.Join(dir, ManifestName))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	m, err := ReadManifest(file)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range m {
		text, ok := files[e.Path]
		if !ok || int64(len(text)) != e.Size || sha256.Sum256([]byte(text)) != e.SHA256 {
			t.Errorf("%s is not what the manifest says", e.Path)
		}
	}
}

// stamps returns the stamps of all files of a folder.
func stamps(t *testing.T, dir string) map[string]stamp {
	t.Helper()
	root := newTree()
	root.addDir(".")
	found, err := survey(dir, root)
	if err != nil {
		t.Fatal(err)
	}
	return found.files
}

func write(t *testing.T, name, text string) {
	t.Helper()
	if err := errors.Join(os.MkdirAll(filepath.Dir(name), 0o755), os.WriteFile(name, []byte(text), 0o644)); err != nil {
		t.Fatal(err)
	}
}

var first = map[string]string{
	"index.html":              "<p>Braking</p>",
	"lessons/stopping.html":   "<p>17.7 m</p>",
	"lessons/slip/index.html": "<p>slip</p>",
	"assets/style.a1.css":     "p{}",
}

// with returns files with some replaced; "" removes one.
func with(files map[string]string, changes ...string) map[string]string {
	files = maps.Clone(files)
	for i := 0; i < len(changes); i += 2 {
		if changes[i+1] == "" {
			delete(files, changes[i])
		} else {
			files[changes[i]] = changes[i+1]
		}
	}
	return files
}

// settled publishes first into dir so that its record vouches for nearly all files, as it does for those that were not
// written a moment ago.
func settled(t *testing.T, dir string) {
	t.Helper()
	mustPublish(t, dir, first)
	mustPublish(t, dir, with(first, "other.html", "x"))
	p, ago := makePlace(dir, dir), time.Now().Add(-time.Hour)
	for _, root := range []string{p.dir, p.spare} {
		err := filepath.WalkDir(root, func(name string, _ fs.DirEntry, err error) error {
			return errors.Join(err, os.Chtimes(name, ago, ago))
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	mustPublish(t, dir, with(first, "other.html", "x"))
	mustPublish(t, dir, with(first, "other.html", "y"))
	mustPublish(t, dir, first)
	r := readRecord(p)
	for name := range first {
		if r.tree.files[name] == (stamp{}) || r.spare.files[name] == (stamp{}) {
			t.Fatalf("the record does not vouch for %s", name)
		}
	}
	if dirs := r.spare.dirs; dirs["lessons/slip"] == (stamp{}) || dirs["lessons"] == (stamp{}) {
		t.Fatalf("the record does not vouch for the folders of the spare tree: %v", dirs)
	}
}

func TestPublish(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "a", "built")
	steps := []map[string]string{
		first,
		first,
		with(first, "index.html", "<p>changed</p>"),
		with(first, "lessons/new/index.html", "<p>new</p>"),
		with(first, "lessons/slip/index.html", ""),
		with(first, "lessons/slip/index.html", "", "lessons/slip", "a file where a folder was"),
		first,
		{},
		first,
	}
	before := map[string]string{}
	for i, files := range steps {
		report := mustPublish(t, dir, files)
		check(t, dir, files)
		want := 0
		for p := range with(before, pairs(files)...) {
			if before[p] != files[p] {
				want++
			}
		}
		if len(report.Changes) != want {
			t.Errorf("step %d: %d changes, want %d: %v", i, len(report.Changes), want, report.Changes)
		}
		before = files
	}
}

func pairs(files map[string]string) (pairs []string) {
	for p, text := range files {
		pairs = append(pairs, p, text)
	}
	return pairs
}

func TestUnchangedFilesAreNotTouched(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "built")
	mustPublish(t, dir, first)
	before := stamps(t, dir)
	for range 3 { // the spare tree takes part from the second time on
		mustPublish(t, dir, first)
		if diff := cmp.Diff(before, stamps(t, dir), cmp.AllowUnexported(stamp{})); diff != "" {
			t.Errorf("a build without changes touched files:\n%s", diff)
		}
	}
	for i := range 4 {
		changed := with(first, "index.html", fmt.Sprint("version ", i))
		mustPublish(t, dir, changed)
		check(t, dir, changed)
		after := stamps(t, dir)
		for p := range first {
			if (before[p] == after[p]) == (p == "index.html") {
				t.Errorf("%s: before %v, after %v", p, before[p], after[p])
			}
		}
	}
}

// Where nothing has changed not even a folder is.
func TestNoChangeWritesNothing(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "built")
	mustPublish(t, dir, first)
	before, err := os.Stat(dir)
	if err != nil {
		t.Fatal(err)
	}
	mustPublish(t, dir, first)
	after, err := os.Stat(dir)
	if err != nil {
		t.Fatal(err)
	}
	if !os.SameFile(before, after) || before.ModTime() != after.ModTime() {
		t.Error("the folder is another one")
	}
}

func TestKeep(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "built")
	mustPublish(t, dir, first)
	e, err := Open(dir, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer e.Close()
	for p, text := range first {
		if e.Keep(p, sha256.Sum256([]byte("something else"))) {
			t.Errorf("%s was kept as something else", p)
		}
		if !e.Keep(p, sha256.Sum256([]byte(text))) {
			t.Errorf("%s was not kept", p)
		}
	}
	if e.Keep("missing.html", sha256.Sum256(nil)) {
		t.Error("a missing file was kept")
	}
	report, err := e.Commit(context.Background())
	if err != nil || report.Files != len(first) || len(report.Changes) != 0 {
		t.Errorf("report %+v, error %v", report, err)
	}
	check(t, dir, first)
}

func TestDamageIsRepaired(t *testing.T) {
	for _, test := range []struct {
		name   string
		damage func(dir string) error
	}{
		{"truncated", func(dir string) error { return os.Truncate(filepath.Join(dir, "index.html"), 0) }},
		{"same size", func(dir string) error {
			return os.WriteFile(filepath.Join(dir, "index.html"), []byte("<p>bRAKING</p>"), 0o644)
		}},
		{"removed", func(dir string) error { return os.Remove(filepath.Join(dir, "index.html")) }},
	} {
		for _, next := range []map[string]string{first, with(first, "lessons/new.html", "new")} {
			t.Run(test.name, func(t *testing.T) {
				dir := filepath.Join(t.TempDir(), "built")
				settled(t, dir)
				if err := test.damage(dir); err != nil {
					t.Fatal(err)
				}
				report := mustPublish(t, dir, next)
				check(t, dir, next)
				if diff := cmp.Diff([]string{"index.html"}, report.Damaged); diff != "" {
					t.Error(diff)
				}
			})
		}
	}
}

func TestLostOrDamagedStateIsRepaired(t *testing.T) {
	for name, damage := range map[string]func(p place) error{
		"state removed":  func(p place) error { return os.RemoveAll(p.state) },
		"record removed": func(p place) error { return os.Remove(p.record) },
		"record cut":     func(p place) error { return os.Truncate(p.record, 300) },
		"spare removed":  func(p place) error { return os.RemoveAll(p.spare) },
		"spare half":     func(p place) error { return os.RemoveAll(filepath.Join(p.spare, "lessons")) },
		"spare other":    func(p place) error { return os.WriteFile(filepath.Join(p.spare, "lessons", "x"), nil, 0o644) },
		"spare damaged": func(p place) error {
			return rewrite(filepath.Join(p.spare, "lessons", "stopping.html"), "<p>71.7 m</p>")
		},
		"spare is a file": func(p place) error { return errors.Join(os.RemoveAll(p.spare), os.WriteFile(p.spare, nil, 0o644)) },
		"manifest cut":    func(p place) error { return os.Truncate(filepath.Join(p.dir, ManifestName), 50) },
		"manifest empty":  func(p place) error { return os.Truncate(filepath.Join(p.dir, ManifestName), 0) },
		"manifest gone":   func(p place) error { return os.Remove(filepath.Join(p.dir, ManifestName)) },
		"site removed":    func(p place) error { return os.RemoveAll(p.dir) },
		"site emptied":    func(p place) error { return errors.Join(os.RemoveAll(p.dir), os.Mkdir(p.dir, 0o755)) },
		"leftover parts":  func(p place) error { return os.MkdirAll(filepath.Join(p.parts, "1", "2"), 0o755) },
	} {
		t.Run(name, func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), "built")
			settled(t, dir)
			if err := damage(makePlace(dir, dir)); err != nil {
				t.Fatal(err)
			}
			mustPublish(t, dir, first)
			check(t, dir, first)
			mustPublish(t, dir, with(first, "index.html", "again"))
			check(t, dir, with(first, "index.html", "again"))
		})
	}
}

// rewrite replaces a file by one with other content and the same time.
func rewrite(name, text string) error {
	info, err := os.Stat(name)
	if err != nil {
		return err
	}
	return errors.Join(os.Remove(name), os.WriteFile(name, []byte(text), 0o644), os.Chtimes(name, time.Time{}, info.ModTime()))
}

func TestForeignFilesStopTheBuild(t *testing.T) {
	for name, foreign := range map[string]func(t *testing.T, dir string){
		"file":         func(t *testing.T, dir string) { write(t, filepath.Join(dir, "notes.txt"), "mine") },
		"deep":         func(t *testing.T, dir string) { write(t, filepath.Join(dir, "lessons", "a", "b", "notes.txt"), "mine") },
		"link":         func(t *testing.T, dir string) { os.Symlink("index.html", filepath.Join(dir, "home.html")) },
		"other site":   func(t *testing.T, dir string) { os.RemoveAll(dir); write(t, filepath.Join(dir, "index.html"), "mine") },
		"web manifest": func(t *testing.T, dir string) { write(t, filepath.Join(dir, ManifestName), `{"name":"mine"}`) },
		"file for page": func(t *testing.T, dir string) {
			os.Remove(filepath.Join(dir, "index.html"))
			os.Symlink("/etc", filepath.Join(dir, "index.html"))
		},
		"link for folder": func(t *testing.T, dir string) {
			os.RemoveAll(filepath.Join(dir, "lessons"))
			os.Symlink(t.TempDir(), filepath.Join(dir, "lessons"))
		},
	} {
		t.Run(name, func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), "built")
			settled(t, dir)
			foreign(t, dir)
			before := contents(t, dir)
			_, err := publish(dir, Options{}, with(first, "index.html", "new"))
			var f fault.Fault
			if !errors.As(err, &f) || f.Code != "foreign-files" || f.Hint == "" {
				t.Fatalf("got error %v", err)
			}
			if diff := cmp.Diff(before, contents(t, dir)); diff != "" {
				t.Errorf("the folder was changed:\n%s", diff)
			}
		})
	}
}

// A folder named by mistake stays as it is, and so does the one it is in.
func TestRefusalLeavesNothingBehind(t *testing.T) {
	parent := t.TempDir()
	dir := filepath.Join(parent, "documents")
	write(t, filepath.Join(dir, "letter.txt"), "mine")
	if _, err := publish(dir, Options{}, first); err == nil {
		t.Fatal("it was published")
	}
	if diff := cmp.Diff(map[string]string{"documents/letter.txt": "mine"}, contents(t, parent)); diff != "" {
		t.Error(diff)
	}
}

func TestForeignFilesAreKept(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "built")
	mustPublish(t, dir, first)
	write(t, filepath.Join(dir, "CNAME"), "ferndale.example")
	write(t, filepath.Join(dir, "deep", "er", "notes.txt"), "mine")
	os.Mkdir(filepath.Join(dir, "empty"), 0o755)
	os.Symlink("index.html", filepath.Join(dir, "home.html"))
	foreign := []string{"CNAME", "ferndale.example", "deep/er/notes.txt", "mine", "home.html", "-> index.html"}
	for i := range 4 {
		files := with(first, "index.html", fmt.Sprint(i))
		report, err := publish(dir, Options{KeepForeign: true}, files)
		if err != nil {
			t.Fatal(err)
		}
		check(t, dir, with(files, foreign...))
		if diff := cmp.Diff([]string{"CNAME", "deep/er/notes.txt", "home.html"}, report.Foreign); diff != "" {
			t.Error(diff)
		}
		if _, err := os.Stat(filepath.Join(dir, "empty")); err != nil {
			t.Error(err)
		}
	}
	os.Remove(filepath.Join(dir, "home.html"))
	write(t, filepath.Join(dir, "CNAME"), "new.example")
	foreign = []string{"CNAME", "new.example", "deep/er/notes.txt", "mine"}
	for i := range 3 {
		files := with(first, "index.html", fmt.Sprint("again ", i))
		if _, err := publish(dir, Options{KeepForeign: true}, files); err != nil {
			t.Fatal(err)
		}
		check(t, dir, with(files, foreign...))
	}
}

func TestForeignFilesAreNeverOverwritten(t *testing.T) {
	for name, foreign := range map[string]string{
		"at the page":         "lessons/new.html",
		"above the page":      "lessons",
		"below the page":      "lessons/new.html/notes.txt",
		"changed and removed": "lessons/stopping.html",
	} {
		t.Run(name, func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), "built")
			old := map[string]string{"index.html": "index"}
			if name == "changed and removed" {
				old["lessons/stopping.html"] = "old"
			}
			mustPublish(t, dir, old)
			write(t, filepath.Join(dir, foreign), "mine")
			_, err := publish(dir, Options{KeepForeign: name != "changed and removed"}, map[string]string{"lessons/new.html": "new"})
			var f fault.Fault
			if !errors.As(err, &f) || f.Code != "foreign-files" {
				t.Errorf("got error %v", err)
			}
			if got := contents(t, dir)[foreign]; got != "mine" {
				t.Errorf("the file holds %q", got)
			}
		})
	}
}

func TestDroppingsOfFileManagersDoNotMatter(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "built")
	mustPublish(t, dir, first)
	write(t, filepath.Join(dir, "lessons", ".DS_Store"), "x")
	for i := range 3 {
		files := with(first, "index.html", fmt.Sprint(i))
		mustPublish(t, dir, files)
		check(t, dir, with(files, "lessons/.DS_Store", "x"))
	}
}

// A file that somebody puts into the folder between the look at it and the switch is in the new site, too.
func TestFileOfTheLastMomentIsRescued(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "built")
	settled(t, dir)
	e := begun(t, dir)
	defer e.Close()
	write(t, filepath.Join(dir, "late.txt"), "mine")
	write(t, filepath.Join(dir, "late", "late.txt"), "mine")
	if _, err := e.Commit(context.Background()); err != nil {
		t.Fatal(err)
	}
	check(t, dir, map[string]string{"index.html": "new", "late.txt": "mine", "late/late.txt": "mine"})
}

// failures are ways in which an edition fails that has an index.html.
var failures = map[string]func(e *Edition){
	"write": func(e *Edition) {
		e.Create("last.html", func(w io.Writer) error { io.WriteString(w, "half"); return errors.New("no such term") })
	},
	"large write": func(e *Edition) {
		e.Create("last.html", func(w io.Writer) error {
			w.Write(make([]byte, 2*inMemory))
			return errors.New("no such term")
		})
	},
	"twice":        func(e *Edition) { e.Add("index.html", nil) },
	"case":         func(e *Edition) { e.Add("Index.html", nil) },
	"escape":       func(e *Edition) { e.Add("../index.html", nil) },
	"absolute":     func(e *Edition) { e.Add("/index.html", nil) },
	"the manifest": func(e *Edition) { e.Add(ManifestName, nil) },
	"below a page": func(e *Edition) { e.Add("index.html/x", nil) },
	"a page above": func(e *Edition) { e.Add("a/x", nil); e.Add("a", nil) },
}

// fail makes an edition that fails.
func fail(t *testing.T, dir string, fails func(e *Edition)) {
	t.Helper()
	e := begun(t, dir)
	defer e.Close()
	fails(e)
	if _, err := e.Commit(context.Background()); err == nil {
		t.Error("it was published")
	}
}

func TestFailedFirstEditionLeavesNothing(t *testing.T) {
	for name, fails := range failures {
		t.Run(name, func(t *testing.T) {
			parent := t.TempDir()
			dir := filepath.Join(parent, "built")
			fail(t, dir, fails)
			if left, err := os.ReadDir(parent); err != nil || len(left) > 0 {
				t.Errorf("it left %v, error %v", left, err)
			}
			mustPublish(t, dir, first)
			check(t, dir, first)
		})
	}
}

func TestFailedOutputLeavesTheOldSite(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "built")
	mustPublish(t, dir, first)
	for name, fails := range failures {
		t.Run(name, func(t *testing.T) {
			fail(t, dir, fails)
			check(t, dir, first)
		})
	}
	t.Run("cancelled", func(t *testing.T) {
		e, err := Open(dir, Options{})
		if err != nil {
			t.Fatal(err)
		}
		defer e.Close()
		ctx, cancel := context.WithCancel(context.Background())
		cancel()
		if _, err := e.Commit(ctx); !errors.Is(err, context.Canceled) {
			t.Errorf("got error %v", err)
		}
		check(t, dir, first)
	})
	mustPublish(t, dir, with(first, "index.html", "new"))
	check(t, dir, with(first, "index.html", "new"))
}

func TestManyGoroutines(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "built")
	for round := range 3 {
		e, err := Open(dir, Options{})
		if err != nil {
			t.Fatal(err)
		}
		want := make(map[string]string)
		var mu sync.Mutex
		var group sync.WaitGroup
		for worker := range 8 {
			group.Go(func() {
				for i := range 50 {
					p, text := fmt.Sprintf("lessons/%d-%d/index.html", worker, i), strings.Repeat("x", i)
					if i%10 == 0 {
						text = fmt.Sprint(round) + strings.Repeat("x", inMemory)
					}
					err := e.Create(p, func(w io.Writer) error { _, err := io.WriteString(w, text); return err })
					if err != nil {
						t.Error(err)
					}
					mu.Lock()
					want[p] = text
					mu.Unlock()
				}
			})
		}
		group.Wait()
		if _, err := e.Commit(context.Background()); err != nil {
			t.Fatal(err)
		}
		e.Close()
		check(t, dir, want)
	}
}

func TestTwoAtOnce(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "built")
	e, err := Open(dir, Options{Command: "gripleaf preview"})
	if err != nil {
		t.Fatal(err)
	}
	_, err = Open(dir, Options{})
	var f fault.Fault
	if !errors.As(err, &f) || f.Code != "folder-locked" {
		t.Fatalf("got error %v", err)
	}
	if want := fmt.Sprintf("gripleaf preview (process %d, since ", os.Getpid()); !strings.Contains(f.Text, want) {
		t.Errorf("%q does not name the holder: %q", f.Text, want)
	}
	e.Close()
	if e, err = Open(dir, Options{}); err != nil {
		t.Fatal(err)
	}
	if e.Interrupted != nil {
		t.Errorf("the holder before was not interrupted: %v", e.Interrupted)
	}
	e.Close()
}

// Whoever has the lock without a name is about to sign or to let go: then there is a name to tell, or the lock to have.
func TestNamelessHolder(t *testing.T) {
	p := makePlace("built", filepath.Join(t.TempDir(), "built"))
	take := func() *lock {
		file, err := openLock(p)
		if err == nil {
			err = tryLock(file)
		}
		if err != nil {
			t.Fatal(err)
		}
		return &lock{file}
	}
	after := func(do func() error) chan error {
		done := make(chan error, 1)
		time.AfterFunc(5*askAgain, func() { done <- do() })
		return done
	}

	holder := take()
	signed := after(func() error { return holder.sign("gripleaf preview") })
	if _, _, err := acquire(p, "gripleaf build"); err == nil || !strings.Contains(err.Error(), "gripleaf preview (process") {
		t.Errorf("got error %v", err)
	}
	if err := errors.Join(<-signed, holder.release()); err != nil {
		t.Fatal(err)
	}

	holder = take()
	released := after(holder.release)
	l, _, err := acquire(p, "gripleaf build")
	if err := errors.Join(err, <-released, l.release()); err != nil {
		t.Error(err)
	}

	holder = take()
	defer holder.release()
	if _, _, err := acquire(p, "gripleaf build"); err == nil || !strings.Contains(err.Error(), "another run") {
		t.Errorf("got error %v", err)
	}
}

func TestRefusedFolders(t *testing.T) {
	course := t.TempDir()
	home := filepath.Join(course, "users", "ann")
	lessons := filepath.Join(course, "course", "lessons")
	elsewhere := filepath.Join(course, "elsewhere")
	for _, dir := range []string{home, lessons, elsewhere} {
		if err := os.MkdirAll(dir, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	t.Setenv("HOME", home)
	t.Chdir(filepath.Join(course, "course"))
	write(t, "file", "")
	os.Symlink(elsewhere, "link")
	os.Symlink(filepath.Join(course, "course"), filepath.Join(elsewhere, "same"))
	o := Options{Sources: []string{".", "lessons"}}
	for _, dir := range []string{
		"/", ".", "..", "lessons", lessons, filepath.Join(lessons, "..", "lessons"), "file", "link",
		home, filepath.Dir(home), filepath.Join(elsewhere, "same", "lessons"), filepath.Join(elsewhere, "same"),
	} {
		_, err := Open(dir, o)
		var f fault.Fault
		if !errors.As(err, &f) || f.Code != "folder-refused" || f.File != dir || f.Hint == "" {
			t.Errorf("%s: got error %v", dir, err)
		}
	}
	for _, dir := range []string{"built", filepath.Join("lessons", "built"), filepath.Join(home, "built")} {
		if _, err := publish(dir, o, first); err != nil {
			t.Errorf("%s: %v", dir, err)
		}
	}
	entries, _ := os.ReadDir(course)
	var names []string
	for _, entry := range entries {
		names = append(names, entry.Name())
	}
	if diff := cmp.Diff([]string{"course", "elsewhere", "users"}, names); diff != "" {
		t.Errorf("refusing left something behind:\n%s", diff)
	}
}

// Without an exchange of folders a switch has steps; whichever it stops after, the next run comes to a whole site.
func TestRecoveryOfASwitchInSteps(t *testing.T) {
	next := with(first, "index.html", "new", "lessons/stopping.html", "")
	for steps := range 4 {
		t.Run(fmt.Sprint(steps), func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), "built")
			other := filepath.Join(t.TempDir(), "built")
			mustPublish(t, dir, first)
			mustPublish(t, other, next)
			p := makePlace(dir, dir)
			moves := [][2]string{{p.dir, p.aside}, {p.spare, p.dir}, {p.aside, p.spare}}
			err := errors.Join(os.WriteFile(p.marker, nil, 0o644), os.RemoveAll(p.spare), os.Rename(other, p.spare))
			for _, move := range moves[:steps] {
				err = errors.Join(err, os.Rename(move[0], move[1]))
			}
			if err != nil {
				t.Fatal(err)
			}
			e, err := Open(dir, Options{})
			if err != nil {
				t.Fatal(err)
			}
			e.Close()
			check(t, dir, []map[string]string{first, next, next, next}[steps])
			for _, files := range []map[string]string{next, first, next} {
				mustPublish(t, dir, files)
				check(t, dir, files)
			}
		})
	}
}

func TestSwapInSteps(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "built")
	mustPublish(t, dir, first)
	mustPublish(t, dir, with(first, "index.html", "new"))
	p := makePlace(dir, dir)
	before := contents(t, p.spare)
	if err := p.swapInSteps(); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(before, contents(t, dir)); diff != "" {
		t.Error(diff)
	}
	check(t, p.spare, with(first, "index.html", "new"))
}

// A file that was put into the old site right before a switch that was then interrupted is brought back by the next
// run.
func TestRecoveryRescuesFiles(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "built")
	mustPublish(t, dir, first)
	mustPublish(t, dir, with(first, "index.html", "new"))
	p := makePlace(dir, dir)
	write(t, filepath.Join(p.spare, "late", "late.txt"), "mine")
	write(t, p.marker, "")
	e, err := Open(dir, Options{KeepForeign: true})
	if err != nil {
		t.Fatal(err)
	}
	e.Close()
	check(t, dir, with(first, "index.html", "new", "late/late.txt", "mine"))
}

func TestCopiesWhereThereAreNoLinks(t *testing.T) {
	dir := t.TempDir()
	from, to := filepath.Join(dir, "from"), filepath.Join(dir, "to")
	write(t, from, "text")
	long := time.Now().Add(-time.Hour).Truncate(time.Second)
	if err := os.Chtimes(from, long, long); err != nil {
		t.Fatal(err)
	}
	if err := copyFile(from, to); err != nil {
		t.Fatal(err)
	}
	info, err := os.Stat(to)
	if err != nil || !info.ModTime().Equal(long) {
		t.Errorf("got %v, error %v", info, err)
	}
	if got, _ := os.ReadFile(to); string(got) != "text" {
		t.Errorf("got %q", got)
	}
}

func TestModeOfTheFolderStays(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "built")
	mustPublish(t, dir, first)
	if err := os.Chmod(dir, 0o700); err != nil {
		t.Fatal(err)
	}
	for i := range 3 {
		mustPublish(t, dir, with(first, "index.html", fmt.Sprint(i)))
		if info, err := os.Stat(dir); err != nil || info.Mode().Perm() != 0o700 {
			t.Fatalf("mode %v, error %v", info.Mode(), err)
		}
	}
}

func TestRecordSurvivesWriting(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "built")
	mustPublish(t, dir, first)
	write(t, filepath.Join(dir, "line\nbreak \"quoted\".txt"), "mine")
	for i := range 3 {
		files := with(first, "index.html", fmt.Sprint(i))
		if _, err := publish(dir, Options{KeepForeign: true}, files); err != nil {
			t.Fatal(err)
		}
	}
	r := readRecord(makePlace(dir, dir))
	if len(r.manifest) != len(first) || len(r.tree.files) != len(first)+2 || len(r.spare.dirs) == 0 || len(r.spare.files) != len(first)-1 {
		t.Errorf("got %+v", r)
	}
	if !slices.IsSortedFunc(r.manifest, compare) {
		t.Error("the manifest of the record is not sorted")
	}
}

func FuzzParseRecord(f *testing.F) {
	f.Add([]byte(recordHead + "\nfile 00 1 2 3 \"a\"\nend\n"))
	f.Add([]byte(recordHead + "\ndir - 1 0 3 \".\"\nspare - 1 0 3 \"a\"\nkept - 1 2 3 \"b\"\nlink - 0 0 0 \"c\"\nend\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		r, err := parseRecord(text)
		if err != nil {
			return
		}
		p := place{record: filepath.Join(t.TempDir(), "record")}
		if err := r.write(p, r.manifest.byPath(), time.Unix(0, math.MaxInt64)); err != nil {
			t.Fatal(err)
		}
		again := readRecord(p)
		opts := cmp.Options{cmp.AllowUnexported(stamp{}), cmpopts.EquateEmpty()}
		for _, diff := range []string{cmp.Diff(r.tree.dirs, again.tree.dirs, opts), cmp.Diff(r.spare.dirs, again.spare.dirs, opts)} {
			if diff != "" {
				t.Error(diff)
			}
		}
	})
}
