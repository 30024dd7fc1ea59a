package preview

import (
	"context"
	_ "embed"
	"errors"
	"io"
	"log"
	"net"
	"net/http"
	"net/netip"
	"strings"
	"sync/atomic"
	"time"
)

// What the server has besides the site.
const (
	eventsPath = "/.gripleaf/events"
	scriptPath = "/.gripleaf/preview.js"
	seriesPath = "/.gripleaf/series"
)

//go:embed preview.js
var script []byte

// A Server serves a site to browsers on this machine, and to others if it listens for them. It serves nothing but the
// files of the site, and only to requests for an address of this machine: a page of the web whose name was made to mean
// this machine (DNS rebinding) reads nothing.
type Server struct {
	// Dir is the folder that holds the site. It need not exist yet, and may be replaced at any time.
	Dir string

	hub     hub
	early   early
	lasting lasting
	chart   atomic.Pointer[chart] // after the last build
}

// Notify tells all pages that are open of an event.
func (s *Server) Notify(e Event) { s.hub.send(e) }

// Limits on what a client may do.
const (
	headerTime  = 5 * time.Second  // to send the header of a request
	requestTime = 10 * time.Second // to send a request
	idleTime    = 2 * time.Minute  // to be connected and say nothing
	writeTime   = 30 * time.Second // to take a piece of a response
	pieceSize   = 64 << 10         // of a response
	headerSize  = 16 << 10
	stopTime    = time.Second // for responses to end when the server stops
	beat        = 20 * time.Second
)

// Serve serves what l accepts until ctx is done; then it returns nil.
func (s *Server) Serve(ctx context.Context, l net.Listener) error {
	server := &http.Server{
		Handler:           s,
		BaseContext:       func(net.Listener) context.Context { return ctx },
		ReadHeaderTimeout: headerTime,
		ReadTimeout:       requestTime,
		IdleTimeout:       idleTime,
		MaxHeaderBytes:    headerSize,
		ErrorLog:          log.New(io.Discard, "", 0),
	}
	failed := make(chan error, 1)
	go func() { failed <- server.Serve(l) }()
	select {
	case err := <-failed:
		return err
	case <-ctx.Done():
	}
	stopping, cancel := context.WithTimeout(context.WithoutCancel(ctx), stopTime)
	defer cancel()
	if server.Shutdown(stopping) != nil {
		server.Close()
	}
	if err := <-failed; !errors.Is(err, http.ErrServerClosed) {
		return err
	}
	return nil
}

func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	h := w.Header()
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("X-Frame-Options", "SAMEORIGIN")
	h.Set("Cache-Control", "no-store")
	if code, why := refuse(r); code != 0 {
		http.Error(w, why, code)
		return
	}
	switch r.URL.Path {
	case eventsPath:
		s.events(w, r)
	case scriptPath:
		h.Set("Content-Type", "text/javascript; charset=utf-8")
		w.Write(script)
	case seriesPath:
		s.serveSeries(w, r)
	default:
		s.site(&patient{w, http.NewResponseController(w)}, r)
	}
}

// refuse returns why a request is not served, and the code that says so, or 0.
func refuse(r *http.Request) (code int, why string) {
	switch from := r.Header.Get("Sec-Fetch-Site"); {
	case !answersTo(r.Host):
		return http.StatusForbidden, "the preview answers to localhost and to addresses of numbers only"
	case r.Method != http.MethodGet && r.Method != http.MethodHead:
		return http.StatusMethodNotAllowed, "the preview only shows"
	case r.ContentLength != 0:
		return http.StatusRequestEntityTooLarge, "the preview takes nothing in"
	case r.Header.Get("Origin") != "" && r.Header.Get("Origin") != "http://"+r.Host:
		return http.StatusForbidden, "the preview is not for other sites"
	case strings.HasPrefix(r.URL.Path, "/.gripleaf/") && (from == "cross-site" || from == "same-site"):
		return http.StatusForbidden, "the preview is not for other sites"
	}
	return 0, ""
}

// answersTo reports whether host, of a request, stands for this machine and nothing else. An address of numbers cannot
// be made to mean another machine.
func answersTo(host string) bool {
	if name, _, err := net.SplitHostPort(host); err == nil {
		host = name
	}
	host = strings.ToLower(strings.Trim(host, "[]"))
	if addr, err := netip.ParseAddr(host); err == nil {
		return !addr.IsUnspecified()
	}
	return host == "localhost"
}

// events sends events to a page for as long as it listens (Server-Sent Events, HTML Living Standard, section 9.2).
func (s *Server) events(w http.ResponseWriter, r *http.Request) {
	w.Header().Set("Content-Type", "text/event-stream; charset=utf-8")
	if r.Method == http.MethodHead {
		return
	}
	query := r.URL.Query()
	page := s.hub.join(fileOf(query.Get("page")), query.Get("edition"))
	defer s.hub.leave(page)
	control := http.NewResponseController(w)
	control.SetReadDeadline(time.Time{}) // the request has come; the next read waits for its end
	ticks := time.NewTicker(beat)
	defer ticks.Stop()
	text := "retry: 1000\n\n"
	for {
		control.SetWriteDeadline(time.Now().Add(writeTime))
		if _, err := io.WriteString(w, text); err != nil || control.Flush() != nil {
			return
		}
		var open bool
		select {
		case <-r.Context().Done():
			return
		case <-ticks.C:
			text = ": still here\n\n" // or the end of a page would not be noticed
		case text, open = <-page:
			if !open {
				return
			}
		}
	}
}

// patient writes in pieces, and waits for each to be taken. A reader may be slow, but not stand still.
type patient struct {
	http.ResponseWriter
	control *http.ResponseController
}

func (p *patient) Write(b []byte) (n int, err error) {
	for {
		piece := b[n:min(n+pieceSize, len(b))]
		p.control.SetWriteDeadline(time.Now().Add(writeTime))
		m, err := p.ResponseWriter.Write(piece)
		if n += m; err != nil || n == len(b) {
			return n, err
		}
	}
}
