package whole

import (
	"errors"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"syscall"
)

// What a process has not finished bears its number, so that what a killed one has left can be recognised and removed.
const (
	partPrefix   = ".part-"
	folderPrefix = "gripleaf-"
)

// mine is a pattern for os.CreateTemp and os.MkdirTemp: PREFIX, the number of this process, and letters of chance.
func mine(prefix string) string { return prefix + strconv.Itoa(os.Getpid()) + "-*" }

// Folder makes a folder out of the way for what is not finished. Call remove at the end.
func Folder() (path string, remove func(), err error) {
	clear(os.TempDir(), folderPrefix)
	path, err = os.MkdirTemp("", mine(folderPrefix))
	return path, func() { os.RemoveAll(path) }, err
}

// cleared are the folders that clear has been through.
var cleared sync.Map

// clear removes what killed processes have left in a folder, once for each.
func clear(folder, prefix string) {
	if _, before := cleared.LoadOrStore(folder+"\x00"+prefix, true); before {
		return
	}
	names, _ := filepath.Glob(filepath.Join(escape(folder), prefix+"*-*"))
	for _, name := range names {
		number, _, _ := strings.Cut(strings.TrimPrefix(filepath.Base(name), prefix), "-")
		if pid, err := strconv.Atoi(number); err == nil && pid > 0 && !runs(pid) {
			os.RemoveAll(name)
		}
	}
}

// escape keeps signs in the name of a folder from meaning many names.
func escape(folder string) string {
	return strings.NewReplacer(`[`, `[[]`, `*`, `[*]`, `?`, `[?]`).Replace(folder)
}

// runs reports whether there is, or may be, such a process.
func runs(pid int) bool {
	p, err := os.FindProcess(pid)
	if err != nil {
		return false
	}
	defer p.Release()
	return !errors.Is(p.Signal(syscall.Signal(0)), os.ErrProcessDone)
}
