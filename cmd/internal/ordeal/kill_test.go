//go:build unix

package ordeal_test

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// A chore is a command that writes files of its own beside the site, or into it.
type chore struct {
	name      string
	arguments []string // run in the folder of the site
	out       string   // what it writes, from there
	once      bool     // does not write again what is there
	slow      bool     // is not tried in the usual run
	loose     []string // endings of files whose bytes are others each time
}

var chores = []chore{
	{name: "begin", arguments: []string{"begin", "course"}, out: "course", once: true},
	{name: "begin from notes", arguments: []string{"begin", "--from", "site/en", "course"}, out: "course", once: true},
	{name: "prove", arguments: []string{"prove", "site"}, out: "site/ledger.json"},
	{name: "cue", arguments: []string{"cue", "stop", "--site", "site", "--out", "out"}, out: "out"},
	{name: "still", arguments: []string{"still", "stop", "--site", "site", "--out", "out"}, out: "out"},
	{name: "film", arguments: []string{"still", "stop", "--site", "site", "--out", "out", "--sweep", "speed=30..40:10km/h"}, out: "out", once: true, slow: true},
	{name: "pack", arguments: []string{"pack", "--zip", "--epub", "--lms", "--plan", "--site", "site", "--out", "out"}, out: "out", loose: []string{".pdf"}, slow: true},
	{name: "print", arguments: []string{"pack", "--handout", "stop", "--site", "site", "--out", "out"}, out: "out", loose: []string{".pdf"}},
	{name: "measure", arguments: []string{"measure", "--page", "out/stops.html", "--table", "out/stops.csv", "ann-1.csv", "ben-1.csv"}, out: "out"},
	{name: "theme", arguments: []string{"theme", "style/tokens.css", "--site", "site"}, out: "site/theme", once: true},
	{name: "figure", arguments: []string{"work", "--figure", "out/stop.svg", "calc:stop?speed=60km/h"}, out: "out"},
}

// A scene is a chore's folder in one of two editions: the course and the logs are others in each.
func (c *chore) scene(t *testing.T, folder string, edition int) {
	t.Helper()
	text := strings.Replace(plain()["en/stop.md"], "## [Loose", fmt.Sprintf("Edition %d.\n\n## [Loose", edition), 1)
	text = strings.Replace(text, "---\n\n", "video: {address: \"https://video.example/?t={seconds}\", length: \"11:40\"}\n---\n\n", 1)
	text = strings.Replace(text, "moment:#loose", "moment:2:05#loose", 1)
	plain().with(files{"en/stop.md": text, "site.yaml": plain()["site.yaml"] + "address: https://ferndale.example/\n"}).write(t, filepath.Join(folder, "site"))
	for i, who := range []string{"ann-1.csv", "ben-1.csv"} {
		var log strings.Builder
		log.WriteString("time s,speed m/s\n")
		for tick := range 120 {
			at := float64(tick) / 20
			fmt.Fprintf(&log, "%.2f,%.3f\n", at, min(20, max(0, 20-(6+float64(i)+float64(edition)/2)*(at-1))))
		}
		put(t, filepath.Join(folder, who), log.String())
	}
}

// written is the state of what the chore has written. Of files whose bytes are others each time it says only whether they
// are whole.
func (c *chore) written(t *testing.T, folder string) (whole, parts map[string]string) {
	t.Helper()
	whole, parts = map[string]string{}, map[string]string{}
	name := filepath.Join(folder, c.out)
	if _, err := os.Lstat(name); err != nil {
		return whole, parts
	}
	for name, sum := range state(t, name) {
		base := filepath.Base(name)
		for _, ending := range c.loose {
			if strings.HasSuffix(base, ending) {
				sum = "broken"
				if text := must(os.ReadFile(filepath.Join(folder, c.out, name))); strings.HasSuffix(strings.TrimSpace(string(text)), "%%EOF") {
					sum = "whole"
				}
			}
		}
		switch {
		case strings.HasPrefix(base, ".part-"):
			parts[name] = sum
		case base != "go.work": // which the next build makes anew
			whole[name] = sum
		}
	}
	return whole, parts
}

// A command that is killed at any moment leaves each file that it writes as it was, or whole, or not there yet; it leaves
// the course alone; and the next run, of a course that has changed meanwhile, makes all of it and clears away what the
// killed one has left.
func TestKilledCommands(t *testing.T) {
	for i := range chores {
		if chores[i].slow && *kills < 2*len(chores) {
			continue
		}
		t.Run(chores[i].name, func(t *testing.T) { chores[i].killed(t, max(1, *kills/len(chores))) })
	}
}

