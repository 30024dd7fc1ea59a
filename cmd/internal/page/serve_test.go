package page_test

import (
	"compress/gzip"
	"context"
	"fmt"
	"io"
	"io/fs"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"example.org/gripleaf/cmd/internal/judge"
	"example.org/gripleaf/cmd/internal/publish"
)

// serve runs nginx, the outside judge of what is published, with the server block of DEVELOPERS.md.
func serve(t *testing.T, root string) (address string) {
	t.Helper()
	nginx := judge.Find(t, "nginx")
	text, err := os.ReadFile("../../../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	_, block, found := strings.Cut(string(text), "```nginx\n")
	block, _, closed := strings.Cut(block, "```")
	if !found || !closed || !strings.Contains(block, "root /srv/www/braking;") {
		t.Fatal("DEVELOPERS.md has no block for nginx")
	}
	free, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	address = free.Addr().String()
	free.Close()
	block = strings.Replace(block, "root /srv/www/braking;", "listen "+address+"; root "+root+";", 1)
	home := t.TempDir()
	user := ""
	if os.Geteuid() == 0 {
		user = "user root;\n"
	}
	temporary := ""
	for _, kind := range []string{"client_body", "proxy", "fastcgi", "uwsgi", "scgi"} {
		temporary += fmt.Sprintf("%s_temp_path %s/%s;\n", kind, home, kind)
	}
	config := fmt.Sprintf("%spid %s/pid;\nerror_log %s/errors;\nevents {}\nhttp {\naccess_log off;\n%s%s}\n", user, home, home, temporary, block)
	file := filepath.Join(home, "nginx.conf")
	if err := os.WriteFile(file, []byte(config), 0o666); err != nil {
		t.Fatal(err)
	}
	// It goes into the background once its sockets are open.
	if out, err := exec.Command(nginx, "-p", home, "-c", file).CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s\n%s", err, out, config)
	}
	t.Cleanup(func() {
		if out, err := exec.Command(nginx, "-p", home, "-c", file, "-s", "stop").CombinedOutput(); err != nil {
			t.Errorf("stopping nginx: %v\n%s", err, out)
		}
	})
	return address
}

