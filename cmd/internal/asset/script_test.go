package asset

import (
	"bytes"
	"encoding/json"
	"errors"
	"io/fs"
	"os"
	"os/exec"
	"strings"
	"testing"

	"github.com/evanw/esbuild/pkg/api"
	"github.com/google/go-cmp/cmp"

	"example.org/gripleaf/cmd/internal/judge"
)

const judges = "../../../testdata/judges/"

// The page's script and the service worker have no finding of the TypeScript compiler at its strictest.
func TestTypesOfTheScript(t *testing.T) {
	node := judge.Find(t, "node")
	compiler := judges + "node_modules/typescript/bin/tsc"
	if _, err := os.Stat(compiler); errors.Is(err, fs.ErrNotExist) {
		if os.Getenv("CI") != "" {
			t.Fatal("TypeScript is not installed: npm ci --prefix testdata/judges")
		}
		t.Skip("TypeScript is not installed: npm ci --prefix testdata/judges")
	}
	for _, project := range []string{"script", "service"} {
		judge.Ask(t, node, compiler, "-p", judges+project+".tsconfig.json")
	}
}

// The script reads and writes queries as calculators/kit does: both are held against one table.
func TestQueriesOfTheTableInTheScript(t *testing.T) {
	text, err := os.ReadFile("../../../calculators/kit/testdata/queries.json")
	if err != nil {
		t.Fatal(err)
	}
	var table []struct {
		Query, Written string
		Pairs          [][2]string
	}
	if err := json.Unmarshal(text, &table); err != nil || len(table) == 0 {
		t.Fatal(err)
	}
	program := `import { pairsOf, written } from "./query";
console.log(JSON.stringify(` + string(text) + `.map(({ query }) => ({ Pairs: [...pairsOf(query)], Written: written(pairsOf(query)) }))));`
	built := api.Build(api.BuildOptions{Bundle: true, Stdin: &api.StdinOptions{Contents: program, ResolveDir: "../../../theme/script", Loader: api.LoaderTS}})
	if len(built.Errors) > 0 {
		t.Fatal(built.Errors)
	}
	run := exec.Command(judge.Find(t, "node"), "-")
	run.Stdin = bytes.NewReader(built.OutputFiles[0].Contents)
	out, err := run.Output()
	if err != nil {
		t.Fatal(err)
	}
	var got []struct {
		Pairs   [][2]string
		Written string
	}
	if err := json.Unmarshal(out, &got); err != nil || len(got) != len(table) {
		t.Fatal(err, string(out))
	}
	for i, row := range table {
		if diff := cmp.Diff(row.Pairs, got[i].Pairs); diff != "" {
			t.Errorf("%s (-want +got):\n%s", row.Query, diff)
		}
		_, want, _ := strings.Cut(row.Query, "?")
		if row.Written != "" {
			want = row.Written
		}
		if got[i].Written != want {
			t.Errorf("%s is written %s, want %s", row.Query, got[i].Written, want)
		}
	}
}
