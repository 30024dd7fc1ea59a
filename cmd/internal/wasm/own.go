package wasm

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"

	"golang.org/x/mod/modfile"

	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/folder"
)

// own is the calculators that a site brings: a Go module in its folder calculators/, in which every package that
// declares a variable Calculator is one.
type own struct {
	folder   string // absolute
	shown    string // as messages name it
	module   *modfile.File
	packages []*declared
}

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
	name := filepath.Join(shown, "go.mod")
	if err != nil {
		return nil, fault.Fault{Code: ownCode, File: name, Text: "this file cannot be read: " + folder.Why(err)}
	}
	abs, err := filepath.Abs(shown)
	if err != nil {
		return nil, err
	}
	o := &own{folder: abs, shown: shown}
	if o.module, err = moduleOf(name, text); err != nil {
		return nil, err
	}
	if o.path() == modulePath {
		return nil, nil // the program's own calculators: they are linked anyway
	}
	if err := o.find(files); err != nil {
		return nil, err
	}
	if len(o.packages) == 0 {
		return nil, fault.Fault{Code: ownCode, File: shown, Text: "there is no calculator in here",
			Hint: "declare one: var Calculator = kit.Calculator{…}"}
	}
	return o, nil
}

// ownCode is the kind of all faults of a site's own calculators.
const ownCode = "own-calculators"

// path is the module's.
func (o *own) path() string { return o.module.Module.Mod.Path }

// moduleOf reads a go.mod.
func moduleOf(name string, text []byte) (*modfile.File, error) {
	f, err := modfile.ParseLax(name, text, nil)
	var wrong modfile.ErrorList
	switch {
	case errors.As(err, &wrong) && len(wrong) > 0:
		one := fault.At(name, text, wrong[0].Pos.Byte, 1, wrong[0].Err.Error(), "a go.mod begins with: module NAME")
		one.Code = ownCode
		return nil, one
	case err != nil:
		return nil, fault.Fault{Code: ownCode, File: name, Text: err.Error()}
	case f.Module == nil:
		return nil, fault.Fault{Code: ownCode, File: name, Text: "this names no module", Hint: "begin it with: module NAME"}
	}
	return f, nil
}

// find lists the packages that declare a Calculator.
func (o *own) find(files *folder.Folder) error {
	byFolder := make(map[string]*declared)
	var unread fault.List
	err := fs.WalkDir(files, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !shipped(name) {
			return err
		}
		text, err := files.ReadFile(name)
		if err != nil {
			return fault.Fault{Code: ownCode, File: filepath.Join(o.shown, name), Text: "this file cannot be read: " + folder.Why(err)}
		}
		p := byFolder[path.Dir(name)]
		if p == nil {
			p = newDeclared(o, path.Dir(name))
			byFolder[p.folder] = p
		}
		before := p.calculator
		unread.Add(p.read(name, text)...)
		if before == nil && p.calculator != nil {
			o.packages = append(o.packages, p)
		}
		return nil
	})
	if err == nil && len(o.packages) == 0 && len(unread) > 0 {
		return unread
	}
	return err
}

// writeMain writes the main of the module that readers get: the closed formulas and the site's own.
func (o *own) writeMain(folder, standard string) error {
	body := "func init() {\n\treactor.Set = append(reactor.Set, closed.Set...)\n" +
		o.each("\treactor.Set = append(reactor.Set, &own%d.Calculator)\n") + "}\n\nfunc main() {}\n"
	return o.write(folder, standard, []string{modulePath + "/calculators/module/reactor", modulePath + "/calculators/standard/closed"}, body)
}

// writeGuest writes the program that answers the builder.
func (o *own) writeGuest(folder, standard string) error {
	body := "func main() {\n\tguest.Main(kit.Set{\n" + o.each("\t\t&own%d.Calculator,\n") + "\t})\n}\n"
	return o.write(folder, standard, []string{modulePath + "/calculators/guest", modulePath + "/calculators/kit"}, body)
}

// each writes a line of Go for each package. What the compiler finds wrong with it, it tells of the declaration.
func (o *own) each(line string) string {
	var b strings.Builder
	for i, p := range o.packages {
		at := p.files.Position(p.calculator.Pos())
		fmt.Fprintf(&b, "//line %s:%d\n"+line, filepath.Join(o.folder, at.Filename), at.Line, i)
	}
	return b.String() + "//line main.go:1\n"
}

