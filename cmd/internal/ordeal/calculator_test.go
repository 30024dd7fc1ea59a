//go:build unix

package ordeal_test

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/txtar"
)

var faults = flag.Bool("faults", false, "save every archive of faults of calculators into a preview, and not just three")

// A preview lives through whatever is wrong with calculators of the site's own: it says so, goes on serving what it
// last built, and takes the calculator over once it is right.
func TestPreviewOutlivesCalculators(t *testing.T) {
	t.Parallel()
	p := startPreview(t, trial())
	names := must(filepath.Glob("../wasm/testdata/faults/*.txtar"))
	if !*faults {
		names = []string{"../wasm/testdata/faults/compile-syntax.txtar", "../wasm/testdata/faults/declared.txtar", "../wasm/testdata/faults/start-panic.txtar"}
	}
	calculators := filepath.Join(p.site, "calculators")
	for _, name := range names {
		archive := must(txtar.ParseFile(name))
		last := len(archive.Files) - 1
		want, _, _ := strings.Cut(string(archive.Files[last].Data), "\n")
		want, _, _ = strings.Cut(want, " within ") // so many seconds, which are fewer in that test
		if err := os.RemoveAll(calculators); err != nil {
			t.Fatal(err)
		}
		for _, f := range archive.Files[:last] {
			put(t, filepath.Join(calculators, f.Name), string(f.Data))
		}
		p.untilWithin(2*patience, name, func() bool { return strings.Contains(strings.ReplaceAll(p.words(), "site/", ""), want) })
		if page := p.page("stop.html"); !strings.Contains(page, "A trial") {
			t.Errorf("%s: the last good page is gone", name)
		}
	}
	if err := os.RemoveAll(calculators); err != nil {
		t.Fatal(err)
	}
	for name, text := range trial() {
		if name == "en/stop.md" {
			text += "\nMended.\n"
		}
		put(t, filepath.Join(p.site, name), text)
	}
	p.until("the mended site", func() bool { return strings.Contains(p.page("stop.html"), "Mended.") })
}
