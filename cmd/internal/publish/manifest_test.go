package publish

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func entry(p, text string) Entry { return Entry{p, int64(len(text)), sha256.Sum256([]byte(text))} }

// The SHA-256 of "abc" is the worked example of FIPS 180-2, appendix B.1.
func TestManifestWrite(t *testing.T) {
	m := Manifest{entry("index.html", "abc"), entry("lessons/<é>.css", "abc")}
	m.sort()
	var b bytes.Buffer
	if err := m.Write(&b); err != nil {
		t.Fatal(err)
	}
	const abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
	want := `{
"format": "gripleaf-manifest-1",
"files": [
{"path":"lessons/\u003cé\u003e.css","size":3,"sha256":"` + abc + `"},
{"path":"index.html","size":3,"sha256":"` + abc + `"}
]
}
`
	if diff := cmp.Diff(want, b.String()); diff != "" {
		t.Error(diff)
	}
}

func TestManifestReadsBack(t *testing.T) {
	for _, n := range []int{0, 1, 1000} {
		var want Manifest
		for i := range n {
			want = append(want, entry(fmt.Sprintf("lessons/größe-%d.html", i), fmt.Sprint(i)))
		}
		want.sort()
		var b bytes.Buffer
		if err := want.Write(&b); err != nil {
			t.Fatal(err)
		}
		got, err := ReadManifest(&b)
		if err != nil {
			t.Fatal(err)
		}
		if len(got) != n || n > 0 && !cmp.Equal(want, got) {
			t.Errorf("%d entries came back as %d others", n, len(got))
		}
	}
}

func TestReadManifestRefuses(t *testing.T) {
	const sum = `"sha256":"ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"`
	file := func(entries string) string { return `{"format":"` + manifestFormat + `","files":[` + entries + `]}` }
	for name, text := range map[string]string{
		"not JSON":         `hello`,
		"cut short":        file("")[:20],
		"another format":   `{"name":"Ferndale","icons":[]}`,
		"short sum":        file(`{"path":"a","size":1,"sha256":"ba78"}`),
		"sum not hex":      file(`{"path":"a","size":1,"sha256":"` + strings.Repeat("x", 64) + `"}`),
		"negative size":    file(`{"path":"a","size":-1,` + sum + `}`),
		"twice":            file(`{"path":"a","size":1,` + sum + `},{"path":"a","size":1,` + sum + `}`),
		"out of the site":  file(`{"path":"../a","size":1,` + sum + `}`),
		"absolute":         file(`{"path":"/a","size":1,` + sum + `}`),
		"itself":           file(`{"path":"manifest.json","size":1,` + sum + `}`),
		"back slash":       file(`{"path":"a\\b","size":1,` + sum + `}`),
		"disk of Windows":  file(`{"path":"c:a","size":1,` + sum + `}`),
		"an empty element": file(`{"path":"a//b","size":1,` + sum + `}`),
	} {
		if m, err := ReadManifest(strings.NewReader(text)); err == nil {
			t.Errorf("%s: got %v", name, m)
		}
	}
}

func TestChanges(t *testing.T) {
	before := Manifest{
		entry("index.html", "a"), entry("gone.html", "a"), entry("same.html", "a"),
		entry("a.css", "a"), entry("b.css", "a"), entry("same.css", "a"),
	}
	after := Manifest{
		entry("index.html", "b"), entry("new.html", "b"), entry("same.html", "a"),
		entry("a.css", "bb"), entry("z.css", "bbb"), entry("same.css", "a"),
	}
	want := []Change{
		{Changed, "a.css", 2},
		{Added, "z.css", 3},
		{Changed, "index.html", 1},
		{Added, "new.html", 1},
		{Removed, "gone.html", 0},
		{Removed, "b.css", 0},
	}
	if diff := cmp.Diff(want, Changes(before, after)); diff != "" {
		t.Error(diff)
	}
	if got := Changes(after, after); got != nil {
		t.Errorf("a site differs from itself: %v", got)
	}
}

// Carried out one by one on a server, the changes never leave a page there that asks for an asset that is not.
func TestChangesAreSafeInOrder(t *testing.T) {
	site := func(version string) (m Manifest) {
		for i := range 5 {
			m = append(m, entry(fmt.Sprintf("lessons/%d.html", i), version), entry(fmt.Sprintf("assets/%d.%s.css", i, version), version))
		}
		return m
	}
	uses := map[[sha256.Size]byte]string{sha256.Sum256([]byte("v1")): "v1", sha256.Sum256([]byte("v2")): "v2"}
	server := site("v1").byPath()
	after := site("v2").byPath()
	for _, c := range Changes(site("v1"), site("v2")) {
		if c.Kind == Removed {
			delete(server, c.Path)
		} else {
			server[c.Path] = after[c.Path]
		}
		for p, e := range server {
			var i int
			if n, _ := fmt.Sscanf(p, "lessons/%d.html", &i); n == 0 {
				continue
			}
			if asset := fmt.Sprintf("assets/%d.%s.css", i, uses[e.SHA256]); server[asset].Path == "" {
				t.Errorf("after %v the page %s asks for %s in vain", c, p, asset)
			}
		}
	}
	if diff := cmp.Diff(after, server); diff != "" {
		t.Error(diff)
	}
}

func FuzzReadManifest(f *testing.F) {
	var b bytes.Buffer
	Manifest{entry("a/b.css", "x"), entry("index.html", "y")}.Write(&b)
	f.Add(b.Bytes())
	f.Add([]byte(`{"format":"gripleaf-manifest-1","files":null}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		m, err := ReadManifest(bytes.NewReader(text))
		if err != nil {
			return
		}
		var out bytes.Buffer
		if err := m.Write(&out); err != nil {
			t.Fatal(err)
		}
		again, err := ReadManifest(&out)
		if err != nil || len(again) != len(m) {
			t.Errorf("%v came back as %v, error %v", m, again, err)
		}
		for _, e := range m {
			if strings.Contains("/"+e.Path+"/", "/../") {
				t.Errorf("%q leads out of the site", e.Path)
			}
		}
	})
}
