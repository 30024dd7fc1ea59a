//go:build unix

package ordeal_test

import (
	"bufio"
	"bytes"
	"flag"
	"fmt"
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

// startPreviewIn previews the site in a folder.
func startPreviewIn(t testing.TB, folder string) *preview {
	t.Helper()
	p := &preview{t: t, ended: make(chan struct{}), folder: folder, site: filepath.Join(folder, "site")}
	p.Cmd = command(t, p.folder, "preview", "site", "--address", "127.0.0.1:0")
	out, err := p.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	p.Stderr = p
	if err := p.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { p.Process.Kill(); <-p.ended })
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
	for start := time.Now(); !holds(); time.Sleep(5 * time.Millisecond) {
		if time.Since(start) > patience/2 {
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

// held is what a process holds: kilobytes in memory, and open files.
func (p *preview) held() (kilobytes, open int) {
	p.t.Helper()
	status, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", p.Process.Pid))
	if err != nil {
		p.t.Fatal(err)
	}
	for line := range strings.Lines(string(status)) {
		if rest, ok := strings.CutPrefix(line, "VmRSS:"); ok {
			kilobytes, _ = strconv.Atoi(strings.TrimSuffix(strings.TrimSpace(rest), " kB"))
		}
	}
	descriptors, err := os.ReadDir(fmt.Sprintf("/proc/%d/fd", p.Process.Pid))
	if err != nil {
		p.t.Fatal(err)
	}
	return kilobytes, len(descriptors)
}

// A preview is as large after thousands of saves as after the first hundred. Each save is waited for in the page; they
// come in all ways in which editors write.
func TestSavesWithoutGrowth(t *testing.T) {
	t.Parallel()
	p := startPreview(t, plain())
	lesson := filepath.Join(p.site, "en/stop.md")
	var kilobytes, open int
	for n := range *saves {
		text := plain()["en/stop.md"] + fmt.Sprintf("\nSave %d.\n", n)
		switch n % 3 {
		case 0: // truncated and written
			put(t, lesson, text)
		case 1: // beside, then in its place
			put(t, lesson+"~", text)
			if err := os.Rename(lesson+"~", lesson); err != nil {
				t.Fatal(err)
			}
		case 2: // in two pieces
			put(t, lesson, text[:40])
			put(t, lesson, text)
		}
		want := fmt.Sprintf("<p>Save %d.</p>", n)
		p.until(want, func() bool { return strings.Contains(p.page("stop.html"), want) })
		if n == *saves/2 {
			kilobytes, open = p.held()
		}
	}
	after, openAfter := p.held()
	t.Logf("%d saves: %d MB and %d files half-way, %d MB and %d files at the end", *saves, kilobytes/1000, open, after/1000, openAfter)
	if after > kilobytes*3/2+20_000 || openAfter > open+5 {
		t.Error("it grows")
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
		mustRun(t, p.folder, "build", "site")
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
		o := run(t, p.folder, "build", "site")
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
		cmd := command(t, folder, "build", "site")
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
	mustRun(t, p.folder, "build", "site")
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
