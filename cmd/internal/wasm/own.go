package wasm

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"

	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/folder"
)

// own is the calculators that a site brings: a Go module in its folder calculators/, in which every package that
// declares a variable Calculator is one.
type own struct {
	folder   string // absolute
	shown    string // as messages name it
	module   string // its module path
	packages []string
}

var (
	moduleLine     = regexp.MustCompile(`(?m)^module\s+"?([^\s"]+)"?`)
	calculatorLine = regexp.MustCompile(`(?m)^var Calculator\b`)
)

// findOwn looks for calculators of the site; nil if it has none.
func findOwn(site string) (*own, error) {
	shown := filepath.Join(site, "calculators")
	files, err := folder.Open(shown)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	defer files.Close()
	text, err := files.ReadFile("go.mod")
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fault.Fault{Code: "own-calculators", File: filepath.Join(shown, "go.mod"), Text: "this file cannot be read: " + folder.Why(err)}
	}
	abs, err := filepath.Abs(shown)
	if err != nil {
		return nil, err
	}
	name := moduleLine.FindSubmatch(text)
	if name == nil {
		return nil, fault.Fault{Code: "own-calculators", File: filepath.Join(shown, "go.mod"), Text: "this names no module", Hint: "begin it with: module NAME"}
	}
	if string(name[1]) == modulePath {
		return nil, nil // the program's own calculators: they are linked anyway
	}
	o := &own{folder: abs, shown: shown, module: string(name[1])}
	if err := o.find(files); err != nil {
		return nil, err
	}
	if len(o.packages) == 0 {
		return nil, fault.Fault{Code: "own-calculators", File: shown, Text: "there is no calculator in here", Hint: "declare one: var Calculator = kit.Calculator{…}"}
	}
	return o, nil
}

// find lists the packages that declare a Calculator.
func (o *own) find(files *folder.Folder) error {
	seen := make(map[string]bool)
	return fs.WalkDir(files, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !shipped(name) {
			return err
		}
		text, err := files.ReadFile(name)
		if err != nil {
			return fault.Fault{Code: "own-calculators", File: filepath.Join(o.shown, name), Text: "this file cannot be read: " + folder.Why(err)}
		}
		if !calculatorLine.Match(text) {
			return nil
		}
		if p := path.Join(o.module, path.Dir(name)); !seen[p] {
			seen[p] = true
			o.packages = append(o.packages, p)
		}
		return nil
	})
}

// writeMain writes the main of the module that readers get: the standard calculators and the site's own.
func (o *own) writeMain(folder, standard string) error {
	var b strings.Builder
	b.WriteString("func init() {\n\treactor.Set = append(reactor.Set, standard.Set...)\n")
	for i := range o.packages {
		fmt.Fprintf(&b, "\treactor.Set = append(reactor.Set, &own%d.Calculator)\n", i)
	}
	b.WriteString("}\n\nfunc main() {}\n")
	return o.write(folder, standard, []string{modulePath + "/calculators/module/reactor", modulePath + "/calculators/standard"}, b.String())
}

// write writes a Go module with one main that imports the site's own calculators as own0, own1, …. The program's
// packages are taken from where they were unpacked.
func (o *own) write(folder, standard string, imports []string, body string) error {
	if err := os.MkdirAll(folder, 0o777); err != nil {
		return err
	}
	mod := fmt.Sprintf("module gripleaf.invalid/module\n\ngo 1.26\n\nrequire %s v0.0.0\nrequire %s v0.0.0\nreplace %s => %s\nreplace %s => %s\n",
		modulePath, o.module, modulePath, strconv.Quote(standard), o.module, strconv.Quote(o.folder))
	var b strings.Builder
	b.WriteString("package main\n\nimport (\n")
	for _, p := range imports {
		fmt.Fprintf(&b, "\t%q\n", p)
	}
	for i, p := range o.packages {
		fmt.Fprintf(&b, "\town%d %q\n", i, p)
	}
	b.WriteString(")\n\n" + body)
	files := map[string][]byte{"go.mod": []byte(mod), "main.go": []byte(b.String())}
	if sum, err := os.ReadFile(filepath.Join(o.folder, "go.sum")); err == nil {
		files["go.sum"] = sum
	}
	for name, text := range files {
		if err := os.WriteFile(filepath.Join(folder, name), text, 0o666); err != nil {
			return err
		}
	}
	return nil
}

// compilerLine is one message of the compiler: file:line:column: text.
var compilerLine = regexp.MustCompile(`^(.+\.go):(\d+):(\d+): (.*)$`)

// compileFaults turns the compiler's messages into faults in the author's files.
func (s *Source) compileFaults(text, in string, err error) error {
	var list fault.List
	for line := range strings.Lines(text) {
		m := compilerLine.FindStringSubmatch(strings.TrimRight(line, "\n"))
		if m == nil || s.own == nil {
			continue
		}
		file := m[1]
		if !filepath.IsAbs(file) {
			file = filepath.Join(in, file)
		}
		relative, e := filepath.Rel(s.own.folder, file)
		if e != nil || strings.HasPrefix(relative, "..") {
			continue
		}
		list.Add(s.own.fault(relative, m[2], m[3], m[4]))
	}
	if len(list) == 0 {
		return fmt.Errorf("compiling the calculators: %w\n%s", err, strings.TrimRight(text, "\n"))
	}
	return list
}

func (o *own) fault(name, line, column, text string) fault.Fault {
	shown := filepath.Join(o.shown, name)
	l, _ := strconv.Atoi(line)
	c, _ := strconv.Atoi(column)
	source, _ := os.ReadFile(filepath.Join(o.folder, name))
	at := 0
	for range l - 1 {
		i := strings.IndexByte(string(source[at:]), '\n')
		if i < 0 {
			break
		}
		at += i + 1
	}
	f := fault.At(shown, source, at+c-1, 1, text, "")
	f.Code = "own-calculators"
	return f
}
