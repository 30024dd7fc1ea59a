package preview

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"testing"

	"example.org/gripleaf/cmd/internal/fault"
)

// A page that was loaded finds what it loads, whatever is built meanwhile: new calculators under another name, with and
// without faults in a lesson. A reader loads pages without a pause while two hundred builds put one edition in the
// place of the other.
func TestPagesFindWhatTheyLoad(t *testing.T) {
	dir := t.TempDir()
	s := start(t, &Server{Dir: dir})
	n := 0
	b := &builder{server: s.Server, Options: Options{Dir: dir, Build: func(_ context.Context, _ []string, s *Server) (Report, error) {
		n++
		module := fmt.Sprintf("module.%010x.wasm", n)
		s.Made("index.html", []byte(pageOf(module)))
		s.Made(module, []byte("calculators"))
		if n%3 == 0 {
			return Report{}, fault.Fault{Text: "a fault in another lesson"}
		}
		old, err := filepath.Glob(filepath.Join(dir, "module.*"))
		write(t, filepath.Join(dir, module), "calculators")
		write(t, filepath.Join(dir, "index.html"), pageOf(module))
		for _, name := range old {
			err = errors.Join(err, os.Remove(name))
		}
		return Report{Changed: []string{"index.html", module}}, err
	}}}
	b.build(t.Context(), nil)
	done, stop := make(chan int), make(chan struct{})
	go func() {
		missed := 0
		module := regexp.MustCompile(`module\.[0-9a-f]+\.wasm`)
		for open := true; open; {
			name := module.FindString(body(t, s, "/index.html"))
			reply, err := http.Get("http://" + s.addr + "/" + name)
			if err != nil {
				t.Error(err)
				break
			}
			reply.Body.Close()
			if reply.StatusCode != http.StatusOK {
				missed++
			}
			select {
			case <-stop:
				open = false
			default:
			}
		}
		done <- missed
	}()
	for range 200 {
		b.build(t.Context(), []string{"en/lesson.md", "calculators/glance/glance.go"})
	}
	close(stop)
	if missed := <-done; missed > 0 {
		t.Errorf("%d times a page did not find its calculators", missed)
	}
}

// What is kept for pages that are open is bounded, and the newest stays.
func TestLastingIsBounded(t *testing.T) {
	var l lasting
	piece := make([]byte, mostLasting/4+1)
	for n := range 20 {
		l.put(fmt.Sprintf("module.%08x.wasm", n), piece)
		l.put("style.00000001.css", []byte("style"))
	}
	if _, ok := l.get("module.00000013.wasm"); !ok || l.size > mostLasting || len(l.files) != len(l.order) {
		t.Errorf("%d bytes in %d files, %d in order; the newest is there: %v", l.size, len(l.files), len(l.order), ok)
	}
	if _, ok := l.get("module.00000000.wasm"); ok {
		t.Error("the oldest is kept for ever")
	}
}
