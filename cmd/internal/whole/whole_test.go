package whole

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"testing"
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
