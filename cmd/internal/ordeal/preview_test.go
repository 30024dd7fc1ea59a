//go:build unix

package ordeal_test

import (
	"bufio"
	"bytes"
	"flag"
	"fmt"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"
)

var saves = flag.Int("saves", 60, "how many saves a preview lives through")

// preview is a running preview.
type preview struct {
	*exec.Cmd
	t       testing.TB
	address string // http://127.0.0.1:…/
	folder  string
	site    string

	mu    sync.Mutex
	said  bytes.Buffer
	ended chan struct{}
}

// startPreview previews a site and waits until it is served.
func startPreview(t testing.TB, f files) *preview {
	t.Helper()
	folder, _ := f.site(t)
	return startPreviewIn(t, folder)
}

// startPreviewIn previews the site in a folder. What comes before the command may change what it runs in.
func startPreviewIn(t testing.TB, folder string, before ...string) *preview {
	t.Helper()
	p := &preview{t: t, ended: make(chan struct{}), folder: folder, site: filepath.Join(folder, "site")}
	cmd := command(t, p.folder, "preview", "site", "--out", "built", "--address", "127.0.0.1:0")
	line := append(append(before, cmd.Path), cmd.Args[1:]...)
	p.Cmd = exec.Command(line[0], line[1:]...) // which runs for as long as the test does
	p.Dir, p.Env, p.WaitDelay = cmd.Dir, cmd.Env, cmd.WaitDelay
	out, err := p.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	p.Stderr = p
	if err := p.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		p.Process.Kill()
		if <-p.ended; strings.Contains(p.words(), "DATA RACE") {
			t.Error(p.words())
		}
	})
	lines := bufio.NewScanner(out)
	if !lines.Scan() {
		t.Fatalf("the preview ended: %s", p.words())
	}
	p.address = lines.Text()
	go func() {
		for lines.Scan() {
			fmt.Fprintln(p, lines.Text())
		}
		_ = p.Wait()
		close(p.ended)
	}()
	p.until("the first build", func() bool { return strings.Contains(p.words(), "checked") || strings.Contains(p.words(), "fault") })
	return p
}

// Write takes what the preview says.
func (p *preview) Write(text []byte) (int, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.said.Write(text)
}

func (p *preview) words() string {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.said.String()
}

// until waits for something to hold.
func (p *preview) until(what string, holds func() bool) {
	p.t.Helper()
	p.untilWithin(patience/2, what, holds)
}

func (p *preview) untilWithin(limit time.Duration, what string, holds func() bool) {
	p.t.Helper()
	for start := time.Now(); !holds(); time.Sleep(5 * time.Millisecond) {
		if time.Since(start) > limit {
			p.t.Fatalf("waited in vain for %s: %s", what, p.words())
		}
	}
}

// page is what a path shows.
func (p *preview) page(path string) string {
	p.t.Helper()
	reply, err := http.Get(p.address + path)
	if err != nil {
		p.t.Fatal(err)
	}
	defer reply.Body.Close()
	var b bytes.Buffer
	if _, err := b.ReadFrom(reply.Body); err != nil {
		p.t.Fatal(err)
	}
	return b.String()
}

// held is what a process holds.
type held struct{ kilobytes, files int }

func (p *preview) held() held {
	p.t.Helper()
	status, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", p.Process.Pid))
	if err != nil {
		p.t.Fatal(err)
	}
	var h held
	for line := range strings.Lines(string(status)) {
		if rest, ok := strings.CutPrefix(line, "VmRSS:"); ok {
			h.kilobytes, _ = strconv.Atoi(strings.TrimSuffix(strings.TrimSpace(rest), " kB"))
		}
	}
	descriptors, err := os.ReadDir(fmt.Sprintf("/proc/%d/fd", p.Process.Pid))
	if err != nil {
		p.t.Fatal(err)
	}
	h.files = len(descriptors)
	return h
}

// goroutines ends a preview with the signal upon which a Go program says what each of its goroutines does, and counts
// them.
func (p *preview) goroutines() int {
	p.t.Helper()
	if err := p.Process.Signal(syscall.SIGQUIT); err != nil {
		p.t.Fatal(err)
	}
	<-p.ended
	return strings.Count(p.words(), "\ngoroutine ")
}