func (c *chore) killed(t *testing.T, times int) {
	random := rand.New(rand.NewPCG(*seed, uint64(len(c.name))))
	want, window := c.clean(t)
	folder, temporary := t.TempDir(), t.TempDir()
	now, early := 0, 0
	for killed := 0; killed < times; {
		if early > 20+4*times {
			t.Fatalf("only %d of %d were killed", killed, killed+early)
		}
		now = 1 - now
		c.scene(t, folder, now)
		if c.once {
			os.RemoveAll(filepath.Join(folder, c.out))
		}
		before, _ := c.written(t, folder)
		cmd := c.command(t, folder, temporary)
		moment := time.Duration(random.Int64N(int64(window)))
		if !kill(t, cmd, moment) {
			early, window = early+1, window*9/10
			continue
		}
		killed++
		c.half(t, folder, before, want)
		c.inputs(t, folder, now)
		if !c.once && random.IntN(2) == 0 { // else the next run finds another edition
			now = 1 - now
			c.scene(t, folder, now)
		}
		got, _ := c.written(t, folder)
		done := c.once && maps.Equal(got, want[now])
		if o := wait(t, c.command(t, folder, temporary)); o.code != 0 && !done {
			t.Fatalf("after a kill after %v: exit code %d\n%s%s", moment, o.code, o.out, o.err)
		}
		got, parts := c.written(t, folder)
		if !maps.Equal(got, want[now]) || len(parts) > 0 {
			t.Fatalf("the run after a kill after %v: %v\nparts left: %v", moment, differ(want[now], got), parts)
		}
		if left := leftOver(t, temporary); len(left) > 0 { // the killed one's browser may have died only now
			wait(t, c.command(t, folder, temporary))
			if left = leftOver(t, temporary); len(left) > 0 {
				t.Fatalf("left in the folder for temporary files: %s", left)
			}
		}
	}
	t.Logf("%d killed within %v; %d were done before their moment", times, window, early)
}

// leftOver lists a folder, but for what the browser makes there itself and leaves when it is killed.
func leftOver(t *testing.T, folder string) []string {
	t.Helper()
	var names []string
	for _, left := range must(os.ReadDir(folder)) {
		if !strings.HasPrefix(left.Name(), "org.chromium.") {
			names = append(names, left.Name())
		}
	}
	return names
}

// clean gives what the chore writes of each edition when nothing disturbs it, and how long it takes.
func (c *chore) clean(t *testing.T) (want [2]map[string]string, took time.Duration) {
	for edition := range want {
		folder := t.TempDir()
		c.scene(t, folder, edition)
		o := wait(t, c.command(t, folder, t.TempDir()))
		if o.code != 0 {
			t.Fatalf("exit code %d\n%s%s", o.code, o.out, o.err)
		}
		took = o.took
		if want[edition], _ = c.written(t, folder); len(want[edition]) == 0 {
			t.Fatal("it writes nothing")
		}
	}
	return want, took
}

func (c *chore) command(t *testing.T, folder, temporary string) *exec.Cmd {
	cmd := command(t, folder, c.arguments...)
	cmd.Env = append(cmd.Env, "TMPDIR="+temporary)
	return cmd
}

// half looks at what a killed run has left.
func (c *chore) half(t *testing.T, folder string, before map[string]string, want [2]map[string]string) {
	t.Helper()
	got, _ := c.written(t, folder)
	for name, sum := range got {
		if sum != before[name] && sum != want[0][name] && sum != want[1][name] {
			t.Fatalf("%s is of neither edition", name)
		}
	}
	for name := range before {
		if got[name] == "" {
			t.Fatalf("%s was there, and is gone", name)
		}
	}
}

// inputs looks whether the course is as it was written.
func (c *chore) inputs(t *testing.T, folder string, edition int) {
	t.Helper()
	fresh := t.TempDir()
	c.scene(t, fresh, edition)
	got := state(t, folder)
	for name, sum := range state(t, fresh) {
		if got[name] != sum {
			t.Fatalf("%s was changed", name)
		}
	}
}

// kill runs a command until a moment; false if it was done by then.
func kill(t *testing.T, cmd *exec.Cmd, moment time.Duration) bool {
	t.Helper()
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	timer := time.AfterFunc(moment, func() { cmd.Process.Kill() })
	defer timer.Stop()
	_ = cmd.Wait()
	return cmd.ProcessState.Sys().(syscall.WaitStatus).Signaled()
}

// differ lists the names whose sums differ.
func differ(want, got map[string]string) []string {
	var names []string
	for name := range want {
		if got[name] != want[name] {
			names = append(names, name)
		}
	}
	for name := range got {
		if want[name] == "" {
			names = append(names, name+" (not wanted)")
		}
	}
	return names
}
