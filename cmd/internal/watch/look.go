package watch

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"time"

	"github.com/fsnotify/fsnotify"
)

// start begins to listen to the system, unless looks are to do.
func (r *run) start() {
	if r.Poll > 0 {
		return
	}
	system, err := fsnotify.NewWatcher()
	if err != nil {
		r.pollBecause(err)
		return
	}
	r.system = system
	r.readers.Go(func() {
		for event := range system.Events {
			r.hear(event)
		}
	})
	r.readers.Go(func() {
		for range system.Errors { // hints were lost, for one reason or another
			r.hints.addLook()
		}
	})
}

// hear takes a hint of the system.
func (r *run) hear(event fsnotify.Event) {
	path := filepath.Clean(event.Name)
	if event.Op == fsnotify.Chmod || !r.covers(path) {
		return
	}
	r.hints.add(path)
	if !event.Has(fsnotify.Create) {
		return
	}
	if info, err := os.Lstat(path); err == nil && info.IsDir() {
		r.hints.addLook() // what is put into it is not heard of yet
	}
}

// stop stops to listen to the system.
func (r *run) stop() {
	if r.system != nil {
		r.system.Close()
		r.readers.Wait()
		r.system = nil
	}
}

// pollBecause changes over to looks, as the system cannot watch.
func (r *run) pollBecause(err error) {
	r.stop()
	why := err.Error()
	switch {
	case errors.Is(err, syscall.ENOSPC):
		why = "there are more folders than this system watches for one user " +
			"(on Linux, fs.inotify.max_user_watches says how many)"
	case errors.Is(err, syscall.EMFILE):
		why = "too many programs of this user watch folders, or too many files are open"
	}
	r.warn("cannot be told of changes: %s; looking for them every %v instead", why, r.interval(0))
}

// interval returns the time between looks that take as long as took.
func (r *run) interval(took time.Duration) time.Duration {
	interval := r.Poll
	if interval <= 0 {
		interval = defaultPoll
	}
	return max(interval, leisure*took)
}

// covers reports whether path is a root or below one.
func (r *run) covers(path string) bool {
	for _, root := range r.Roots {
		if below(filepath.Clean(root), path) {
			return r.Skip == nil || !r.Skip(path)
		}
	}
	return false
}

func below(root, path string) bool {
	const sep = string(filepath.Separator)
	switch {
	case root == path:
		return true
	case root == ".":
		return !filepath.IsAbs(path) && path != ".." && !strings.HasPrefix(path, ".."+sep)
	}
	return strings.HasPrefix(path, strings.TrimSuffix(root, sep)+sep)
}

// A look goes through all that is there.
type look struct {
	*run
	dirs    map[string]fs.FileInfo
	files   map[string]bool
	differs func(path string, info fs.FileInfo)
}

// lookThrough watches the folders that are there and calls differs for every file that is not what it was; its info is
// nil if it is gone.
func (r *run) lookThrough(differs func(path string, info fs.FileInfo)) {
	begin := time.Now()
	r.lookAt = time.Time{}
	r.dropDirs()
	l := &look{r, make(map[string]fs.FileInfo), make(map[string]bool), differs}
	for _, root := range r.Roots {
		l.root(filepath.Clean(root))
	}
	for path := range r.files {
		if !l.files[path] {
			differs(path, nil)
		}
	}
	for dir := range r.dirs {
		if l.dirs[dir] == nil && r.system != nil {
			r.system.Remove(dir)
		}
	}
	r.dirs = l.dirs
	if r.system == nil {
		now := time.Now()
		r.lookAt = now.Add(r.interval(now.Sub(begin)))
	}
}

// dropDirs stops watching folders that are not where they were. This must be before others are watched: one that was
// moved is still known by its old name.
func (r *run) dropDirs() {
	for dir, before := range r.dirs {
		if info, err := os.Lstat(dir); err == nil && os.SameFile(before, info) {
			continue
		}
		if r.system != nil {
			r.system.Remove(dir) // an error says that the system has forgotten it
		}
		delete(r.dirs, dir)
	}
}

// root looks through a root. One that is a file, or not there, is watched by way of the folder that it is in.
func (l *look) root(root string) {
	info, err := os.Lstat(root)
	if err == nil && info.Mode()&fs.ModeSymlink != 0 {
		info, err = os.Stat(root)
	}
	if err == nil && info.IsDir() {
		l.dir(root, info)
		return
	}
	if err == nil {
		l.file(root, info)
	}
	parent := filepath.Dir(root)
	if info, err := os.Stat(parent); err != nil || !l.watch(parent, info) {
		l.lookAt = time.Now().Add(defaultPoll)
	}
}

func (l *look) skips(path string) bool { return l.Skip != nil && l.Skip(path) }

// dir looks through a folder. It is watched before it is read, so that what changes in between is heard of.
func (l *look) dir(dir string, info fs.FileInfo) {
	l.watch(dir, info)
	entries, err := os.ReadDir(dir)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		l.warn("%v", err)
	}
	for _, entry := range entries {
		path := filepath.Join(dir, entry.Name())
		if l.skips(path) {
			continue
		}
		info, err := entry.Info()
		switch {
		case err != nil:
			l.hints.add(path)
		case info.IsDir():
			l.dir(path, info)
		default:
			l.file(path, info)
		}
	}
}

func (l *look) file(path string, info fs.FileInfo) {
	l.files[path] = true
	if !same(l.run.files[path], info) {
		l.differs(path, info)
	}
}

// watch asks the system to tell of changes in dir. It does so even if it was asked before: the folder can be another
// one of the same name.
func (l *look) watch(dir string, info fs.FileInfo) bool {
	l.dirs[dir] = info
	if l.system == nil {
		return true
	}
	add := l.system.Add
	if l.testAdd != nil {
		add = l.testAdd
	}
	err := add(dir)
	switch {
	case err == nil:
		return true
	case errors.Is(err, fs.ErrNotExist) || errors.Is(err, syscall.ENOTDIR):
		delete(l.dirs, dir)
		return false
	case errors.Is(err, fs.ErrPermission):
		l.warn("%s cannot be watched: %v", dir, err)
		return false
	}
	l.pollBecause(err)
	return true
}
