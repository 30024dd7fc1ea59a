package preview

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"example.org/gripleaf/cmd/internal/fault"
)

func write(t *testing.T, name, text string) {
	t.Helper()
	if err := errors.Join(os.MkdirAll(filepath.Dir(name), 0o755), os.WriteFile(name, []byte(text), 0o644)); err != nil {
		t.Fatal(err)
	}
}

const policy = `default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'`

func pageOf(body string) string {
	return `<!doctype html><html lang="en"><head><meta http-equiv="Content-Security-Policy" content="` + policy +
		`"><link rel="stylesheet" href="style.00000001.css"><title>Braking</title></head><body>` + body + `</body></html>`
}

// newSite makes a small site, with a secret beside it and ways to it.
func newSite(t *testing.T) (dir string) {
	t.Helper()
	parent := t.TempDir()
	dir = filepath.Join(parent, "built")
	write(t, filepath.Join(parent, "secret.txt"), "secret")
	write(t, filepath.Join(dir, "index.html"), pageOf("home"))
	write(t, filepath.Join(dir, "lessons", "stopping", "index.html"), pageOf("stopping"))
	write(t, filepath.Join(dir, "lessons", "größe 1.html"), pageOf("size"))
	write(t, filepath.Join(dir, "style.00000001.css"), "p{}")
	write(t, filepath.Join(dir, "module.1f0c9a2b3c.wasm"), "\x00asm")
	write(t, filepath.Join(dir, "picture.png"), "png")
	write(t, filepath.Join(dir, ".git", "config"), "secret")
	write(t, filepath.Join(dir, "%2e%2e", "x.txt"), "literal")
	for _, err := range []error{
		os.Symlink("index.html", filepath.Join(dir, "inside.html")),
		os.Symlink("../secret.txt", filepath.Join(dir, "outside.txt")),
		os.Symlink("..", filepath.Join(dir, "up")),
		os.Symlink(filepath.Join(parent, "secret.txt"), filepath.Join(dir, "absolute.txt")),
	} {
		if err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

func get(s *Server, target string) *httptest.ResponseRecorder {
	w := httptest.NewRecorder()
	r := httptest.NewRequest("GET", "http://127.0.0.1:7117/", nil)
	r.URL.Path = target
	s.ServeHTTP(w, r)
	return w
}

func TestFiles(t *testing.T) {
	s := &Server{Dir: newSite(t)}
	const page, wasm, css, png = "text/html; charset=utf-8", "application/wasm", "text/css; charset=utf-8", "image/png"
	const never, always, asks = "no-store", "public, max-age=31536000, immutable", "no-cache"
	for _, test := range []struct {
		path         string
		code         int
		kind, caches string
		holds        string
	}{
		{"/", 200, page, never, "home"},
		{"/index.html", 200, page, never, "home"},
		{"/inside.html", 200, page, never, "home"},
		{"/lessons/stopping/", 200, page, never, "stopping"},
		{"/lessons/größe 1.html", 200, page, never, "size"},
		{"/style.00000001.css", 200, css, always, "p{}"},
		{"/module.1f0c9a2b3c.wasm", 200, wasm, always, "\x00asm"},
		{"/picture.png", 200, png, asks, "png"},
		{"/lessons/", 404, page, never, "no page at this address"},
		{"/missing", 404, page, never, "no page at this address"},
		{"/index.html/", 404, page, never, "no page"},
		{"/index.html/x", 404, page, never, "no page"},
		{"/.git/config", 404, page, never, "no page"},
		{"/../secret.txt", 404, page, never, "no page"},
		{"/lessons/../index.html", 404, page, never, "no page"},
		{"/..\\secret.txt", 404, page, never, "no page"},
		{"//index.html", 404, page, never, "no page"},
		{"/index.html\x00", 404, page, never, "no page"},
		{"/index.html::$DATA", 404, page, never, "no page"},
		{"/outside.txt", 404, page, never, "no page"},
		{"/absolute.txt", 404, page, never, "no page"},
		{"/up/secret.txt", 404, page, never, "no page"},
		{"/up/built/index.html", 404, page, never, "no page"},
		{"", 404, page, never, "no page"},
	} {
		w := get(s, test.path)
		h := w.Header()
		if w.Code != test.code || h.Get("Content-Type") != test.kind || h.Get("Cache-Control") != test.caches || !strings.Contains(w.Body.String(), test.holds) {
			t.Errorf("%q: code %d, type %q, caches %q, body %q", test.path, w.Code, h.Get("Content-Type"), h.Get("Cache-Control"), w.Body)
		}
		if strings.Contains(w.Body.String(), "secret") {
			t.Errorf("%q: served what is not of the site", test.path)
		}
		if h.Get("X-Content-Type-Options") != "nosniff" || h.Get("Cross-Origin-Resource-Policy") != "same-origin" {
			t.Errorf("%q: headers %v", test.path, h)
		}
		if strings.Contains(w.Body.String(), scriptPath) != (test.kind == page) {
			t.Errorf("%q: the script is in the wrong files", test.path)
		}
	}
}

// What a client sends as a target is not what a handler gets as a path, so this is checked over a connection.
func TestEncodedPaths(t *testing.T) {
	server := start(t, &Server{Dir: newSite(t)})
	for target, want := range map[string]int{
		"/":                                 200,
		"/lessons/gr%C3%B6%C3%9Fe%201.html": 200,
		"/%252e%252e/x.txt":                 200, // a folder of that name
		"/%2e%2e/secret.txt":                404,
		"/..%2fsecret.txt":                  404,
		"/..%5csecret.txt":                  404,
		"/lessons/%2e%2e/%2e%2e/secret.txt": 404,
		"/../secret.txt":                    404,
		"/%00":                              404,
		"/%":                                400,
		"//127.0.0.1/secret.txt":            404,
		"/lessons/stopping":                 307,
	} {
		answer := server.raw(t, "GET "+target+" HTTP/1.1\r\nHost: "+server.addr+"\r\nConnection: close\r\n\r\n")
		if !strings.HasPrefix(answer, fmt.Sprintf("HTTP/1.1 %d ", want)) || strings.Contains(answer, "secret\n") {
			t.Errorf("%s: %.300q", target, answer)
		}
	}
	answer := server.raw(t, "GET /lessons/stopping?a=1 HTTP/1.1\r\nHost: "+server.addr+"\r\nConnection: close\r\n\r\n")
	if !strings.Contains(answer, "\r\nLocation: /lessons/stopping/?a=1\r\n") {
		t.Errorf("no way to the folder: %q", answer)
	}
}

func TestOwnPageForWhatIsMissing(t *testing.T) {
	dir := newSite(t)
	write(t, filepath.Join(dir, "404.html"), pageOf("lost"))
	if w := get(&Server{Dir: dir}, "/missing"); w.Code != 404 || !strings.Contains(w.Body.String(), "lost") {
		t.Errorf("code %d, body %q", w.Code, w.Body)
	}
	if w := get(&Server{Dir: filepath.Join(dir, "nowhere")}, "/"); w.Code != 404 || !strings.Contains(w.Body.String(), "not been built yet") {
		t.Errorf("code %d, body %q", w.Code, w.Body)
	}
}

func TestOnlyForThisMachine(t *testing.T) {
	s := &Server{Dir: newSite(t)}
	for _, test := range []struct {
		method, host, path string
		header             http.Header
		body               string
		want               int
	}{
		{host: "127.0.0.1:7117", want: 200},
		{host: "localhost:7117", want: 200},
		{host: "LOCALHOST", want: 200},
		{host: "[::1]:7117", want: 200},
		{host: "192.168.1.5:7117", want: 200},
		{host: "laptop.local:7117", want: 403},
		{host: "evil.example:7117", want: 403},
		{host: "127.0.0.1.evil.example", want: 403},
		{host: "localhost.evil.example", want: 403},
		{host: "127.1", want: 403},
		{host: "2130706433", want: 403},
		{host: "0.0.0.0:7117", want: 403},
		{host: "[::]:7117", want: 403},
		{host: "", want: 403},
		{host: "127.0.0.1:7117", method: "HEAD", want: 200},
		{host: "127.0.0.1:7117", method: "POST", want: 405},
		{host: "127.0.0.1:7117", method: "OPTIONS", want: 405},
		{host: "127.0.0.1:7117", body: "x", want: 413},
		{host: "127.0.0.1:7117", header: http.Header{"Origin": {"http://127.0.0.1:7117"}}, want: 200},
		{host: "127.0.0.1:7117", header: http.Header{"Origin": {"http://127.0.0.1:8000"}}, want: 403},
		{host: "127.0.0.1:7117", header: http.Header{"Origin": {"https://evil.example"}}, want: 403},
		{host: "127.0.0.1:7117", header: http.Header{"Origin": {"null"}}, want: 403},
		{host: "127.0.0.1:7117", header: http.Header{"Sec-Fetch-Site": {"cross-site"}}, want: 200}, // a link
		{host: "127.0.0.1:7117", path: scriptPath, want: 200},
		{host: "127.0.0.1:7117", path: scriptPath, header: http.Header{"Sec-Fetch-Site": {"same-origin"}}, want: 200},
		{host: "127.0.0.1:7117", path: scriptPath, header: http.Header{"Sec-Fetch-Site": {"cross-site"}}, want: 403},
		{host: "127.0.0.1:7117", path: eventsPath, header: http.Header{"Sec-Fetch-Site": {"cross-site"}}, want: 403},
		{host: "127.0.0.1:7117", path: eventsPath, header: http.Header{"Sec-Fetch-Site": {"same-site"}}, want: 403},
		{host: "127.0.0.1:7117", path: eventsPath, header: http.Header{"Origin": {"https://evil.example"}}, want: 403},
		{host: "evil.example", path: eventsPath, want: 403},
	} {
		r := httptest.NewRequest(test.method, "http://127.0.0.1/", strings.NewReader(test.body))
		if test.body == "" {
			r.Body, r.ContentLength = http.NoBody, 0
		}
		r.Host = test.host
		for key, values := range test.header {
			r.Header[key] = values
		}
		if test.path != "" {
			r.URL.Path = test.path
		}
		w := httptest.NewRecorder()
		s.ServeHTTP(w, r)
		if w.Code != test.want {
			t.Errorf("%+v: code %d", test, w.Code)
		}
		if w.Header().Get("Access-Control-Allow-Origin") != "" {
			t.Errorf("%+v: other sites may read it", test)
		}
	}
}

// A running is a server that serves connections.
type running struct {
	*Server
	addr string
	stop func() // waits for the end
}

func start(t *testing.T, s *Server) *running {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan error)
	go func() { done <- s.Serve(ctx, l) }()
	stop := sync.OnceFunc(func() {
		cancel()
		if err := <-done; err != nil {
			t.Errorf("Serve returned %v", err)
		}
	})
	t.Cleanup(stop)
	return &running{s, l.Addr().String(), stop}
}

// raw sends a request as it is and returns all that comes back.
func (r *running) raw(t *testing.T, request string) string {
	t.Helper()
	conn := r.dial(t)
	defer conn.Close()
	if _, err := io.WriteString(conn, request); err != nil {
		t.Fatal(err)
	}
	answer, err := io.ReadAll(conn)
	if err != nil {
		t.Fatal(err)
	}
	return string(answer)
}

func (r *running) dial(t *testing.T) net.Conn {
	t.Helper()
	conn, err := net.Dial("tcp", r.addr)
	if err != nil {
		t.Fatal(err)
	}
	conn.SetDeadline(time.Now().Add(20 * time.Second))
	return conn
}

// A listener is a page that hears events.
type listener struct {
	t     *testing.T
	body  io.Closer
	lines *bufio.Scanner
}

func (r *running) listen(t *testing.T) *listener {
	t.Helper()
	return r.listenAs(t, "", "")
}

// listenAs hears the events of a page at an address that shows an edition.
func (r *running) listenAs(t *testing.T, page, edition string) *listener {
	t.Helper()
	answer, err := http.Get("http://" + r.addr + eventsPath + "?page=" + page + "&edition=" + edition)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { answer.Body.Close() })
	if got := answer.Header.Get("Content-Type"); answer.StatusCode != 200 || got != "text/event-stream; charset=utf-8" {
		t.Fatalf("code %d, type %q", answer.StatusCode, got)
	}
	return &listener{t, answer.Body, bufio.NewScanner(answer.Body)}
}