// listen opens a page's channel to the preview and waits until it is heard on.
func (p *preview) listen() io.Closer {
	p.t.Helper()
	reply, err := http.Get(p.address + ".gripleaf/events")
	if err != nil {
		p.t.Fatal(err)
	}
	if _, err := io.ReadFull(reply.Body, make([]byte, 20)); err != nil {
		p.t.Fatal(err)
	}
	go io.Copy(io.Discard, reply.Body)
	return reply.Body
}

// save writes a lesson in one of the ways in which editors write.
func save(t *testing.T, way int, name, text string) {
	t.Helper()
	switch way % 3 {
	case 0: // truncated and written
		put(t, name, text)
	case 1: // beside, then in its place
		put(t, name+"~", text)
		if err := os.Rename(name+"~", name); err != nil {
			t.Fatal(err)
		}
	case 2: // in two pieces
		put(t, name, text[:40])
		put(t, name, text)
	}
}

// A preview is as large after thousands of saves as after the first: in memory, in open files and in goroutines. Each
// save is waited for in the page, and every fifth one is a fault. One page listens all the time, others come and go.
func TestSavesWithoutGrowth(t *testing.T) {
	t.Parallel()
	fresh := startPreview(t, plain())
	fresh.page("stop.html")
	defer fresh.listen().Close()
	few := fresh.goroutines()

	p := startPreview(t, plain())
	defer p.listen().Close()
	lesson := filepath.Join(p.site, "en/stop.md")
	var looks []held
	for n := range *saves {
		if n%5 == 4 {
			was := len(p.words())
			save(t, n, lesson, plain()["en/stop.md"]+fmt.Sprintf("\n[Save %d](gone.md).\n", n))
			p.until("the fault", func() bool { return strings.Contains(p.words()[was:], `"gone.md"`) })
		} else {
			want := fmt.Sprintf("<p>Save %d.</p>", n)
			save(t, n, lesson, plain()["en/stop.md"]+fmt.Sprintf("\nSave %d.\n", n))
			p.until(want, func() bool { return strings.Contains(p.page("stop.html"), want) })
		}
		if n%5 == 0 {
			p.listen().Close()
		}
		if (n+1)%max(*saves/10, 1) == 0 {
			looks = append(looks, p.held())
			t.Logf("%d saves: %d MB, %d files", n+1, looks[len(looks)-1].kilobytes/1000, looks[len(looks)-1].files)
		}
	}
	half := len(looks) / 2
	if before, after := most(looks[:half]), most(looks[half:]); after.kilobytes > before.kilobytes*5/4+20_000 || after.files > before.files+5 {
		t.Errorf("it grows: at most %d MB and %d files in the first half, %d MB and %d files in the second", before.kilobytes/1000, before.files, after.kilobytes/1000, after.files)
	}
	many := p.goroutines()
	t.Logf("%d goroutines after %d saves, %d after none", many, *saves, few)
	if many > few+8 {
		t.Errorf("it has grown to %d goroutines; a fresh one has %d", many, few)
	}
}

// most is the most that was held of each.
func most(looks []held) (m held) {
	for _, h := range looks {
		m.kilobytes, m.files = max(m.kilobytes, h.kilobytes), max(m.files, h.files)
	}
	return m
}

// Where the system watches no more than one folder for a user, the preview says so, looks by itself, and misses nothing.
func TestWatchLimit(t *testing.T) {
	t.Parallel()
	folder, _ := plain().site(t)
	p := startPreviewIn(t, folder, "unshare", "-r", "sh", "-c", `echo 1 >/proc/sys/user/max_inotify_watches && exec "$0" "$@"`)
	if !strings.Contains(p.words(), "more folders than this system watches") || !strings.Contains(p.words(), "looking for them every 1s instead") {
		t.Errorf("it says only %s", p.words())
	}
	for n := range 3 {
		want := fmt.Sprintf("<p>Save %d.</p>", n)
		save(t, n, filepath.Join(p.site, "en/stop.md"), plain()["en/stop.md"]+fmt.Sprintf("\nSave %d.\n", n))
		p.until(want, func() bool { return strings.Contains(p.page("stop.html"), want) })
	}
}

// On SIGINT and SIGTERM a preview stops with exit code 0, at once, and leaves no lock.
func TestPreviewStops(t *testing.T) {
	folder, _ := bare().site(t)
	for _, signal := range []syscall.Signal{syscall.SIGINT, syscall.SIGTERM} {
		p := startPreviewIn(t, folder)
		if err := p.Process.Signal(signal); err != nil {
			t.Fatal(err)
		}
		select {
		case <-p.ended:
		case <-time.After(patience / 4):
			t.Fatalf("it goes on after %v", signal)
		}
		if code := p.ProcessState.ExitCode(); code != 0 {
			t.Errorf("exit code %d after %v: %s", code, signal, p.words())
		}
		mustRun(t, p.folder, "build", "site", "--out", "built")
	}
}

