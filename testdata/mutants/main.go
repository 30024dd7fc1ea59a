//go:build unix

// Command mutants asks whether the tests would notice a mistake: it changes one token of the physics at a time, seeded,
// runs the tests on the changed code, and counts the changes that no test minds.
//
//	go run ./testdata/mutants -n 200            the whole run; half an hour on two cores
//	go run ./testdata/mutants -n 20 -seed 7     a taste
//	go run ./testdata/mutants -only check.go    200 of those whose name matches this
//
// The tests beside the changed file come first, then what is written down of all calculators' answers, then all their
// tests, last the ledger of the course; the first that fails ends it, and so does one that takes many times as long as it should. Mutants that survive and are told of
// in README.md, with the reason, are known; others are to be read, and tested or told of there.
//
// No file of the project is touched: the changed file is laid over with go test -overlay.
package main

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"go/scanner"
	"go/token"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"time"
)

// mutant is one changed token.
type mutant struct {
	file     string
	offset   int
	old, new string
	line     int
	was, is  string // the line
}

// name tells a mutant from all others for as long as its line stays as it is.
func (m mutant) name() string { return fmt.Sprintf("%s: %s → %s", m.file, m.was, m.is) }

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
	jobs := flag.Int("jobs", 2, "how many at a time")
	only := flag.String("only", "", "try only those whose name matches this regular expression")
	flag.Parse()
	if err := run(*n, *seed, *dir, *only, *jobs); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func run(n int, seed uint64, dir, only string, jobs int) error {
	wanted, err := regexp.Compile(only)
	if err != nil {
		return err
	}
	all, err := find(dir)
	if err != nil {
		return err
	}
	known, err := os.ReadFile("testdata/mutants/README.md")
	if err != nil {
		return err
	}
	for _, s := range stages(dir) {
		if verdict := s.test("", 10*time.Minute); verdict != survived {
			return fmt.Errorf("go test %s fails before anything is changed", strings.Join(s, " "))
		}
	}
	r := rand.New(rand.NewPCG(seed, 0))
	r.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
	all = slices.DeleteFunc(all, func(m mutant) bool { return !wanted.MatchString(m.name()) })
	count := make(map[string]int)
	tried := func() int { return count[noticed] + count[knownOne] + count[survived] }
	var mu sync.Mutex
	var group sync.WaitGroup
	next := func() (m mutant, ok bool) { // those that do not compile are not counted
		mu.Lock()
		defer mu.Unlock()
		if tried()+count[underway] >= n || len(all) == 0 {
			return m, false
		}
		count[underway]++
		m, all = all[0], all[1:]
		return m, true
	}
	for range jobs {
		group.Go(func() {
			for m, ok := next(); ok; m, ok = next() {
				start := time.Now()
				verdict := try(m)
				if verdict == survived && strings.Contains(string(known), "`"+m.name()+"`") {
					verdict = knownOne
				}
				mu.Lock()
				count[underway]--
				count[verdict]++
				fmt.Printf("%s %4.0f s  line %d of %s\n", verdict, time.Since(start).Seconds(), m.line, m.name())
				mu.Unlock()
			}
		})
	}
	group.Wait()
	share := 100 * float64(count[noticed]) / float64(max(tried(), 1))
	fmt.Printf("%d mutants: %d noticed (%.1f %%), %d survived and are known, %d survived; %d more did not compile\n",
		tried(), count[noticed], share, count[knownOne], count[survived], count[noBuild])
	if share < 90 || count[survived] > 0 {
		return errors.New("at least 90 % are to be noticed, and the others to be known")
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
			line, _, _ := strings.Cut(string(src[start:]), "\n")
			at := file.Offset(pos)
			is := line[:at-start] + changed + line[at-start+len(old):]
			list = append(list, mutant{path, at, old, changed, file.Line(pos), strings.TrimSpace(line), strings.TrimSpace(is)})
		}
	}
}

// What can come of a mutant.
const (
	survived = "SURVIVED"
	knownOne = "known   "
	noticed  = "noticed "
	noBuild  = "no build"
	underway = "underway"
)

// try lays one mutant over and runs the tests.
func try(m mutant) string {
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
	for _, s := range stages(filepath.Dir(m.file)) {
		if verdict := s.test(filepath.Join(dir, "overlay.json"), limit); verdict != survived {
			return verdict
		}
	}
	return survived
}

// limit is how long one stage may take. The longest takes half a minute by itself, so what runs longer does not end.
const limit = 3 * time.Minute

// stage is what go test is told to test.
type stage []string

// stages are the tests that have to notice a change in a folder, those that are likely to first.
func stages(dir string) []stage {
	return []stage{{"./" + dir + "/..."}, {"./calculators/standard", "-run", "Answers"}, {"./calculators/..."}, {"./cmd/internal/ordeal", "-run", "LedgerHoldsTheCourse"}}
}

// test runs the tests of a stage until one fails. The overlay holds for what they compile, too.
func (s stage) test(overlay string, limit time.Duration) string {
	ctx, cancel := context.WithTimeout(context.Background(), limit)
	defer cancel()
	cmd := exec.CommandContext(ctx, "go", append([]string{"test", "-failfast", "-vet=off"}, s...)...)
	cmd.Env = append(os.Environ(), "GOFLAGS="+strings.TrimSpace(os.Getenv("GOFLAGS")+" -overlay="+overlay))
	cmd.WaitDelay = time.Second
	cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true} // so that what go test has started ends with it
	cmd.Cancel = func() error { return syscall.Kill(-cmd.Process.Pid, syscall.SIGKILL) }
	out, err := cmd.StdoutPipe()
	if err != nil || cmd.Start() != nil {
		return noBuild
	}
	verdict := survived
	for lines := bufio.NewScanner(out); verdict == survived && lines.Scan(); {
		switch line := lines.Text(); {
		case strings.Contains(line, "[build failed]"):
			verdict = noBuild
		case strings.HasPrefix(line, "--- FAIL"), strings.HasPrefix(line, "FAIL"), strings.HasPrefix(line, "panic: "):
			verdict = noticed
		}
	}
	if verdict != survived {
		cancel()
	}
	if cmd.Wait() != nil && verdict == survived { // such as one that does not end
		verdict = noticed
	}
	return verdict
}