// next returns the next event, or nil at the end.
func (l *listener) next() *message {
	l.t.Helper()
	for l.lines.Scan() {
		if data, ok := strings.CutPrefix(l.lines.Text(), "data: "); ok {
			var m message
			if err := json.Unmarshal([]byte(data), &m); err != nil {
				l.t.Fatal(err)
			}
			return &m
		}
	}
	return nil
}

func (l *listener) want(want Event) (edition string) {
	l.t.Helper()
	got := l.next()
	if got == nil {
		l.t.Fatalf("the end, want %v", want)
	}
	if diff := cmp.Diff(want, got.Event); diff != "" {
		l.t.Errorf("event (-want +got):\n%s", diff)
	}
	return got.Edition
}

func TestEvents(t *testing.T) {
	server := start(t, &Server{Dir: newSite(t)})
	one := server.listen(t)
	first := one.want(Event{Kind: hello})
	if page := get(server.Server, "/").Body.String(); !strings.Contains(page, `data-edition="`+first+`"`) {
		t.Errorf("the page is not of edition %s: %s", first, page)
	}
	faults := Event{Kind: Faulty, Faults: fault.List{{File: "a.md", Line: 1, Column: 2, Text: "no such\nterm", Hint: "</script>"}}}
	for _, e := range []Event{
		{Kind: Page},
		{Kind: Style, Paths: []string{"style.2.css"}},
		{Kind: Module, Paths: []string{"module.2.wasm"}},
	} {
		server.Notify(e)
		if edition := one.want(e); edition == first {
			t.Errorf("%v is no new edition", e)
		}
	}
	server.Notify(faults)
	edition := one.want(faults)
	two := server.listen(t)
	if got := two.want(Event{Kind: hello}); got != edition {
		t.Errorf("edition %s, want %s", got, edition)
	}
	two.want(faults) // which it has missed
	server.Notify(Event{Kind: Mended})
	if got := one.want(Event{Kind: Mended}); got != edition {
		t.Errorf("mending a fault is no new edition: %s, was %s", got, edition)
	}
	two.want(Event{Kind: Mended})
	three := server.listen(t)
	three.want(Event{Kind: hello})
	server.stop()
	if one.next() != nil || two.next() != nil || three.next() != nil {
		t.Error("an event after the end")
	}
}