// While a site is previewed, builds beside it either wait their turn out with a message that names the holder, or
// work; the site is whole at any time.
func TestBuildBesidePreview(t *testing.T) {
	t.Parallel()
	p := startPreview(t, plain())
	refused := 0
	for n := range 10 {
		put(t, filepath.Join(p.site, "en/slip.md"), plain()["en/slip.md"]+fmt.Sprintf("\nSave %d.\n", n))
		o := run(t, p.folder, "build", "site", "--out", "built")
		switch {
		case o.code == 0:
		case strings.Contains(o.err, "built: this folder is being built by gripleaf preview (process"):
			refused++
		default:
			t.Fatalf("exit code %d: %s", o.code, o.err)
		}
	}
	t.Logf("%d of 10 builds were refused", refused)
	p.until("the last save", func() bool { return strings.Contains(p.page("slip.html"), "Save 9.") })
	if strings.Contains(p.words(), "changed it") {
		t.Errorf("the preview takes the build's files for damaged: %s", p.words())
	}
}

// Of many builds at once, each one works or names who is at work; afterwards the site is whole.
func TestBuildsAtOnce(t *testing.T) {
	want := builds(t)[1]
	folder, _ := edition(1).site(t)
	results := make(chan outcome)
	const many = 4
	for range many {
		cmd := command(t, folder, "build", "site", "--out", "built")
		go func() { results <- wait(t, cmd) }()
	}
	worked := 0
	for range many {
		switch o := <-results; {
		case o.code == 0:
			worked++
		case !strings.Contains(o.err, "built: this folder is being built by gripleaf build (process"):
			t.Errorf("exit code %d: %s", o.code, o.err)
		}
	}
	if worked == 0 || !same(t, filepath.Join(folder, "built"), want) {
		t.Errorf("%d builds worked; the site is whole: %v", worked, same(t, filepath.Join(folder, "built"), want))
	}
}

// A lock whose holder was killed holds nobody up.
func TestStaleLock(t *testing.T) {
	t.Parallel()
	p := startPreview(t, bare())
	put(t, filepath.Join(p.site, "en/stop.md"), head+"Other text.\n")
	p.Process.Kill()
	<-p.ended
	mustRun(t, p.folder, "build", "site", "--out", "built")
	if !strings.Contains(string(must(os.ReadFile(filepath.Join(p.folder, "built/stop.html")))), "Other text.") {
		t.Error("the site is not the new one")
	}
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// A fault in a lesson is shown in the page that is open, over its last good text; put right, it goes away and the new
// text comes.
func TestFaultInThePage(t *testing.T) {
	t.Parallel()
	p := startPreview(t, bare().with(lesson("First text.\n")))
	b := openTab(t, sentinel)
	b.goTo(p.address + "stop.html")
	const panel = `document.documentElement.lastElementChild.shadowRoot?.querySelector("li")?.textContent ?? ""`
	b.comes(`document.readyState === "complete" && document.body.textContent.includes("First text.")`)
	for n, wrong := range []struct{ text, want string }{
		{"Second text, and [17.8 m](calc:stop?speed=60km/h&grip=0.8#braking-distance).\n", `"17.8 m" is written, 17.70`},
		{"<b>No</b> [link](gone.md).\n", `there is no lesson "gone.md"`},
		{"A \u202eturn.\n", "U+202E"},
	} {
		put(t, filepath.Join(p.site, "en/stop.md"), head+wrong.text)
		b.comes(`(` + panel + `).includes(` + strconv.Quote(wrong.want) + `)`)
		if !value[bool](b, `document.body.textContent.includes("First text.") || document.body.textContent.includes("Mended`+strconv.Itoa(n-1)+`")`) {
			t.Errorf("with a fault the page no longer shows its last good text")
		}
		if page := p.page("stop.html"); strings.Contains(page, "Second text") {
			t.Error("the faulty text is served")
		}
		put(t, filepath.Join(p.site, "en/stop.md"), head+fmt.Sprintf("Mended%d.\n", n))
		b.comes(fmt.Sprintf(`document.body?.textContent.includes("Mended%d.") && !(%s)`, n, panel))
	}
}
