// Command fuzzers runs every fuzz target of the project for a given time, one after the other:
//
//	go run ./testdata/fuzzers -time 3m                 all of them; about an hour
//	go run ./testdata/fuzzers -time 10s -only Parse    a taste of some
//	go run ./testdata/fuzzers -time 3m -keep 10        and keep ten of the inputs that were found worth it
//	go run ./testdata/fuzzers -time 3m -workers 1      on one core, beside other work
//
// An input that fails is left in the target's testdata/fuzz, where every go test runs it from then on. What -keep keeps
// goes there too: the shortest of the inputs that reached new code.
package main

import (
	"cmp"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"time"
)

type target struct{ pkg, dir, name string }

func main() {
	each := flag.Duration("time", time.Minute, "how long each target runs")
	only := flag.String("only", "", "run the targets whose package and name match this regular expression")
	keep := flag.Int("keep", 0, "how many inputs to keep of each target")
	workers := flag.Int("workers", runtime.GOMAXPROCS(0), "how many inputs are tried at a time")
	flag.Parse()
	if err := run(*each, *only, *keep, *workers); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func run(each time.Duration, only string, keep, workers int) error {
	wanted, err := regexp.Compile(only)
	if err != nil {
		return err
	}
	targets, err := list()
	if err != nil {
		return err
	}
	ran, failed, inputs := 0, 0, 0
	for _, t := range targets {
		if !wanted.MatchString(t.pkg + "." + t.name) {
			continue
		}
		out, err := exec.Command("go", "test", t.pkg, "-run", "^$", "-fuzz", "^"+t.name+"$", "-fuzztime", each.String(), "-parallel", strconv.Itoa(workers)).CombinedOutput()
		verdict := last(string(out))
		ran, inputs = ran+1, inputs+executions(verdict)
		if err != nil {
			failed++
			verdict = "FAILED\n" + string(out)
		}
		fmt.Printf("%s %s: %s\n", t.pkg, t.name, verdict)
		if err := t.keep(keep); err != nil {
			return err
		}
	}
	fmt.Printf("%d inputs tried on %d targets, %v each\n", inputs, ran, each)
	if failed > 0 {
		return fmt.Errorf("%d targets failed", failed)
	}
	return nil
}

// list asks the go command for all fuzz targets.
func list() ([]target, error) {
	out, err := exec.Command("go", "list", "-f", "{{.ImportPath}}\t{{.Dir}}\t{{.TestGoFiles}}{{.XTestGoFiles}}", "./calculators/...", "./cmd/...").Output()
	if err != nil {
		return nil, fmt.Errorf("go list: %w", err)
	}
	declared := regexp.MustCompile(`(?m)^func (Fuzz\w+)\(`)
	var targets []target
	for line := range strings.Lines(string(out)) {
		f := strings.SplitN(line, "\t", 3)
		for _, file := range strings.Fields(strings.NewReplacer("[", " ", "]", " ").Replace(f[2])) {
			text, err := os.ReadFile(filepath.Join(f[1], file))
			if err != nil {
				return nil, err
			}
			for _, m := range declared.FindAllSubmatch(text, -1) {
				targets = append(targets, target{f[0], f[1], string(m[1])})
			}
		}
	}
	return targets, nil
}

// last is the last thing that the fuzzer said of its work.
func last(out string) string {
	said := ""
	for line := range strings.Lines(out) {
		if strings.HasPrefix(line, "fuzz: elapsed") {
			said = strings.TrimSpace(strings.TrimPrefix(line, "fuzz: "))
		}
	}
	return said
}

// executions is how many inputs the fuzzer says that it has tried.
func executions(said string) int {
	_, rest, _ := strings.Cut(said, "execs: ")
	number, _, _ := strings.Cut(rest, " ")
	n, _ := strconv.Atoi(number) // nothing said is nothing tried
	return n
}

// keep copies the shortest inputs that the fuzzer found worth keeping into the target's folder, up to n in all.
func (t target) keep(n int) error {
	if n == 0 {
		return nil
	}
	cache, err := exec.Command("go", "env", "GOCACHE").Output()
	if err != nil {
		return err
	}
	found, err := filepath.Glob(filepath.Join(strings.TrimSpace(string(cache)), "fuzz", t.pkg, t.name, "*"))
	if err != nil {
		return err
	}
	into := filepath.Join(t.dir, "testdata", "fuzz", t.name)
	have, _ := os.ReadDir(into)
	sizes := make(map[string]int64)
	for _, file := range found {
		if info, err := os.Stat(file); err == nil {
			sizes[file] = info.Size()
		}
	}
	slices.SortFunc(found, func(a, b string) int { return cmp.Or(cmp.Compare(sizes[a], sizes[b]), cmp.Compare(a, b)) })
	for _, file := range spread(found, n-len(have)) {
		text, err := os.ReadFile(file)
		if err != nil {
			return err
		}
		if err := os.MkdirAll(into, 0o777); err != nil {
			return err
		}
		if err := os.WriteFile(filepath.Join(into, filepath.Base(file)), text, 0o666); err != nil {
			return err
		}
	}
	return nil
}

// spread takes n files of the shorter half, evenly: the very shortest say little.
func spread(files []string, n int) []string {
	files = files[:len(files)/2]
	if n <= 0 || len(files) <= n {
		return files[:max(0, min(n, len(files)))]
	}
	var some []string
	for i := range n {
		some = append(some, files[i*len(files)/n])
	}
	return some
}
