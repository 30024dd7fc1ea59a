package build

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"testing"

	"example.org/gripleaf/cmd/internal/cache"
	"example.org/gripleaf/cmd/internal/page"
	"example.org/gripleaf/testdata/courses"
)

type nobody struct{}

func (nobody) Wanted() []string       { return nil }
func (nobody) Made(string, []byte)    {}
func (nobody) Settle(context.Context) {}

func BenchmarkOnePage(b *testing.B) {
	dir := filepath.Join(b.TempDir(), "site")
	if err := courses.Make(dir, 60, 1); err != nil {
		b.Fatal(err)
	}
	bu := Builder{Site: dir, Out: filepath.Join(b.TempDir(), "built"), Cache: cache.Open(), Viewer: nobody{}}
	defer bu.Close()
	if _, err := bu.Build(context.Background()); err != nil {
		b.Fatal(err)
	}
	r := bu.last
	e := r.course.Languages[0].Lessons[30]
	r.files = os.DirFS(dir)
	r.course.Files = r.files
	ll, m, f := r.readAndCheck(e)
	if len(f) > 0 {
		b.Fatal(f)
	}
	b.Run("write", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			var out bytes.Buffer
			if err := r.shows(e, m).Write(&out, ll, nil); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("key", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			page.Key(r.shows(e, m))
		}
	})
	b.Run("check", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			r.readAndCheck(e)
		}
	})
}
