package main

import (
	"flag"
	"os"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

// update rewrites the expected files in the scripts; what it writes is to be read before it is kept.
var update = flag.Bool("update", false, "rewrite what the scripts expect")

// The test binary runs itself as the command.
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"gripleaf": main})
}

// Each script is a story of a user: its commands first, then its files. They are named category_detail.
func TestScripts(t *testing.T) {
	kept, err := os.UserCacheDir() // of compiled modules and of the go command, which would take minutes to fill again
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir:           "testdata/script",
		UpdateScripts: *update,
		Setup: func(e *testscript.Env) error {
			e.Setenv("XDG_CACHE_HOME", kept)
			e.Setenv("GOFLAGS", "")
			own, _, _ := strings.Cut(e.Getenv("PATH"), string(os.PathListSeparator))
			e.Setenv("OWN", own) // the path of nothing but this program
			return nil
		},
	})
}
