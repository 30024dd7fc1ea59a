//go:build linux || darwin

package publish

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// The test binary runs itself as a builder that can be killed, or that has less disk or fewer rights than it needs.
// What it is to do is in childTask.
const (
	childTask = "PUBLISH_TEST_TASK"
	childDir  = "PUBLISH_TEST_DIR"
	kills     = "PUBLISH_TEST_KILLS" // how many moments to kill at, 40 unless set
)

func TestMain(m *testing.M) {
	task, dir := os.Getenv(childTask), os.Getenv(childDir)
	switch {
	case task == "":
		os.Exit(m.Run())
	case task == "forever":
		publishForever(dir)
	case strings.HasPrefix(task, "limit "):
		publishWithin(dir, strings.TrimPrefix(task, "limit "))
	case task == "first":
		report(publish(dir, Options{}, first))
	case task == "new":
		report(publish(dir, Options{}, with(first, "index.html", "new", "lessons/stopping.html", "", "lessons/new.html", "new")))
	}
}

// report prints what came of a publication, as a child does.
func report(_ *Report, err error) {
	fmt.Println(err)
	os.Exit(0)
}

// edition returns one of the sites that the builder which is killed makes: each has some files of its own, some that
// differ and some that do not.
func edition(n int) map[string]string {
	files := map[string]string{"index.html": fmt.Sprint("edition ", n)}
	for i := range 30 {
		files[fmt.Sprintf("lessons/%d/index.html", i)] = fmt.Sprint("edition ", n/2)
		files[fmt.Sprintf("lessons/%d-%d/index.html", n, i)] = "own"
		files[fmt.Sprintf("assets/%d.css", i)] = "same"
	}
	return files
}

const editions = 5

func publishForever(dir string) {
	for n := 0; ; n = (n + 1) % editions {
		if _, err := publish(dir, Options{KeepForeign: true}, edition(n)); err != nil {
			fmt.Println(err)
			os.Exit(1)
		}
		fmt.Println("published")
	}
}

// child prepares the test binary to run as a builder.
func child(task, dir string) *exec.Cmd {
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), childTask+"="+task, childDir+"="+dir)
	return cmd
}

// However often a builder is killed, and whenever, the folder holds one whole edition, and the next run works. The seed
// is fixed; the moments still differ a little from run to run, as the machine is not.
func TestKilledAtAnyMoment(t *testing.T) {
	count := killCount(t)
	random := rand.New(rand.NewPCG(1, 2))
	dir := filepath.Join(t.TempDir(), "built")
	mustPublish(t, dir, edition(0))
	write(t, filepath.Join(dir, "CNAME"), "ferndale.example")
	interrupted := 0
	for range count {
		killOnce(t, dir, time.Duration(random.Int64N(int64(30*time.Millisecond))), random.IntN(3))
		checkEdition(t, dir, "CNAME", "ferndale.example")
		e, err := Open(dir, Options{KeepForeign: true})
		if err != nil {
			t.Fatal(err)
		}
		if e.Interrupted != nil {
			interrupted++
		}
		e.Close()
		checkEdition(t, dir, "CNAME", "ferndale.example")
		if t.Failed() {
			t.FailNow()
		}
	}
	if interrupted < count/4 {
		t.Errorf("only %d of %d kills came in the middle", interrupted, count)
	}
	if _, err := publish(dir, Options{KeepForeign: true}, first); err != nil {
		t.Fatal(err)
	}
	check(t, dir, with(first, "CNAME", "ferndale.example"))
}

func killCount(t *testing.T) int {
	t.Helper()
	s := os.Getenv(kills)
	if s == "" {
		return 40
	}
	count, err := strconv.Atoi(s)
	if err != nil {
		t.Fatal(err)
	}
	return count
}

// A first publication that is killed leaves no folder or a whole one, and the next run works.
func TestKilledBeforeThereIsASite(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	start := time.Now()
	killOnce(t, filepath.Join(t.TempDir(), "built"), 0, 1)
	took, halfway := time.Since(start), 0 // a first publication, on this machine
	count := killCount(t)
	for n := 0; n < count || halfway == 0 && n < 20*count; n++ {
		dir := filepath.Join(t.TempDir(), "built")
		killOnce(t, dir, time.Duration(random.Int64N(int64(took))), 0)
		switch p := makePlace(dir, dir); {
		case exists(dir):
			checkEdition(t, dir)
		case exists(p.spare):
			halfway++
		}
		mustPublish(t, dir, first)
		check(t, dir, first)
	}
	if t.Logf("%d kills came while the first tree was made", halfway); halfway == 0 {
		t.Error("none did")
	}
}

// killOnce starts a builder and kills it some time after it has published a number of times.
func killOnce(t *testing.T, dir string, after time.Duration, published int) {
	t.Helper()
	cmd := child("forever", dir)
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	lines := bufio.NewScanner(out)
	for range published {
		if !lines.Scan() || lines.Text() != "published" {
			t.Errorf("the builder said %q", lines.Text())
			break
		}
	}
	timer := time.AfterFunc(after, func() { cmd.Process.Kill() })
	defer timer.Stop()
	io.Copy(io.Discard, out)
	if err := cmd.Wait(); cmd.ProcessState.Sys().(syscall.WaitStatus).Signal() != syscall.SIGKILL {
		t.Errorf("the builder ended by itself: %v", err)
	}
}