// published is the test site once more, with compressed forms of all but the modules, which would take a minute.
func published(t *testing.T) string {
	t.Helper()
	from := folder(t)
	to := filepath.Join(scratch, "served")
	if _, err := os.Stat(to); err == nil {
		return to
	}
	e, err := publish.Open(to, publish.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer e.Close()
	err = fs.WalkDir(os.DirFS(from), ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || name == publish.ManifestName {
			return err
		}
		data, err := os.ReadFile(filepath.Join(from, name))
		if err != nil {
			return err
		}
		_, err = e.Add(name, data)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	small := func(name string) bool {
		return !strings.HasPrefix(name, "module.") && !strings.HasPrefix(name, "rides.") && !strings.HasPrefix(name, "measured.")
	}
	if err := e.Compress(context.Background(), small); err != nil {
		t.Fatal(err)
	}
	if _, err := e.Commit(context.Background()); err != nil {
		t.Fatal(err)
	}
	return to
}

// one is the only file that a pattern fits.
func one(t *testing.T, root, pattern string) string {
	t.Helper()
	list, err := filepath.Glob(filepath.Join(root, pattern))
	if err != nil || len(list) != 1 {
		t.Fatalf("%s: %q, %v", pattern, list, err)
	}
	return filepath.Base(list[0])
}

func TestServedByNginx(t *testing.T) {
	root := published(t)
	site := "http://" + serve(t, root) + "/"
	const lasting, fresh = "public, max-age=31536000, immutable", "no-cache"
	for _, tt := range []struct {
		path, kind, cache string
		packed            bool
	}{
		{"parts.html", "text/html; charset=utf-8", fresh, true},
		{"", "text/html; charset=utf-8", fresh, true},
		{"de/parts.html", "text/html; charset=utf-8", fresh, true},
		{one(t, root, "style.*.css"), "text/css; charset=utf-8", lasting, true},
		{one(t, root, "script.*.js"), "text/javascript; charset=utf-8", lasting, true},
		{one(t, root, "module.*.wasm"), "application/wasm", lasting, false},
		{one(t, root, "measured.*.wasm"), "application/wasm", lasting, false},
		{"service.js", "text/javascript; charset=utf-8", fresh, false},
		{"manifest.json", "application/json; charset=utf-8", fresh, false},
		{"sitemap.xml", "application/xml; charset=utf-8", fresh, false},
		{"feed.xml", "application/atom+xml; charset=utf-8", fresh, false},
	} {
		reply, body := get(t, site+tt.path, "Accept-Encoding", "gzip")
		if reply.StatusCode != 200 || reply.Header.Get("Content-Type") != tt.kind || strings.Join(reply.Header["Cache-Control"], "; ") != tt.cache {
			t.Errorf("%q: %s, %v", tt.path, reply.Status, reply.Header)
		}
		if packed := reply.Header.Get("Content-Encoding") == "gzip"; packed != tt.packed && tt.packed {
			t.Errorf("%q is not sent compressed", tt.path)
		} else if packed {
			z, err := gzip.NewReader(strings.NewReader(body))
			if err != nil {
				t.Fatal(err)
			}
			plain, err := io.ReadAll(z)
			if err != nil {
				t.Fatal(err)
			}
			body = string(plain)
		}
		name := tt.path
		if name == "" {
			name = "index.html"
		}
		if want, err := os.ReadFile(filepath.Join(root, name)); err != nil || body != string(want) {
			t.Errorf("%q is sent as something else (%v)", tt.path, err)
		}
		if again, _ := get(t, site+tt.path, "Accept-Encoding", "gzip", "If-None-Match", reply.Header.Get("ETag")); again.StatusCode != 304 {
			t.Errorf("%q again: %s", tt.path, again.Status)
		}
	}
	if reply, _ := get(t, site+"no-such-page.html", "Accept", "text/html"); reply.StatusCode != 404 {
		t.Errorf("what is not there: %s", reply.Status)
	}
}

func get(t *testing.T, url string, headers ...string) (*http.Response, string) {
	t.Helper()
	q, err := http.NewRequest("GET", url, nil)
	if err != nil {
		t.Fatal(err)
	}
	q.Header.Set("Accept-Encoding", "identity")
	for i := 0; i < len(headers); i += 2 {
		q.Header.Set(headers[i], headers[i+1])
	}
	reply, err := http.DefaultClient.Do(q)
	if err != nil {
		t.Fatal(err)
	}
	defer reply.Body.Close()
	body, err := io.ReadAll(reply.Body)
	if err != nil {
		t.Fatal(err)
	}
	return reply, string(body)
}

// A page and its module work from nginx under the page's own policy; the module is asked for once.
func TestPageFromNginx(t *testing.T) {
	site := "http://" + serve(t, published(t)) + "/"
	b := open(t)
	b.do(chromedp.Navigate(site + "parts.html"))
	b.run(`document.querySelector("#stop").restore(["speed=61km/h&grip=0.8"])`)
	b.until(findings + `.includes("18.3")`) // (61/3.6)²/(2·0.8·9.80665) = 18.298 m
	b.do(chromedp.Navigate(site + "calculators/test.html"))
	b.until(`customElements.get("gripleaf-explorer") !== undefined`)
	b.bring("drop", "maya-2.csv", logText(t, "maya-2.csv"))
	b.until(results + `.includes("7.60")`)
	b.mu.Lock()
	for _, name := range []string{"module.", "measured."} {
		n := 0
		for _, url := range b.requests {
			if strings.HasPrefix(url, site+name) && strings.HasSuffix(url, ".wasm") {
				n++
			}
		}
		if pages := map[string]int{"module.": 2, "measured.": 1}[name]; n < 1 || n > pages {
			t.Errorf("%s*.wasm was asked for %d times from %d pages", name, n, pages)
		}
	}
	b.mu.Unlock()
	b.quiet(site)
}

// Where a server compresses nothing, the page does not wait for the module, but takes its script, a quarter of the size.
func TestServerThatCompressesNothing(t *testing.T) {
	files := http.FileServer(http.Dir(folder(t)))
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !strings.HasSuffix(r.URL.Path, ".wasm") {
			files.ServeHTTP(w, r)
			return
		}
		w.Header().Set("Content-Type", "application/wasm")
		_, _ = w.Write([]byte("\x00asm"))
		_ = http.NewResponseController(w).Flush()
		<-r.Context().Done() // the rest never comes
	}))
	defer server.Close()
	b := open(t)
	b.do(chromedp.Navigate(server.URL + "/parts.html"))
	b.run(`document.querySelector("#stop").restore(["speed=61km/h&grip=0.8"])`)
	b.until(findings + `.includes("18.3")`)
	b.quiet(server.URL)
	module, script := size(t, "module.*.wasm"), size(t, "module.*.js")
	if script*3 > module {
		t.Errorf("the script has %d bytes, the module %d", script, module)
	}
}

// size is that of the one file of the built test site with such a name.
func size(t *testing.T, pattern string) int64 {
	t.Helper()
	info, err := os.Stat(filepath.Join(folder(t), one(t, folder(t), pattern)))
	if err != nil {
		t.Fatal(err)
	}
	return info.Size()
}
