package parity_test

import (
	"encoding/json"
	"errors"
	"io"
	"os"
	"os/exec"
	"slices"
	"strings"
	"testing"
)

const root = "example.org/gripleaf/"

// listed is what `go list -json` says of a package.
type listed struct {
	ImportPath           string
	Standard             bool
	Imports, TestImports []string
	XTestImports         []string
}

func list(t *testing.T, environment []string, arguments ...string) (packages []listed) {
	t.Helper()
	cmd := exec.Command("go", append([]string{"list", "-json=ImportPath,Standard,Imports,TestImports,XTestImports"}, arguments...)...)
	cmd.Env = append(os.Environ(), environment...)
	out, err := cmd.Output()
	if err != nil {
		var failed *exec.ExitError
		if errors.As(err, &failed) {
			t.Fatalf("go list: %s", failed.Stderr)
		}
		t.Fatal(err)
	}
	for d := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p listed
		if err := d.Decode(&p); errors.Is(err, io.EOF) {
			return packages
		} else if err != nil {
			t.Fatal(err)
		}
		packages = append(packages, p)
	}
}

// Dependencies point one way: commands to calculators to physics. What is on the left imports nothing of the right.
func TestImportsPointOneWay(t *testing.T) {
	never := map[string][]string{
		"calculators/":         {"cmd/", "theme", "content"},
		"calculators/physics/": {"calculators/kit", "calculators/figure", "calculators/quantity", "calculators/preset"},
		"calculators/quantity": {"calculators/"},
		"calculators/figure":   {"calculators/kit", "calculators/physics/", "calculators/preset"},
		"calculators/kit":      {"calculators/physics/", "calculators/preset", "calculators/standard"},
	}
	for _, p := range list(t, nil, root+"calculators/...") {
		name := strings.TrimPrefix(p.ImportPath, root)
		for left, rights := range never {
			if !strings.HasPrefix(name+"/", left) {
				continue
			}
			for _, imported := range p.Imports {
				for _, right := range rights {
					if strings.HasPrefix(strings.TrimPrefix(imported, root)+"/", right) && strings.HasPrefix(imported, root) {
						t.Errorf("%s imports %s", name, imported)
					}
				}
			}
		}
		for _, imported := range slices.Concat(p.Imports, p.TestImports, p.XTestImports) {
			if strings.HasPrefix(imported, root+"cmd/") {
				t.Errorf("%s or its tests import %s", name, imported)
			}
			if !strings.HasPrefix(imported, root) && strings.Contains(strings.SplitN(imported, "/", 2)[0], ".") && slices.Contains(p.Imports, imported) {
				t.Errorf("%s imports %s: calculators use the standard library only", name, imported)
			}
		}
	}
}

// heavy are packages of the standard library that would make the module large, or do what a calculator must not.
var heavy = strings.Fields("fmt reflect encoding/json encoding/gob net/url net regexp text/template html/template html time sort os bufio log math/rand math/big")

func TestModuleLinksNothingHeavy(t *testing.T) {
	found := 0
	for _, p := range list(t, []string{"GOOS=wasip1", "GOARCH=wasm"}, "-deps", root+"calculators/module", root+"calculators/module/rides") {
		if slices.Contains(heavy, p.ImportPath) {
			t.Errorf("the module links %s", p.ImportPath)
		}
		if strings.HasPrefix(p.ImportPath, root+"cmd/") || !p.Standard && !strings.HasPrefix(p.ImportPath, root) {
			t.Errorf("the module links %s", p.ImportPath)
		}
		if p.ImportPath == root+"calculators/standard/closed" || p.ImportPath == root+"calculators/squeeze" {
			found++
		}
	}
	if found != 2 {
		t.Error("the modules do not link the standard calculators: the check looked at something else")
	}
}

// Nothing imports the module's main: a site's own main links the reactor beside it.
func TestNothingImportsTheModule(t *testing.T) {
	for _, p := range list(t, nil, root+"...") {
		if slices.Contains(slices.Concat(p.Imports, p.TestImports, p.XTestImports), root+"calculators/module") {
			t.Errorf("%s imports the module", p.ImportPath)
		}
	}
}
