package preview

import (
	"context"
	"errors"
	"fmt"
	"net"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/watch"
)

func TestEventOf(t *testing.T) {
	pages := []string{"index.html", "lessons/stopping/index.html"}
	for _, test := range []struct {
		sources, files []string
		want           Event
	}{
		{nil, pages, Event{Kind: Page}},
		{[]string{"lessons/stopping.md"}, pages, Event{Kind: Page}},
		{[]string{"theme/style/page.css"}, append([]string{"assets/style.2.css"}, pages...), Event{Kind: Style, Paths: []string{"assets/style.2.css"}}},
		{[]string{"theme/style/page.css"}, pages, Event{Kind: Page}},
		{[]string{"theme/style/page.css", "lessons/a.md"}, append([]string{"assets/style.2.css"}, pages...), Event{Kind: Page}},
		{[]string{"calculators/stop/stop.go"}, append([]string{"module.2.js", "module.2.wasm"}, pages...), Event{Kind: Module, Paths: []string{"module.2.wasm"}}},
		{[]string{"calculators/stop/stop.go"}, pages, Event{Kind: Page}},
	} {
		if diff := cmp.Diff(test.want, eventOf(test.sources, test.files)); diff != "" {
			t.Errorf("%q: %s", test.sources, diff)
		}
	}
}

// From the first build to the end: faults are shown, mended and forgotten, and every save is built.
func TestServe(t *testing.T) {
	source, dir := t.TempDir(), filepath.Join(t.TempDir(), "built")
	write(t, filepath.Join(source, "lesson.md"), "fault")
	ready := make(chan string, 1)
	builds := make(chan []string, 100)
	broken := fault.Fault{File: "lesson.md", Line: 1, Column: 1, Text: "no such term"}
	build := func(ctx context.Context, changed []string, _ *Server) (Report, error) {
		text, err := os.ReadFile(filepath.Join(source, "lesson.md"))
		if err != nil {
			return Report{}, err
		}
		builds <- changed
		if string(text) == "fault" {
			return Report{}, fmt.Errorf("building: %w", broken)
		}
		write(t, filepath.Join(dir, "index.html"), string(text))
		return Report{Changed: []string{"index.html"}}, nil
	}
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan error)
	go func() {
		done <- Serve(ctx, Options{Dir: dir, Watch: watch.Watcher{Roots: []string{source}}, Build: build, Ready: func(url string) { ready <- url }})
	}()
	url := <-ready
	if !strings.HasPrefix(url, "http://127.0.0.1:") {
		t.Errorf("served at %s", url)
	}
	page := (&running{addr: strings.Trim(strings.TrimPrefix(url, "http://"), "/")}).listen(t)
	if changed := <-builds; changed != nil {
		t.Errorf("the first build was told of %q", changed)
	}
	save := func(text string) {
		write(t, filepath.Join(source, "lesson.md"), text)
		select {
		case changed := <-builds:
			if !slices.Equal(changed, []string{filepath.Join(source, "lesson.md")}) {
				t.Errorf("the build was told of %q", changed)
			}
		case <-time.After(10 * time.Second):
			t.Fatalf("%q was not built", text)
		}
	}
	page.want(Event{Kind: hello})
	page.want(Event{Kind: Faulty, Faults: fault.List{broken}})
	save("one")
	page.want(Event{Kind: Mended})
	page.want(Event{Kind: Page})
	save("two")
	page.want(Event{Kind: Page})
	save("fault")
	page.want(Event{Kind: Faulty, Faults: fault.List{broken}})
	cancel()
	if err := <-done; err != nil {
		t.Errorf("Serve returned %v", err)
	}
	if page.next() != nil {
		t.Error("an event after the end")
	}
}

// A save that comes while the first build runs is built after it, however early.
func TestSaveDuringFirstBuild(t *testing.T) {
	source := t.TempDir()
	name := filepath.Join(source, "lesson.md")
	write(t, name, "before")
	builds := make(chan []string, 100)
	build := func(_ context.Context, changed []string, _ *Server) (Report, error) {
		if changed == nil {
			write(t, name, "saved")
		}
		builds <- changed
		return Report{}, nil
	}
	ctx, cancel := context.WithCancel(t.Context())
	done := make(chan error)
	go func() {
		done <- Serve(ctx, Options{Dir: t.TempDir(), Addr: "127.0.0.1:0", Watch: watch.Watcher{Roots: []string{source}}, Build: build})
	}()
	<-builds
	select {
	case changed := <-builds:
		if !slices.Equal(changed, []string{name}) {
			t.Errorf("the build was told of %q", changed)
		}
	case <-time.After(10 * time.Second):
		t.Error("the save was lost")
	}
	cancel()
	if err := <-done; err != nil {
		t.Error(err)
	}
}

func TestListen(t *testing.T) {
	taken, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer taken.Close()
	_, port, _ := net.SplitHostPort(taken.Addr().String())
	for addr, want := range map[string]string{
		"":                    "",
		":0":                  "",
		"127.0.0.1:0":         "",
		"[::1]:0":             "",
		taken.Addr().String(): "another program listens on 127.0.0.1:" + port,
		":" + port:            "another program listens on 127.0.0.1:" + port,
		"127.0.0.1":           "cannot listen on 127.0.0.1",
		"127.0.0.1:99999":     "cannot listen on 127.0.0.1:99999",
		"192.0.2.1:0":         "cannot listen on 192.0.2.1:0", // of nobody (RFC 5737)
	} {
		l, err := listen(addr)
		if want == "" {
			if err != nil {
				t.Errorf("%q: %v", addr, err)
				continue
			}
			if !l.Addr().(*net.TCPAddr).IP.IsLoopback() {
				t.Errorf("%q: listens on %v", addr, l.Addr())
			}
			l.Close()
			continue
		}
		var f fault.Fault
		if !errors.As(err, &f) || !strings.Contains(f.Text, want) || f.Hint == "" {
			t.Errorf("%q: got error %v, want %s", addr, err, want)
		}
	}
}

func TestAddress(t *testing.T) {
	for addr, want := range map[string]string{
		"127.0.0.1:7117": "http://127.0.0.1:7117/",
		"0.0.0.0:80":     "http://127.0.0.1:80/",
		"[::]:80":        "http://127.0.0.1:80/",
		"[::1]:80":       "http://[::1]:80/",
	} {
		tcp, err := net.ResolveTCPAddr("tcp", addr)
		if err != nil {
			t.Fatal(err)
		}
		if got := address(tcp); got != want {
			t.Errorf("%s: got %s, want %s", addr, got, want)
		}
	}
}
