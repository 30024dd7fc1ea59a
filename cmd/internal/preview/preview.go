// Package preview shows a site while it is written: it builds it, serves it on this machine, builds it again at every
// save, and lets the pages that are open take over what is new.
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
	"sync"
	"syscall"

	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/series"
	"example.org/gripleaf/cmd/internal/watch"
)

// Options say what to preview.
type Options struct {
	// Dir is the folder that the site is built into.
	Dir string

	// Addr is the address to listen on, as HOST:PORT. Without a host it is this machine only (127.0.0.1). If empty, the
	// port is one that is free.
	Addr string

	// Watch says what the site is made from. Its Ready is not called.
	Watch watch.Watcher

	// Build builds the site. changed are the sources that have changed since it was last called, and nil at first. A
	// fault.Fault or fault.List in its error is shown in the pages. It is never called twice at once. It may ask the
	// server what is wanted first, and hand it what it makes of that.
	Build func(ctx context.Context, changed []string, s *Server) (Report, error)

	// Ready is called with the address of the site once it is served.
	Ready func(url string)
}

// A Report is what a build has done.
type Report struct {
	Changed []string // files of the site that are new or have changed, with slashes
	Removed []string // files that are gone
	Lessons []series.Lesson
}

// firstPort is tried first if none is asked for, so that the address of the preview is mostly the same.
const firstPort = "127.0.0.1:7117"

// Serve previews a site until ctx is done; then it returns nil.
func Serve(ctx context.Context, o Options) error {
	l, err := listen(o.Addr)
	if err != nil {
		return err
	}
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	s := &Server{Dir: o.Dir}
	s.early.begin(nil) // requests wait from the first on
	served := make(chan error, 1)
	go func() {
		defer stop() // without a server there is nothing to build for
		served <- s.Serve(ctx, l)
	}()
	if o.Ready != nil {
		o.Ready(address(l.Addr()))
	}
	b := &builder{Options: o, server: s}
	seen, first := make(chan struct{}), make(chan struct{})
	o.Watch.Ready = func() { close(seen) }
	var watching sync.WaitGroup
	watching.Go(func() {
		defer stop()
		err = o.Watch.Run(ctx, func(changed []string) {
			<-first
			b.build(ctx, changed)
		})
	})
	<-seen // or a save between the build's look at a file and the watcher's is lost
	b.build(ctx, nil)
	close(first)
	watching.Wait()
	return errors.Join(<-served, err)
}

// listen listens on addr.
func listen(addr string) (net.Listener, error) {
	if addr == "" {
		if l, err := net.Listen("tcp", firstPort); err == nil {
			return l, nil
		}
		addr = "127.0.0.1:0"
	}
	host, port, err := net.SplitHostPort(addr)
	if err == nil && host == "" {
		addr = net.JoinHostPort("127.0.0.1", port)
	}
	l, err := net.Listen("tcp", addr)
	if err == nil {
		return l, nil
	}
	f := fault.Fault{Code: "address", Text: fmt.Sprintf("cannot listen on %s: %v", addr, err),
		Hint: "give an address of this machine and a port, such as 127.0.0.1:7117"}
	switch {
	case errors.Is(err, syscall.EADDRINUSE):
		f.Text = fmt.Sprintf("another program listens on %s", addr)
		f.Hint = "stop it, perhaps another preview, or choose another port"
	case errors.Is(err, syscall.EACCES):
		f.Text = fmt.Sprintf("this user may not listen on %s", addr)
		f.Hint = "choose a port of 1024 or more"
	}
	return nil, f
}

// address returns where to look at what listens on addr.
func address(addr net.Addr) string {
	host, port, err := net.SplitHostPort(addr.String())
	if err != nil {
		return "http://" + addr.String() + "/"
	}
	if ip := net.ParseIP(host); ip != nil && ip.IsUnspecified() {
		host = "127.0.0.1"
	}
	return "http://" + net.JoinHostPort(host, port) + "/"
}

// A builder builds, and tells the pages what came of it.
type builder struct {
	Options
	server *Server
	faulty bool // the last build had faults
	begun  bool // there has been a build without
}

func (b *builder) build(ctx context.Context, changed []string) {
	b.server.early.begin(changed)
	busy := slices.ContainsFunc(changed, compiled)
	if busy {
		b.server.Notify(Event{Kind: Busy})
	}
	report, err := b.Build(ctx, changed, b.server)
	if busy {
		b.server.Notify(Event{Kind: Rest})
	}
	if err == nil {
		b.keep(report)
		b.server.chart.Store(newChart(report.Lessons))
	}
	b.server.early.end()
	if ctx.Err() != nil {
		return
	}
	if err != nil {
		b.faulty = true
		b.server.hub.ended()
		b.server.Notify(Event{Kind: Faulty, Faults: fault.From(err)})
		return
	}
	if b.faulty {
		b.faulty = false
		b.server.Notify(Event{Kind: Mended})
	}
	if len(report.Changed)+len(report.Removed) > 0 {
		b.server.Notify(eventOf(changed, report.Changed))
	} else {
		b.server.hub.ended()
	}
}

// compiled reports whether a source is one that has to be compiled.
func compiled(path string) bool {
	return filepath.Ext(path) == ".go" || filepath.Base(path) == "go.mod"
}

// keep keeps what pages load of the edition that is published now, for when there is another.
func (b *builder) keep(r Report) {
	names := r.Changed
	if !b.begun { // it may have been published by an earlier run
		all, _ := os.ReadDir(b.Dir)
		for _, entry := range all {
			names = append(names, entry.Name())
		}
		b.begun = true
	}
	b.server.lasting.keep(b.Dir, names)
}

// eventOf returns the least that pages must do if these sources have changed, and with them these files of the site.
// Names of assets hold hashes, so a new style sheet changes the files of all pages that use it, but nothing in them
// that a reader sees.
func eventOf(sources, files []string) Event {
	with := func(ending string) (paths []string) {
		for _, file := range files {
			if strings.HasSuffix(file, ending) {
				paths = append(paths, file)
			}
		}
		return paths
	}
	if styles := with(".css"); len(styles) > 0 && all(sources, ".css") {
		return Event{Kind: Style, Paths: styles}
	}
	if modules := with(".wasm"); len(modules) > 0 && all(sources, ".go") {
		return Event{Kind: Module, Paths: modules}
	}
	return Event{Kind: Page}
}

// all reports whether there are paths, and all have this ending.
func all(paths []string, ending string) bool {
	return len(paths) > 0 && !slices.ContainsFunc(paths, func(p string) bool { return filepath.Ext(p) != ending })
}