// A page that does not listen is cut off; it holds up neither the others nor the builder.
func TestPageThatDoesNotListen(t *testing.T) {
	var h hub
	deaf, alert := h.join("", ""), h.join("", "")
	<-alert
	for i := range backlog * 2 {
		h.send(Event{Kind: Style, Paths: []string{fmt.Sprint(i)}})
		if text := <-alert; !strings.Contains(text, fmt.Sprintf(`"paths":["%d"]`, i)) {
			t.Errorf("got %q", text)
		}
	}
	n := 0
	for range deaf {
		n++
	}
	if n != backlog {
		t.Errorf("%d events waited, want %d", n, backlog)
	}
	h.leave(deaf)
	h.leave(alert)
	if len(h.pages) != 0 {
		t.Errorf("%d pages are left", len(h.pages))
	}
}

func TestEditionsOfTwoServersDiffer(t *testing.T) {
	var a, b hub
	if a.edition() == b.edition() {
		t.Errorf("both are %s", a.edition())
	}
}

// While 500 clients are connected and say nothing, 200 hear events and 50 have stopped reading in the middle of a large
// file, others are served; and the server ends when it is to, with nothing left over.
func TestManyConnections(t *testing.T) {
	dir := newSite(t)
	write(t, filepath.Join(dir, "film.mp4"), strings.Repeat("film", 4<<20))
	routines := runtime.NumGoroutine()
	server := start(t, &Server{Dir: dir})
	var conns []net.Conn
	defer func() {
		for _, conn := range conns {
			conn.Close()
		}
	}()
	for range 500 {
		conns = append(conns, server.dial(t))
	}
	for range 50 {
		conn := server.dial(t)
		conns = append(conns, conn)
		fmt.Fprintf(conn, "GET /film.mp4 HTTP/1.1\r\nHost: %s\r\n\r\n", server.addr)
		if _, err := io.ReadFull(conn, make([]byte, 1000)); err != nil {
			t.Fatal(err)
		}
	}
	var listeners []*bufio.Reader
	for range 200 {
		conn := server.dial(t)
		conns = append(conns, conn)
		fmt.Fprintf(conn, "GET %s HTTP/1.1\r\nHost: %s\r\n\r\n", eventsPath, server.addr)
		listeners = append(listeners, bufio.NewReader(conn))
		await(t, listeners[len(listeners)-1], `"kind":"hello"`)
	}
	server.Notify(Event{Kind: Page})
	for _, l := range listeners {
		await(t, l, `"kind":"page"`)
	}
	if answer := server.raw(t, "GET / HTTP/1.0\r\nHost: 127.0.0.1\r\n\r\n"); !strings.Contains(answer, "home") {
		t.Errorf("got %q", answer)
	}
	begin := time.Now()
	server.stop()
	if took := time.Since(begin); took > 4*stopTime {
		t.Errorf("the end took %v", took)
	}
	if conn, err := net.Dial("tcp", server.addr); err == nil {
		conn.Close()
		t.Error("something still listens")
	}
	for runtime.NumGoroutine() > routines { // those of connections end soon after
		if time.Since(begin) > 10*time.Second {
			t.Fatalf("%d goroutines run, %d did", runtime.NumGoroutine(), routines)
		}
		runtime.Gosched()
	}
}

func await(t *testing.T, r *bufio.Reader, text string) {
	t.Helper()
	for {
		line, err := r.ReadString('\n')
		if err != nil {
			t.Fatalf("waiting for %s: %v", text, err)
		}
		if strings.Contains(line, text) {
			return
		}
	}
}

func TestHeaderLimit(t *testing.T) {
	server := start(t, &Server{Dir: newSite(t)})
	answer := server.raw(t, "GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nX: "+strings.Repeat("x", 2*headerSize)+"\r\nConnection: close\r\n\r\n")
	if !strings.HasPrefix(answer, "HTTP/1.1 431 ") {
		t.Errorf("got %.100q", answer)
	}
}

func TestRanges(t *testing.T) {
	server := start(t, &Server{Dir: newSite(t)})
	answer := server.raw(t, "GET /picture.png HTTP/1.1\r\nHost: 127.0.0.1\r\nRange: bytes=1-2\r\nConnection: close\r\n\r\n")
	if !strings.HasPrefix(answer, "HTTP/1.1 206 ") || !strings.HasSuffix(answer, "\r\n\r\nng") {
		t.Errorf("got %q", answer)
	}
}
