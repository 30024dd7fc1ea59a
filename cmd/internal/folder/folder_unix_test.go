//go:build unix

package folder_test

import (
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"example.org/gripleaf/cmd/internal/folder"
)

// A site's folder as nobody should hand it over: every file of it is refused, by every way to read, and none is waited
// for.
func TestRefused(t *testing.T) {
	site, beside := t.TempDir(), t.TempDir()
	do := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	do(os.WriteFile(filepath.Join(beside, "secret"), []byte("secret"), 0o666))
	do(syscall.Mkfifo(filepath.Join(site, "pipe"), 0o666))
	do(os.Symlink("/dev/zero", filepath.Join(site, "zero")))
	do(os.Symlink(filepath.Join(beside, "secret"), filepath.Join(site, "whole")))
	do(os.Symlink("../"+filepath.Base(beside)+"/secret", filepath.Join(site, "relative")))
	do(os.Symlink(beside, filepath.Join(site, "folder")))
	do(os.Symlink("loop", filepath.Join(site, "loop")))
	do(os.WriteFile(filepath.Join(site, "long.md"), nil, 0o666))
	do(os.Truncate(filepath.Join(site, "long.md"), 50_000_000))
	f, err := folder.Open(site)
	do(err)
	defer f.Close()
	for name, why := range map[string]string{
		"pipe": "it is a pipe", "zero": "leads out of", "whole": "leads out of", "relative": "leads out of",
		"folder/secret": "leads out of", "loop": "too many", "long.md": "it has 50000000 bytes, and 2000000 are the most",
		"../x": "invalid", "/etc/passwd": "invalid", "a/../pipe": "invalid",
	} {
		_, err1 := fs.ReadFile(f, name)
		file, err2 := f.Open(name)
		if err2 == nil {
			file.Close()
		}
		for _, err := range []error{err1, err2} {
			if err == nil || !strings.Contains(err.Error(), why) {
				t.Errorf("%s: %v", name, err)
			}
		}
	}
	if _, err := fs.ReadDir(f, "folder"); err == nil || !strings.Contains(err.Error(), "leads out of") {
		t.Errorf("the folder beside can be listed: %v", err)
	}
}

// Links within the site are followed, as they are from the shell.
func TestLinksWithin(t *testing.T) {
	site := t.TempDir()
	if err := os.WriteFile(filepath.Join(site, "a"), []byte("text"), 0o666); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink("a", filepath.Join(site, "b")); err != nil {
		t.Fatal(err)
	}
	f, err := folder.Open(site)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if text, err := fs.ReadFile(f, "b"); err != nil || string(text) != "text" {
		t.Errorf("%q, %v", text, err)
	}
}
