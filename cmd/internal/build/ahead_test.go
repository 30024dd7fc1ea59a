package build

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// spectator looks at some files, and keeps what it is shown of them.
type spectator struct {
	looks   []string
	shown   map[string]string
	settled bool
}

func (s *spectator) Wanted() []string { return s.looks }

func (s *spectator) Made(path string, data []byte) { s.shown[path] = string(data) }

func (s *spectator) Settle(context.Context) { s.settled = true }

// A glance shows the lesson that is looked at if only its text has changed, as the build after it makes it; whatever
// needs the course to be read again is left to the build.
func TestGlance(t *testing.T) {
	g := newGround(t)
	viewer := &spectator{looks: []string{"a.html"}, shown: make(map[string]string)}
	b := Builder{Site: filepath.Join(g.dir, "site"), Out: filepath.Join(g.dir, "built"), Cache: g.cache, Viewer: viewer}
	defer b.Close()
	// Saves change files, and glance says what of a.html it has shown.
	glance := func(files ...string) string {
		t.Helper()
		clear(viewer.shown)
		var changed []string
		for i := 0; i < len(files); i += 2 {
			g.write(files[i], files[i+1])
			changed = append(changed, filepath.Join(b.Site, files[i]))
		}
		viewer.settled = false
		b.Glance(context.Background(), changed)
		if text := viewer.shown["a.html"]; viewer.settled != (text != "") {
			t.Errorf("it waits: %v, and has shown %d bytes", viewer.settled, len(text))
		}
		return viewer.shown["a.html"]
	}
	build := func() {
		t.Helper()
		if _, err := b.Build(context.Background()); err != nil {
			t.Fatal(err)
		}
	}
	text := yard["en/a.md"]

	if got := glance("en/a.md", text+"\nBefore.\n"); got != "" {
		t.Error("it shows a page before any build")
	}
	build()
	for i, more := range []string{"\nOnce more.\n", "\nAnd again, of [grip](term:grip).\n"} {
		if i == 1 {
			build() // after one that remembers the lessons
		}
		early := glance("en/a.md", text+more)
		if !strings.Contains(early, strings.Fields(more)[0]) {
			t.Fatalf("it shows %q", early)
		}
		build()
		late, err := os.ReadFile(filepath.Join(b.Out, "a.html"))
		if err != nil {
			t.Fatal(err)
		}
		if string(late) != early {
			t.Error("the build makes another page of it")
		}
	}
	if got := glance("en/b.md", yard["en/b.md"]+"\nMore.\n"); got != "" {
		t.Error("it shows what has not changed")
	}
	for what, files := range map[string][]string{
		"a wrong number":  {"en/a.md", strings.Replace(text, "17.7 m", "18.7 m", 1)},
		"another title":   {"en/a.md", strings.Replace(text, "First", "Prime", 1)},
		"a glossary":      {"en/a.md", text + "\nText.\n", "en/glossary.yaml", yard["en/glossary.yaml"]},
		"an unknown term": {"en/a.md", text + "\n[x](term:x)\n"},
		"a new lesson":    {"en/a.md", text + "\nText.\n", "en/e.md", text},
	} {
		if got := glance(files...); got != "" {
			t.Errorf("with %s it shows %s", what, got)
		}
	}
}