// write writes a Go module with one main that imports the site's own calculators as own0, own1, …. The program's
// packages are taken from where they were unpacked.
func (o *own) write(folder, standard string, imports []string, body string) error {
	if err := os.MkdirAll(folder, 0o777); err != nil {
		return err
	}
	mod, err := o.goMod(standard)
	if err != nil {
		return err
	}
	var b strings.Builder
	b.WriteString("package main\n\nimport (\n")
	for _, p := range imports {
		fmt.Fprintf(&b, "\t%q\n", p)
	}
	for i, p := range o.packages {
		at := p.files.Position(p.calculator.Pos())
		fmt.Fprintf(&b, "//line %s:%d\n\town%d %q\n", filepath.Join(o.folder, at.Filename), at.Line, i, path.Join(o.path(), p.folder))
	}
	b.WriteString("//line main.go:1\n)\n\n" + body)
	files := map[string][]byte{"go.mod": mod, "main.go": []byte(b.String())}
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

// goMod is the go.mod of a main that takes both modules from where they are, and what the site's own needs from where
// it says.
func (o *own) goMod(standard string) ([]byte, error) {
	var f modfile.File
	err := errors.Join(f.AddModuleStmt("gripleaf.invalid/module"), f.AddGoStmt("1.26"),
		f.AddRequire(modulePath, "v0.0.0"), f.AddRequire(o.path(), "v0.0.0"),
		f.AddReplace(modulePath, "", standard, ""), f.AddReplace(o.path(), "", o.folder, ""))
	for _, r := range o.module.Require {
		if r.Mod.Path != modulePath {
			err = errors.Join(err, f.AddRequire(r.Mod.Path, r.Mod.Version))
		}
	}
	for _, r := range o.module.Replace {
		to := r.New.Path
		if r.New.Version == "" && !filepath.IsAbs(to) {
			to = filepath.Join(o.folder, to)
		}
		if r.Old.Path != modulePath {
			err = errors.Join(err, f.AddReplace(r.Old.Path, r.Old.Version, to, r.New.Version))
		}
	}
	if err != nil {
		return nil, err
	}
	return f.Format()
}

// compileFaults turns the compiler's messages, each PATH:LINE:COLUMN: TEXT, into faults in the author's files.
func (s *Source) compileFaults(text, in string, err error) error {
	var list fault.List
	for line := range strings.Lines(text) {
		file, at, says, ok := compilerLine(strings.TrimSpace(line))
		if !ok || s.own == nil {
			continue
		}
		if !filepath.IsAbs(file) {
			file = filepath.Join(in, file)
		}
		if relative, e := filepath.Rel(s.own.folder, file); e == nil && !strings.HasPrefix(relative, "..") {
			text, hint := s.own.plain(says)
			list.Add(s.own.at(relative, at[0], at[1], 1, text, hint))
		}
	}
	if len(list) > 0 {
		return list
	}
	if s.own != nil {
		return fault.Fault{Code: ownCode, File: s.own.shown, Text: "the calculators cannot be compiled", Hint: strings.TrimSpace(text)}
	}
	return fmt.Errorf("compiling the calculators: %w\n%s", err, strings.TrimRight(text, "\n"))
}

// plain is a message of the compiler without the parts of it that are about files which the author did not write.
func (o *own) plain(message string) (text, hint string) {
	text = strings.ReplaceAll(message, o.folder, o.shown)
	switch {
	case strings.Contains(text, "&own"):
		return "this is no kit.Calculator", "declare a value: var Calculator = kit.Calculator{…}"
	case strings.Contains(text, "not an importable package"):
		return text, "name the package after its folder"
	case strings.Contains(text, "use of internal package"):
		return text, "put it into a folder that is not below internal/"
	}
	for _, begins := range []string{"no required module provides package ", "cannot find module providing package "} {
		if rest, ok := strings.CutPrefix(text, begins); ok {
			name, _, _ := strings.Cut(strings.Replace(rest, ";", ":", 1), ":")
			return "there is no package " + name, "look at the path of the import; a package of somebody else's is got in " + o.shown + " with: go get " + name
		}
	}
	return text, ""
}

// message is what the compiler says: PATH:LINE:COLUMN: TEXT, sometimes without the column.
var message = regexp.MustCompile(`^(.+?):(\d+)(?::(\d+))?: (.*)$`)

// compilerLine takes a message apart. Without a column that is 1.
func compilerLine(line string) (file string, at [2]int, text string, ok bool) {
	m := message.FindStringSubmatch(line)
	if m == nil {
		return "", at, "", false
	}
	at[0], _ = strconv.Atoi(m[2])
	at[1], _ = strconv.Atoi(cmp.Or(m[3], "1"))
	return m[1], at, m[4], true
}

// at is a fault at a place of one of the author's files, which counts from 1, columns and length in bytes. Column 0 is
// the whole line.
func (o *own) at(name string, line, column, length int, text, hint string) fault.Fault {
	code, _ := os.ReadFile(filepath.Join(o.folder, name))
	source := fault.Source{File: filepath.Join(o.shown, name), Text: code}
	start := source.Offset(line, 1) + column - 1
	if column == 0 {
		whole, _, _ := strings.Cut(string(code[start+1:]), "\n")
		words := strings.TrimLeft(whole, " \t")
		start, length = start+1+len(whole)-len(words), len(strings.TrimRight(words, " \t\r"))
	}
	f := source.At(start, length, text, hint)
	f.Code = ownCode
	return f
}
