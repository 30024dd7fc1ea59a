package preview

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
)

// lasting keeps files that never change, whose names hold a hash of what is in them. A page that was loaded just before
// a build asks for its style sheet or its calculators when that build has put others in their place already; and one
// that was shown early asks for what a build with faults has not published. The zero lasting is empty.
type lasting struct {
	mu    sync.Mutex
	files map[string][]byte
	order []string // as they came
	size  int
}

// mostLasting bounds what is kept: some editions of the calculators, which are a few megabytes each.
const mostLasting = 64 << 20

func (l *lasting) put(name string, data []byte) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.files == nil {
		l.files = make(map[string][]byte)
	}
	if l.files[name] != nil {
		l.order = slices.DeleteFunc(l.order, func(n string) bool { return n == name })
	} else {
		l.size += len(data)
	}
	l.files[name], l.order = data, append(l.order, name)
	for l.size > mostLasting && len(l.order) > 1 {
		l.size -= len(l.files[l.order[0]])
		delete(l.files, l.order[0])
		l.order = l.order[1:]
	}
}

func (l *lasting) get(name string) ([]byte, bool) {
	l.mu.Lock()
	defer l.mu.Unlock()
	data, ok := l.files[name]
	return data, ok
}

// keep keeps what a folder holds of names that pages load.
func (l *lasting) keep(folder string, names []string) {
	for _, name := range names {
		if !loaded(name) {
			continue
		}
		if _, known := l.get(name); known {
			continue
		}
		if data, err := os.ReadFile(filepath.Join(folder, name)); err == nil {
			l.put(name, data)
		}
	}
}

// loaded reports whether a name is of something that many pages load and that never changes.
func loaded(name string) bool {
	ending := filepath.Ext(name)
	return (ending == ".css" || ending == ".js" || ending == ".wasm") && hashed.MatchString(name) && !strings.Contains(name, "/")
}
