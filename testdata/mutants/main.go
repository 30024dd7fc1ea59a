// Command mutants asks whether the tests would notice a mistake: it changes one token of the physics at a time, seeded,
// runs the tests of the calculators on the changed code, and counts the changes that no test minds.
//
//	go run ./testdata/mutants -n 200            the whole run; half an hour on two cores
//	go run ./testdata/mutants -n 20 -seed 7     a taste
//
// No file of the project is touched: the changed file is laid over with go test -overlay.
package main

import (
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"go/scanner"
	"go/token"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"time"
)

// mutant is one changed token.
type mutant struct {
	file     string
	offset   int
	old, new string
	line     int
	text     string // of the line
}

func (m mutant) String() string {
	return fmt.Sprintf("%s:%d: %s -> %s in %s", m.file, m.line, m.old, m.new, m.text)
}

// swaps are the changes tried: each turns one token into one that also compiles.
var swaps = map[token.Token]string{
	token.ADD: "-", token.SUB: "+", token.MUL: "/", token.QUO: "*",
	token.LSS: "<=", token.LEQ: "<", token.GTR: ">=", token.GEQ: ">", token.EQL: "!=", token.NEQ: "==",
	token.LAND: "||", token.LOR: "&&", token.ADD_ASSIGN: "-=", token.SUB_ASSIGN: "+=", token.MUL_ASSIGN: "/=",
}

var words = map[string]string{"min": "max", "max": "min", "true": "false", "false": "true", "Sin": "Cos", "Cos": "Sin"}

func main() {
	n := flag.Int("n", 200, "how many mutants")
	seed := flag.Uint64("seed", 1, "which ones")
	dir := flag.String("dir", "calculators/physics", "the code that is changed")
	tests := flag.String("tests", "./calculators/...", "the tests that have to notice")
	jobs := flag.Int("jobs", 2, "how many at a time")
	limit := flag.Duration("limit", 3*time.Minute, "a mutant that runs longer counts as noticed")
	flag.Parse()
	if err := run(*n, *seed, *dir, *tests, *jobs, *limit); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func run(n int, seed uint64, dir, tests string, jobs int, limit time.Duration) error {
	all, err := find(dir)
	if err != nil {
		return err
	}
	r := rand.New(rand.NewPCG(seed, 0))
	r.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
	all = all[:min(n, len(all))]
	verdicts := make([]string, len(all))
	next := make(chan int)
	var wg sync.WaitGroup
	for range jobs {
		wg.Go(func() {
			for i := range next {
				verdicts[i] = try(all[i], tests, limit)
				fmt.Printf("%s  %s\n", verdicts[i], all[i])
			}
		})
	}
	for i := range all {
		next <- i
	}
	close(next)
	wg.Wait()
	return report(verdicts)
}

func report(verdicts []string) error {
	count := map[string]int{}
	for _, v := range verdicts {
		count[v]++
	}
	tried := len(verdicts) - count[noBuild]
	noticed := count[noticed]
	fmt.Printf("%d mutants compiled, %d noticed (%.1f %%), %d survived, %d did not compile\n",
		tried, noticed, 100*float64(noticed)/float64(max(tried, 1)), count[survived], count[noBuild])
	if float64(noticed) < 0.9*float64(tried) {
		return fmt.Errorf("fewer than 90 %% of the mutants were noticed")
	}
	return nil
}

// find lists every token below dir that a swap applies to.
func find(dir string) ([]mutant, error) {
	var all []mutant
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		src, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		all = append(all, inFile(path, src)...)
		return nil
	})
	return all, err
}

func inFile(path string, src []byte) []mutant {
	files := token.NewFileSet()
	file := files.AddFile(path, -1, len(src))
	var s scanner.Scanner
	s.Init(file, src, nil, 0)
	var list []mutant
	for {
		pos, tok, literal := s.Scan()
		if tok == token.EOF {
			return list
		}
		old, changed := tok.String(), swaps[tok]
		switch tok {
		case token.IDENT:
			old, changed = literal, words[literal]
		case token.FLOAT:
			if v, err := strconv.ParseFloat(literal, 64); err == nil && v != 0 {
				old, changed = literal, strconv.FormatFloat(v*1.25, 'g', 12, 64)
			}
		}
		if changed != "" {
			start := file.Offset(file.LineStart(file.Line(pos)))
			text, _, _ := strings.Cut(string(src[start:]), "\n")
			list = append(list, mutant{path, file.Offset(pos), old, changed, file.Line(pos), strings.TrimSpace(text)})
		}
	}
}

// try lays one mutant over and runs the tests.
func try(m mutant, tests string, limit time.Duration) string {
	dir, err := os.MkdirTemp("", "mutant")
	if err != nil {
		return noBuild
	}
	defer os.RemoveAll(dir)
	src, err := os.ReadFile(m.file)
	if err != nil {
		return noBuild
	}
	changed := append(append(append([]byte(nil), src[:m.offset]...), m.new...), src[m.offset+len(m.old):]...)
	path, _ := filepath.Abs(m.file)
	overlay, _ := json.Marshal(map[string]map[string]string{"Replace": {path: filepath.Join(dir, "mutant.go")}})
	if os.WriteFile(filepath.Join(dir, "mutant.go"), changed, 0o644) != nil || os.WriteFile(filepath.Join(dir, "overlay.json"), overlay, 0o644) != nil {
		return noBuild
	}
	for _, tests := range []string{"./" + filepath.Dir(m.file), tests} { // those beside it notice soonest
		if verdict := test(filepath.Join(dir, "overlay.json"), tests, limit); verdict != survived {
			return verdict
		}
	}
	return survived
}

// What can come of a mutant.
const (
	survived = "SURVIVED"
	noticed  = "noticed "
	noBuild  = "no build"
)

// test runs tests on the changed code.
func test(overlay, tests string, limit time.Duration) string {
	ctx, cancel := context.WithTimeout(context.Background(), limit)
	defer cancel()
	var out bytes.Buffer
	cmd := exec.CommandContext(ctx, "go", "test", "-failfast", "-overlay", overlay, tests)
	cmd.Stdout, cmd.Stderr = &out, &out
	cmd.WaitDelay = time.Second
	switch err := cmd.Run(); {
	case err == nil:
		return survived
	case bytes.Contains(out.Bytes(), []byte("[build failed]")):
		return noBuild
	}
	return noticed
}
