package build

import (
	"crypto/sha256"
	"encoding/binary"
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.org/gripleaf/cmd/internal/cache"
)

// What is kept comes back to the last bit, for the same calculators alone; what a disk has changed does not.
func TestAnswers(t *testing.T) {
	c := cache.Cache{Folder: t.TempDir()}
	a := answers{c, "module.1"}
	want := []float64{49.04, 0.1 + 0.2, -0, 1e-300}
	a.Put("rider?skill=5%", want)
	if got, ok := a.Get("rider?skill=5%"); !ok || !cmp.Equal(got, want) {
		t.Errorf("%v, %v", got, ok)
	}
	if _, ok := a.Get("rider"); ok {
		t.Error("another query has an answer")
	}
	if _, ok := (answers{c, "module.2"}).Get("rider?skill=5%"); ok {
		t.Error("other calculators have an answer")
	}
}

// A crowd that an earlier build has worked out is not worked out again, and the pages are the same.
func TestAnswersOfAnEarlierBuild(t *testing.T) {
	g := newGround(t)
	g.build()
	want := g.built()
	answers := g.cache.Path("answers", "")
	kept, err := os.ReadDir(answers)
	if err != nil || len(kept) != 2 {
		t.Fatalf("kept are %v, error %v", kept, err)
	}
	again := func() map[string][sha256.Size]byte {
		t.Helper()
		g.forget()
		if err := os.Symlink(answers, g.cache.Path("answers", "")); err != nil {
			t.Fatal(err)
		}
		if err := os.RemoveAll(filepath.Join(g.dir, "built")); err != nil {
			t.Fatal(err)
		}
		g.build()
		return g.built()
	}
	if diff := cmp.Diff(want, again()); diff != "" {
		t.Error(diff)
	}
	crowd := make([]float64, 8+1000) // all stop at once
	text, err := binary.Append(nil, binary.LittleEndian, crowd)
	if err != nil {
		t.Fatal(err)
	}
	for _, answer := range kept { // of the crowd, and of what has another length and so is worked out again
		if err := g.cache.Put("answers", answer.Name(), text); err != nil {
			t.Fatal(err)
		}
	}
	const page = "calculators/rider.html"
	if again()[page] == want[page] {
		t.Error("the crowd was worked out again")
	}
	b := Builder{Site: filepath.Join(g.dir, "site"), Out: filepath.Join(g.dir, "anew"), Cache: cache.Cache{Folder: t.TempDir()}, Anew: true}
	defer b.Close()
	for _, kind := range []string{"module", "answers"} {
		if err := os.Symlink(g.cache.Path(kind, ""), b.Cache.Path(kind, "")); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := b.Build(t.Context()); err != nil {
		t.Fatal(err)
	}
	text, err = os.ReadFile(filepath.Join(g.dir, "anew", page))
	if err != nil || sha256.Sum256(text) != want[page] {
		t.Errorf("what was to be made anew is not: %v", err)
	}
}
