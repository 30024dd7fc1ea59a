package wasm

import (
	"context"
	"errors"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/rogpeppe/go-internal/txtar"

	"example.org/gripleaf/calculators/standard"
	"example.org/gripleaf/cmd/internal/cache"
	"example.org/gripleaf/cmd/internal/fault"
)

var update = flag.Bool("update", false, "rewrite the messages in testdata/faults; what it writes is to be read before it is kept")

// Whatever an author gets wrong in a calculator of the site's own, the message names the file and the line, what is
// wrong and what to do. Each archive is a folder calculators/ and the messages.
func TestFaultsOfCalculators(t *testing.T) {
	here, _ := os.Getwd()
	archives, err := filepath.Glob(filepath.Join(here, "testdata/faults/*.txtar"))
	if err != nil || len(archives) == 0 {
		t.Fatal(archives, err)
	}
	kept := t.TempDir()
	for _, name := range archives {
		t.Run(strings.TrimSuffix(filepath.Base(name), ".txtar"), func(t *testing.T) {
			archive, err := txtar.ParseFile(name)
			if err != nil {
				t.Fatal(err)
			}
			last := &archive.Files[len(archive.Files)-1]
			got := faultsOf(t, archive.Files[:len(archive.Files)-1], cache.Cache{Folder: kept})
			if *update {
				last.Data = []byte(got)
				if err := os.WriteFile(name, txtar.Format(archive), 0o666); err != nil {
					t.Fatal(err)
				}
			}
			if diff := cmp.Diff(string(last.Data), got); diff != "" {
				t.Error(diff)
			}
		})
	}
}

// faultsOf is what is wrong with a folder of calculators, as the terminal shows it.
func faultsOf(t *testing.T, files []txtar.File, kept cache.Cache) string {
	t.Helper()
	s, err := New(kept, siteOf(t, files))
	if err == nil {
		var b *Sandbox
		if b, err = s.Sandbox(context.Background(), standard.Set, 5*time.Second); err == nil {
			err = errors.Join(errors.New("nothing is wrong"), b.Close())
		}
	}
	var text strings.Builder
	list := fault.From(err)
	list.Sort()
	if err := list.Print(&text, false); err != nil {
		t.Fatal(err)
	}
	return text.String()
}

// siteOf makes a site with these files in its calculators/, and goes there.
func siteOf(t *testing.T, files []txtar.File) string {
	t.Helper()
	t.Chdir(t.TempDir())
	for _, f := range files {
		path := filepath.Join("calculators", filepath.FromSlash(f.Name))
		if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, f.Data, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	return "."
}
