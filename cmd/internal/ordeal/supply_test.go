//go:build unix

package ordeal_test

import (
	"bytes"
	"flag"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

var anew = flag.Bool("anew", false, "compare two binaries of the whole program, compiled without any cache, which takes minutes")

const root = "../../.."

// sources copies what the program is built from.
func sources(t *testing.T) string {
	t.Helper()
	to := t.TempDir()
	for _, name := range []string{"cmd", "calculators", "theme"} {
		if err := os.CopyFS(filepath.Join(to, name), os.DirFS(filepath.Join(root, name))); err != nil {
			t.Fatal(err)
		}
	}
	for _, name := range []string{"go.mod", "go.sum"} {
		put(t, filepath.Join(to, name), string(must(os.ReadFile(filepath.Join(root, name)))))
	}
	return to
}

// The same sources give the same binary, in whatever folder they lie: the module that readers get, and, with -anew, the
// program.
func TestReproducible(t *testing.T) {
	var binaries [2][]byte
	for i := range binaries {
		cmd := exec.Command("go", "build", "-trimpath", "-buildvcs=false", "-o", "binary", "./calculators/module")
		cmd.Dir, cmd.Env = sources(t), append(os.Environ(), "GOOS=wasip1", "GOARCH=wasm")
		if *anew {
			cmd.Args[len(cmd.Args)-1] = "./cmd/gripleaf"
			cmd.Env = append(os.Environ(), "GOCACHE="+t.TempDir())
		}
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Fatalf("%v\n%s", err, out)
		}
		binaries[i] = must(os.ReadFile(filepath.Join(cmd.Dir, "binary")))
	}
	if !bytes.Equal(binaries[0], binaries[1]) {
		t.Errorf("two folders gave two binaries, of %d and %d bytes", len(binaries[0]), len(binaries[1]))
	}
	if here := must(filepath.Abs(root)); bytes.Contains(binaries[0], []byte(here+"/calculators")) {
		t.Error("the binary says where its sources lay")
	}
}

// cut prepares a command that runs without any network, in a namespace of its own.
func cut(t *testing.T, folder, name string, arguments ...string) *exec.Cmd {
	t.Helper()
	flags := []string{"-n"}
	if os.Getuid() != 0 {
		flags = []string{"-r", "-n"}
	}
	cmd := exec.Command("unshare", append(append(flags, "--", name), arguments...)...)
	cmd.Dir = folder
	return cmd
}

// Once the modules are there, neither the program nor a site needs the network: the program is compiled, a site with a
// calculator of its own is begun, and it and the demo course are built where there is none.
func TestNoNetwork(t *testing.T) {
	t.Parallel()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	_, port, _ := net.SplitHostPort(l.Addr().String())
	reach := []string{"-c", "exec 3<>/dev/tcp/127.0.0.1/" + port}
	if out, err := exec.Command("bash", reach...).CombinedOutput(); err != nil {
		t.Fatalf("the network is not even there before: %v\n%s", err, out)
	}
	if out, err := cut(t, ".", "true").CombinedOutput(); err != nil {
		t.Fatalf("this machine lets nobody cut the network: %v\n%s", err, out)
	}
	if out, err := cut(t, ".", "bash", reach...).CombinedOutput(); err == nil {
		t.Fatalf("the network is not cut\n%s", out)
	}
	folder := t.TempDir()
	if err := os.CopyFS(filepath.Join(folder, "content"), os.DirFS(filepath.Join(root, "content"))); err != nil {
		t.Fatal(err)
	}
	compile := cut(t, root, "go", "build", "-o", filepath.Join(folder, "gripleaf"), "./cmd/gripleaf")
	steps := []*exec.Cmd{compile}
	for _, arguments := range [][]string{{"begin", "first"}, {"build", "first", "--out", "first-built"}, {"build", "content", "--out", "demo"}} {
		cmd := cut(t, folder, "./gripleaf", arguments...)
		cmd.Env = append(environment(), "XDG_CACHE_HOME="+filepath.Join(folder, "cache"))
		steps = append(steps, cmd)
	}
	for _, cmd := range steps {
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Fatalf("%q: %v\n%s", cmd.Args, err, out)
		}
	}
	for _, page := range []string{"first-built/index.html", "demo/index.html", "demo/how-a-stop-is-made.html"} {
		if _, err := os.Stat(filepath.Join(folder, page)); err != nil {
			t.Error(err)
		}
	}
}

