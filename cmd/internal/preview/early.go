package preview

import (
	"bytes"
	"context"
	"maps"
	"path"
	"slices"
	"strings"
	"sync"
	"time"
)

// early is what a build has made so far of what is looked at, so that it is seen before the whole site is published.
// The zero early is ready to use.
type early struct {
	mu       sync.Mutex
	building bool
	styles   bool              // only style sheets have changed
	files    map[string][]byte // by path in the site
	waiting  map[string]int    // files that requests wait for
	news     chan struct{}     // closed when there is another file, or no build any more
}

// begin notes that a build begins, for these changed sources.
func (e *early) begin(changed []string) {
	e.mu.Lock()
	defer e.mu.Unlock()
	e.building, e.styles = true, all(changed, ".css")
	e.files = make(map[string][]byte)
	e.tellLocked()
}

// end notes that a build has ended: what it made is published, or of no use.
func (e *early) end() {
	e.mu.Lock()
	defer e.mu.Unlock()
	e.building, e.files = false, nil
	e.tellLocked()
}

func (e *early) tellLocked() {
	if e.news != nil {
		close(e.news)
	}
	e.news = make(chan struct{})
}

// put takes a file, and reports whether it is news, and whether only style sheets have changed.
func (e *early) put(path string, data []byte) (news, styles bool) {
	e.mu.Lock()
	defer e.mu.Unlock()
	before, known := e.files[path]
	if e.files != nil {
		e.files[path] = data
	}
	e.tellLocked()
	return !known || !bytes.Equal(before, data), e.styles
}

func (e *early) get(path string) ([]byte, bool) {
	e.mu.Lock()
	defer e.mu.Unlock()
	data, ok := e.files[path]
	return data, ok
}

// awaited are the files that requests wait for.
func (e *early) awaited() []string {
	e.mu.Lock()
	defer e.mu.Unlock()
	return slices.Collect(maps.Keys(e.waiting))
}

// wait waits until a file is made or no build runs, and reports whether it had to.
func (e *early) wait(ctx context.Context, path string) (waited bool) {
	e.mu.Lock()
	defer e.mu.Unlock()
	if e.waiting == nil {
		e.waiting = make(map[string]int)
	}
	e.waiting[path]++
	for e.building && e.files[path] == nil && ctx.Err() == nil {
		waited = true
		news := e.news
		e.mu.Unlock()
		select {
		case <-news:
		case <-ctx.Done():
		}
		e.mu.Lock()
	}
	if e.waiting[path]--; e.waiting[path] == 0 {
		delete(e.waiting, path)
	}
	return waited
}

// Wanted lists the files of the site that are looked at or waited for, which a build does well to make first.
func (s *Server) Wanted() []string {
	return append(s.hub.lookedAt(), s.early.awaited()...)
}

// Made shows a file of the next site before that is published. The data must not be changed any more.
func (s *Server) Made(name string, data []byte) {
	if loaded(name) {
		s.lasting.put(name, data)
	}
	news, styles := s.early.put(name, data)
	if !news {
		return
	}
	switch path.Ext(name) {
	case ".html":
		s.hub.sendEarly(Event{Kind: Page}, name)
	case ".css":
		if styles {
			s.hub.sendEarly(Event{Kind: Style, Paths: []string{name}}, "")
		}
	}
}

// Settle waits, for a moment at most, until a page has loaded what it was shown early. A browser on the same machine is
// quicker alone.
func (s *Server) Settle(ctx context.Context) {
	const most = 100 * time.Millisecond
	ctx, cancel := context.WithTimeout(ctx, most)
	defer cancel()
	select {
	case <-s.hub.nextLoaded():
	case <-ctx.Done():
	}
}

// fileOf is the file of the site that an address shows.
func fileOf(address string) string {
	name, ok := siteName(address)
	if ok && strings.HasSuffix(address, "/") {
		name = path.Join(name, "index.html")
	}
	return name
}
