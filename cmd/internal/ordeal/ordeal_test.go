// Package ordeal puts the whole program, as it is shipped, through what must not hurt it: kills and full disks, content
// and addresses made to break it, authors who are not trusted. Every test runs the built command from outside.
//
// The tests are short by default; their flags make them long, as DEVELOPERS.md lists:
//
//	go test ./cmd/internal/ordeal -run Killed -kills 200
package ordeal_test

import (
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime/debug"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"
)

// scratch is removed when all tests are over.
var scratch string

func TestMain(m *testing.M) {
	var err error
	if scratch, err = os.MkdirTemp("", "gripleaf-ordeal-"); err != nil {
		panic(err)
	}
	code := m.Run()
	closeBrowser()
	os.RemoveAll(scratch)
	os.Exit(code)
}

// program is the command, built once; with the race detector if the tests have it. Its cache is the tests' own, so that
// nothing is left in the user's.
var program = sync.OnceValues(func() (string, error) {
	name := filepath.Join(scratch, "gripleaf")
	build := exec.Command("go", "build", "-o", name, "example.org/gripleaf/cmd/gripleaf")
	if info, ok := debug.ReadBuildInfo(); ok && slices.Contains(info.Settings, debug.BuildSetting{Key: "-race", Value: "true"}) {
		build.Args = slices.Insert(build.Args, 2, "-race")
	}
	out, err := build.CombinedOutput()
	if err != nil {
		err = fmt.Errorf("%w\n%s", err, out)
	}
	return name, err
})

// environment is that of the command: a cache of its own, and that of the go command as it was.
var environment = sync.OnceValue(func() []string {
	gocache, _ := exec.Command("go", "env", "GOCACHE").Output()
	return append(os.Environ(), "XDG_CACHE_HOME="+filepath.Join(scratch, "cache"), "GOCACHE="+strings.TrimSpace(string(gocache)))
})

// patience is how long a run may take on a machine that does other things as well. What hangs, hangs longer.
const patience = 2 * time.Minute

// outcome is what came of one run of the command.
type outcome struct {
	code     int // -1 if it was killed
	out, err string
	took     time.Duration
	memory   int64 // the most that it held, in bytes
}

// command prepares a run in a folder.
func command(t testing.TB, folder string, arguments ...string) *exec.Cmd {
	t.Helper()
	name, err := program()
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	t.Cleanup(cancel)
	cmd := exec.CommandContext(ctx, name, arguments...)
	cmd.Dir, cmd.Env, cmd.WaitDelay = folder, environment(), time.Second
	return cmd
}

// run runs the command to its end.
func run(t testing.TB, folder string, arguments ...string) outcome {
	t.Helper()
	return wait(t, command(t, folder, arguments...))
}

func wait(t testing.TB, cmd *exec.Cmd) outcome {
	t.Helper()
	var stdout, stderr bytes.Buffer
	cmd.Stdout, cmd.Stderr = &stdout, &stderr
	start := time.Now()
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	over, memory := make(chan struct{}), make(chan int64)
	go watchMemory(cmd.Process.Pid, over, memory)
	err := cmd.Wait()
	close(over)
	o := outcome{cmd.ProcessState.ExitCode(), stdout.String(), stderr.String(), time.Since(start), <-memory}
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) {
		t.Fatal(err)
	}
	if o.took >= patience {
		t.Fatalf("%q still ran after %v", cmd.Args[1:], patience)
	}
	if strings.Contains(o.err, "goroutine ") {
		t.Fatalf("%q: panic\n%s", cmd.Args[1:], o.err)
	}
	return o
}

var highWater = regexp.MustCompile(`VmHWM:\s+(\d+) kB`)

// watchMemory sends the most memory that a process was seen to hold, as Linux tells it. What the system says when a
// process has ended counts its parent's memory in.
func watchMemory(pid int, over chan struct{}, memory chan int64) {
	var most int64
	for {
		status, _ := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
		if m := highWater.FindSubmatch(status); m != nil {
			kilobytes, _ := strconv.ParseInt(string(m[1]), 10, 64)
			most = max(most, kilobytes*1024)
		}
		select {
		case <-over:
			memory <- most
			return
		case <-time.After(20 * time.Millisecond):
		}
	}
}

// mustRun runs what has to work.
func mustRun(t testing.TB, folder string, arguments ...string) outcome {
	t.Helper()
	o := run(t, folder, arguments...)
	if o.code != 0 {
		t.Fatalf("%q: exit code %d\n%s%s", arguments, o.code, o.out, o.err)
	}
	return o
}

// files are the files of a test site by name.
type files map[string]string

// plain is the smallest site that has all that pages are made of.
func plain() files {
	return files{
		"site.yaml":    "title: Ferndale\nlanguages: [en]\nlessons: [stop, slip]\n",
		"sources.yaml": "yard:\n  title: Notes from the yard\n  by: Ferndale Riding School\n  year: 2026\n",
		"en/stop.md": "---\ntitle: How a stop is made\n---\n\nFrom 60 km/h at 0.8 it is [34.4 m](calc:stop?speed=60km/h&grip=0.8#stopping-distance) ([yard](source:yard)).\n\n" +
			"![From 60 km/h](calc:stop?speed=60km/h&grip=0.8)\n\n## [Loose ground](moment:#loose)\n\nSee [slip](slip.md).\n",
		"en/slip.md":       "---\ntitle: Grip and slip\n---\n\nBack to [loose ground](stop.md#loose).\n\n![Slip](calc:slip#curve)\n",
		"en/glossary.yaml": "grip:\n  term: grip\n  means: What holds the tyre.\n",
	}
}

// with is a copy with some files changed; empty ones are left out.
func (f files) with(changes files) files {
	all := files{}
	for _, set := range []files{f, changes} {
		for name, text := range set {
			all[name] = text
			if text == "" {
				delete(all, name)
			}
		}
	}
	return all
}

// write writes a site into a folder.
func (f files) write(t testing.TB, folder string) {
	t.Helper()
	for name, text := range f {
		put(t, filepath.Join(folder, name), text)
	}
}

// put writes a file as an editor does, and the folders above it.
func put(t testing.TB, name, text string) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(name), 0o777); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
}

// site writes a site into a new folder, beside which it can be built.
func (f files) site(t testing.TB) (folder, site string) {
	t.Helper()
	folder = t.TempDir()
	site = filepath.Join(folder, "site")
	f.write(t, site)
	return folder, site
}

// state is what a folder holds: a hash of every file by name.
func state(t testing.TB, folder string) map[string]string {
	t.Helper()
	all := map[string]string{}
	err := filepath.WalkDir(folder, func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		text, err := os.ReadFile(name)
		relative, _ := filepath.Rel(folder, name)
		all[relative] = fmt.Sprintf("%x", sha256.Sum256(text))
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}