// go.sum has every module, and the modules are what it says.
func TestSums(t *testing.T) {
	t.Parallel()
	cmd := exec.Command("go", "mod", "verify")
	cmd.Dir = root
	if out, err := cmd.CombinedOutput(); err != nil || !strings.Contains(string(out), "all modules verified") {
		t.Errorf("%v\n%s", err, out)
	}
}

// course copies the demo course, with its ledger.
func course(t *testing.T) (folder string) {
	t.Helper()
	folder = t.TempDir()
	if err := os.CopyFS(folder, os.DirFS(filepath.Join(root, "content"))); err != nil {
		t.Fatal(err)
	}
	return folder
}

// moved runs a proof of the course in a folder and lists what it says has moved.
func moved(t *testing.T, cmd *exec.Cmd) (lines []string) {
	t.Helper()
	o := wait(t, cmd)
	if o.code != 0 {
		t.Errorf("exit code %d: %s", o.code, o.err)
	}
	for line := range strings.Lines(o.out) {
		if strings.HasPrefix(line, "moved: ") {
			lines = append(lines, strings.TrimSpace(line))
		}
	}
	return lines
}

// The ledger beside the course holds what the calculators give now: a calculator that moves any number of any lesson,
// if only in a place that is not shown, fails here until somebody has run prove and accepted what moved.
func TestLedgerHoldsTheCourse(t *testing.T) {
	t.Parallel()
	folder := course(t)
	before := must(os.ReadFile(filepath.Join(folder, "ledger.json")))
	for _, line := range moved(t, command(t, folder, "prove", ".")) {
		t.Error(line)
	}
	if after := must(os.ReadFile(filepath.Join(folder, "ledger.json"))); !bytes.Equal(before, after) {
		t.Error("content/ledger.json is not what prove writes: run gripleaf prove, read what moved, and commit it")
	}
	if strings.Count(string(before), `"lesson"`) < 100 {
		t.Errorf("the ledger holds only %d numbers", strings.Count(string(before), `"lesson"`))
	}
}

// A constant of the physics that is changed by a millionth moves no number that a lesson shows, and yet the proof lists
// what has moved and changes the ledger, so that the test above fails; once the new ledger is taken, nothing moves.
func TestChangedConstantMovesTheLedger(t *testing.T) {
	t.Parallel()
	source := must(filepath.Abs(filepath.Join(root, "calculators/physics/ride/ride.go")))
	text := string(must(os.ReadFile(source)))
	const is, wrong = "Gravity = 9.80665\n", "Gravity = 9.80666\n"
	if !strings.Contains(text, is) {
		t.Fatalf("%s has no %s", source, is)
	}
	elsewhere := t.TempDir()
	put(t, filepath.Join(elsewhere, "ride.go"), strings.Replace(text, is, wrong, 1))
	put(t, filepath.Join(elsewhere, "overlay.json"), fmt.Sprintf(`{"Replace": {%q: %q}}`, source, filepath.Join(elsewhere, "ride.go")))
	changed := filepath.Join(elsewhere, "gripleaf")
	if out, err := exec.Command("go", "build", "-overlay", filepath.Join(elsewhere, "overlay.json"), "-o", changed, "example.org/gripleaf/cmd/gripleaf").CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	folder := course(t)
	mustRun(t, folder, "prove", ".")
	before := must(os.ReadFile(filepath.Join(folder, "ledger.json")))
	prove := func() []string {
		cmd := exec.Command(changed, "prove", ".")
		cmd.Dir, cmd.Env = folder, environment()
		return moved(t, cmd)
	}
	lines := prove()
	after := must(os.ReadFile(filepath.Join(folder, "ledger.json")))
	t.Logf("%d numbers moved, the first: %.300q", len(lines), lines)
	if len(lines) < 20 || bytes.Equal(before, after) {
		t.Errorf("%d numbers have moved, and the ledger has not: %v", len(lines), bytes.Equal(before, after))
	}
	if again := prove(); len(again) > 0 {
		t.Errorf("once the ledger is taken, %d numbers still move: %q", len(again), again[0])
	}
}
