package whole

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"example.org/gripleaf/cmd/internal/fault"
)

func TestWrite(t *testing.T) {
	path := filepath.Join(t.TempDir(), "new", "file.txt")
	if err := Bytes(path, []byte("one")); err != nil {
		t.Fatal(err)
	}
	broken := errors.New("broken")
	err := Write(path, func(w io.Writer) error {
		io.WriteString(w, "half of tw")
		return broken
	})
	if !errors.Is(err, broken) {
		t.Errorf("got %v, want %v", err, broken)
	}
	if got, _ := os.ReadFile(path); string(got) != "one" {
		t.Errorf("after a failure the file holds %q", got)
	}
	if entries, _ := os.ReadDir(filepath.Dir(path)); len(entries) != 1 {
		t.Errorf("parts are left over: %v", entries)
	}
	if err := Bytes(path, []byte("two")); err != nil {
		t.Fatal(err)
	}
	if got, _ := os.ReadFile(path); string(got) != "two" {
		t.Errorf("the file holds %q", got)
	}
}

// memory is a cache in memory.
type memory map[string][]byte

func (m memory) Get(kind, name string) ([]byte, bool) { data, ok := m[kind+name]; return data, ok }

func (m memory) Put(kind, name string, data []byte) error { m[kind+name] = data; return nil }

// A Keeper replaces what it has written, and keeps what it has not, or what was changed since, until it is told
// otherwise.
func TestKeeper(t *testing.T) {
	folder := t.TempDir()
	path, other := filepath.Join(folder, "a.txt"), filepath.Join(folder, "b.txt")
	k := &Keeper{Memory: memory{}}
	holds := func(name, want string) {
		t.Helper()
		if got, _ := os.ReadFile(name); string(got) != want {
			t.Errorf("%s holds %q, want %q", name, got, want)
		}
	}
	for _, text := range []string{"one", "two"} {
		if err := k.Bytes(path, []byte(text)); err != nil {
			t.Fatal(err)
		}
		holds(path, text)
	}
	os.WriteFile(path, []byte("edited"), 0o666)
	os.WriteFile(other, []byte("of somebody else"), 0o666)
	for _, name := range []string{path, other} {
		var kept fault.Fault
		if err := k.Bytes(name, []byte("three")); !errors.As(err, &kept) || kept.File != name || !strings.Contains(kept.Hint, "--overwrite") {
			t.Errorf("%s: %v", name, err)
		}
	}
	holds(path, "edited")
	holds(other, "of somebody else")
	if err := k.Bytes(other, []byte("of somebody else")); err != nil {
		t.Errorf("the same again: %v", err)
	}
	k.Overwrite = true
	if err := k.Bytes(path, []byte("three")); err != nil {
		t.Error(err)
	}
	holds(path, "three")
	if entries, _ := os.ReadDir(folder); len(entries) != 2 {
		t.Errorf("parts are left over: %v", entries)
	}
}

// A new file never takes the place of another one.
func TestCreate(t *testing.T) {
	path := filepath.Join(t.TempDir(), "new", "file.txt")
	if err := Create(path, []byte("one")); err != nil {
		t.Fatal(err)
	}
	if err := Create(path, []byte("two")); !errors.Is(err, fs.ErrExist) {
		t.Errorf("got %v, want that it is there", err)
	}
	if got, _ := os.ReadFile(path); string(got) != "one" {
		t.Errorf("the file holds %q", got)
	}
	if entries, _ := os.ReadDir(filepath.Dir(path)); len(entries) != 1 {
		t.Errorf("parts are left over: %v", entries)
	}
}

// A Keeper that is killed once a file has its name finds it its own the next time.
func TestKeeperRemembersFirst(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.txt")
	m := memory{}
	first := &Keeper{Memory: m}
	if err := first.Bytes(path, []byte("one")); err != nil {
		t.Fatal(err)
	}
	next := &Keeper{Memory: onlyBefore{m, path}}
	if err := next.Bytes(path, []byte("two")); err != nil {
		t.Fatal(err)
	}
	if err := next.Bytes(path, []byte("three")); err != nil {
		t.Errorf("its own file: %v", err)
	}
}

// onlyBefore forgets what is put once the file has its new contents: as if the process had been killed.
type onlyBefore struct {
	memory
	path string
}

func (m onlyBefore) Put(kind, name string, data []byte) error {
	if text, _ := os.ReadFile(m.path); string(text) != "one" {
		return nil
	}
	return m.memory.Put(kind, name, data)
}

// What a killed process has left is removed, what one that runs is writing is not.
func TestLeftOver(t *testing.T) {
	gone := exec.Command(os.Args[0], "-test.run", "^$")
	if err := gone.Run(); err != nil {
		t.Fatal(err)
	}
	here := t.TempDir()
	t.Setenv("TMPDIR", here)
	name := func(prefix string, pid int) string { return filepath.Join(here, prefix+strconv.Itoa(pid)+"-1") }
	for _, pid := range []int{gone.Process.Pid, os.Getppid()} {
		os.WriteFile(name(partPrefix, pid), nil, 0o666)
		os.MkdirAll(filepath.Join(name(folderPrefix, pid), "deep"), 0o777)
	}
	path, remove, err := Folder()
	if err != nil {
		t.Fatal(err)
	}
	if err := Bytes(filepath.Join(here, "a.txt"), nil); err != nil {
		t.Fatal(err)
	}
	for _, prefix := range []string{partPrefix, folderPrefix} {
		if _, err := os.Lstat(name(prefix, gone.Process.Pid)); err == nil {
			t.Errorf("%s: what a killed process has left is there", prefix)
		}
		if _, err := os.Lstat(name(prefix, os.Getppid())); err != nil {
			t.Errorf("%s: what another process writes is gone", prefix)
		}
	}
	remove()
	if _, err := os.Lstat(path); err == nil {
		t.Error("the folder is left over")
	}
}
