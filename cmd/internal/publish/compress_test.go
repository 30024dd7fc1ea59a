package publish

import (
	"bytes"
	"compress/gzip"
	"context"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/andybalholm/brotli"
)

// compressed publishes with compressed forms; script.js is one that no server sends.
func compressed(t *testing.T, dir string, files map[string]string) *Report {
	t.Helper()
	e, err := Open(dir, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer e.Close()
	for p, text := range files {
		if _, err := e.Add(p, []byte(text)); err != nil {
			t.Fatal(err)
		}
	}
	if err := e.Compress(context.Background(), func(p string) bool { return p != "script.js" }); err != nil {
		t.Fatal(err)
	}
	r, err := e.Commit(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return r
}

var long = strings.Repeat("A lesson on braking, told at length. ", 100)

func TestCompress(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "built")
	files := map[string]string{"index.html": long, "style.0123456789.css": long + "css", "picture.png": long, "short.html": "short", "script.js": long, "noise.svg": noise(2000)}
	compressed(t, dir, files)
	var extra []string
	for name, text := range contents(t, dir) {
		switch filepath.Ext(name) {
		case ".gz":
			extra = append(extra, name)
			r, err := gzip.NewReader(strings.NewReader(text))
			same(t, name, r, err, files[strings.TrimSuffix(name, ".gz")])
		case ".br":
			extra = append(extra, name)
			same(t, name, brotli.NewReader(strings.NewReader(text)), nil, files[strings.TrimSuffix(name, ".br")])
		}
	}
	slices.Sort(extra)
	if want := []string{"index.html.br", "index.html.gz", "style.0123456789.css.br", "style.0123456789.css.gz"}; !slices.Equal(extra, want) {
		t.Errorf("compressed are %q, want %q", extra, want)
	}
	m, err := ReadManifest(bytes.NewReader(read(t, dir, ManifestName)))
	if err != nil {
		t.Fatal(err)
	}
	var order []string
	for _, e := range m {
		order = append(order, e.Path)
	}
	if slices.Index(order, "index.html.br") < slices.Index(order, "style.0123456789.css.gz") {
		t.Errorf("a page comes before what it needs: %q", order)
	}
}

func TestCompressedFormsFollowTheirFiles(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "built")
	files := map[string]string{"index.html": long, "style.css": long}
	compressed(t, dir, files)
	before := stamps(t, dir)
	if r := compressed(t, dir, files); len(r.Changes) != 0 {
		t.Errorf("the same again changes %v", r.Changes)
	}
	for name, was := range before {
		if now := stamps(t, dir)[name]; now != was {
			t.Errorf("%s was touched", name)
		}
	}
	files["index.html"] += "More."
	r := compressed(t, dir, files)
	var changed []string
	for _, c := range r.Changes {
		changed = append(changed, c.Path)
	}
	if want := []string{"index.html", "index.html.br", "index.html.gz"}; !slices.Equal(changed, want) {
		t.Errorf("%q changed, want %q", changed, want)
	}
	if r = mustPublish(t, dir, files); len(r.Changes) != 4 || r.Changes[0].Kind != Removed {
		t.Errorf("without compressing, %v: a server would go on sending the old forms", r.Changes)
	}
}

func same(t *testing.T, name string, r io.Reader, err error, want string) {
	t.Helper()
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	if got, err := io.ReadAll(r); err != nil || string(got) != want {
		t.Errorf("%s: %v, or another text", name, err)
	}
}

// noise is text that does not get smaller.
func noise(n int) string {
	b := make([]byte, n)
	x := uint32(1)
	for i := range b {
		x = x*1664525 + 1013904223
		b[i] = byte(x >> 24)
	}
	return string(b)
}

func read(t *testing.T, dir, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(dir, name))
	if err != nil {
		t.Fatal(err)
	}
	return data
}