// checkEdition checks that dir holds one whole edition and the files that are not of the builder.
func checkEdition(t *testing.T, dir string, foreign ...string) {
	t.Helper()
	got := contents(t, dir)
	var n int
	if _, err := fmt.Sscanf(got["index.html"], "edition %d", &n); err != nil {
		t.Fatalf("index.html holds %q", got["index.html"])
	}
	check(t, dir, with(edition(n), foreign...))
}

// publishWithin publishes while no file may be larger than limit bytes, which is what a full disk is like to a program.
func publishWithin(dir, limit string) {
	n, err := strconv.ParseUint(limit, 10, 63)
	if err != nil {
		panic(err)
	}
	signal.Ignore(syscall.SIGXFSZ)
	if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &syscall.Rlimit{Cur: n, Max: n}); err != nil {
		panic(err)
	}
	report(publish(dir, Options{}, with(first, "index.html", strings.Repeat("new ", 1000), "z.html", strings.Repeat("z", 2*inMemory))))
}

func TestDiskFull(t *testing.T) {
	for name, limit := range map[string]string{
		"the lock":     "10",
		"the manifest": "300",
		"a page":       "2000",
		"a large page": "300000",
	} {
		t.Run(name, func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), "built")
			mustPublish(t, dir, first)
			out, err := child("limit "+limit, dir).Output()
			if err != nil || !strings.Contains(string(out), syscall.EFBIG.Error()) {
				t.Errorf("output %q, error %v", out, err)
			}
			check(t, dir, first)
			if left, _ := os.ReadDir(makePlace(dir, dir).parts); len(left) > 0 {
				t.Errorf("%d files take up the full disk", len(left))
			}
			mustPublish(t, dir, with(first, "index.html", "new"))
			check(t, dir, with(first, "index.html", "new"))
		})
	}
}

// A user who may not write a file, or into a folder, of the site may still replace it if the site is theirs; if it is
// not, it stays as it is.
func TestReadOnly(t *testing.T) {
	for _, test := range []struct {
		name  string
		path  string
		mode  os.FileMode
		works bool
	}{
		{"file", "index.html", 0o444, true},
		{"folder of pages", "lessons", 0o555, true},
		{"whole site", ".", 0o555, false},
		{"folder around it", "..", 0o555, false},
	} {
		t.Run(test.name, func(t *testing.T) {
			dir := ownedByNobody(t)
			for _, task := range []string{"first", "new", "first"} {
				if out := asNobody(t, task, dir); out != "<nil>" {
					t.Fatal(out)
				}
			}
			before := contents(t, dir)
			if err := os.Chmod(filepath.Join(dir, test.path), test.mode); err != nil {
				t.Fatal(err)
			}
			out := asNobody(t, "new", dir)
			os.Chmod(filepath.Dir(dir), 0o755)
			if works := out == "<nil>"; works != test.works {
				t.Errorf("the builder said %q", out)
			}
			if test.works {
				before = with(first, "index.html", "new", "lessons/stopping.html", "", "lessons/new.html", "new")
			}
			if diff := cmp.Diff(before, contents(t, dir)); diff != "" {
				t.Error(diff)
			}
		})
	}
}

const nobody = 65534

// ownedByNobody returns the name of a site in a folder of the user that asNobody runs as.
func ownedByNobody(t *testing.T) string {
	dir := t.TempDir()
	for d := dir; d != os.TempDir() && len(d) > 1; d = filepath.Dir(d) {
		os.Chmod(d, 0o755)
	}
	if os.Getuid() == 0 {
		if err := os.Chown(dir, nobody, nobody); err != nil {
			t.Fatal(err)
		}
	}
	return filepath.Join(dir, "built")
}

// asNobody runs a task without the rights of the superuser.
func asNobody(t *testing.T, task, dir string) string {
	t.Helper()
	cmd := child(task, dir)
	if os.Getuid() == 0 {
		binary := filepath.Join(filepath.Dir(dir), "builder")
		if !exists(binary) {
			if err := copyFile(os.Args[0], binary); err != nil {
				t.Fatal(err)
			}
			os.Chmod(binary, 0o755)
		}
		cmd.Path = binary
		cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: nobody, Gid: nobody}}
	}
	cmd.Dir = "/"
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	return strings.TrimSpace(string(out))
}

// One process after the other gets the lock; each publication is whole.
func TestManyProcesses(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "built")
	mustPublish(t, dir, first)
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	results := make(chan string)
	const processes = 6
	for range processes {
		go func() {
			out, err := child("new", dir).Output()
			select {
			case results <- fmt.Sprint(strings.TrimSpace(string(out)), " ", err):
			case <-ctx.Done():
			}
		}()
	}
	published := 0
	for range processes {
		switch out := <-results; {
		case out == "<nil> <nil>":
			published++
		case !strings.Contains(out, "this folder is being built by "):
			t.Error(out)
		}
	}
	if published == 0 {
		t.Error("none got the lock")
	}
	check(t, dir, with(first, "index.html", "new", "lessons/stopping.html", "", "lessons/new.html", "new"))
}
