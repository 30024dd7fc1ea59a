// Package watch tells of changes to the files of some folders.
//
// What the system says (inotify, kqueue, ReadDirectoryChangesW, by way of fsnotify) is only taken as a hint to look: a
// path is told of if, once it has been quiet for a moment, its file is not what it was when it was last told of. So an
// editor that writes by renaming, one that truncates first, and one that leaves temporary files for an instant all make
// one change of one path, and a folder that is moved away, deleted or made again is looked through as a whole. Where
// the system cannot watch, or not as many folders as there are, the folders are looked through by turns.
package watch

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"slices"
	"sync"
	"syscall"
	"time"

	"github.com/fsnotify/fsnotify"
)

// A Watcher tells of changes below its roots. Its fields must not be changed while it runs.
type Watcher struct {
	// Roots are files and folders; they need not exist yet.
	Roots []string

	// Skip says which files and folders are not watched, by their path as it would be told. It may be nil.
	Skip func(path string) bool

	// Quiet is how long a path must be quiet to be told of, 40 ms if zero.
	Quiet time.Duration

	// Poll, if not zero, makes the watcher look through all folders at this interval instead of asking the system,
	// which cannot tell of changes to folders that other machines write to.
	Poll time.Duration

	// Warn is told in words if watching does not work as it should. It may be nil.
	Warn func(text string)

	// Ready is called once what is there has been seen, so that all changes from then on are told of. It may be nil.
	Ready func()

	testAdd func(dir string) error // stands in for the system's way to watch a folder
}

const (
	defaultQuiet = 40 * time.Millisecond
	defaultPoll  = time.Second
	patience     = 5  // in times of Quiet: how long changes wait for others that are not quiet yet
	leisure      = 20 // in times of what a look through all takes: the least interval of looks
)

// Run calls changed with the paths that have changed, sorted, until ctx is done; then it returns nil. Each path begins
// with the root that it is below. Changes that come while changed runs are told of in one call after it.
//
// What is there until it calls Ready is no change.
func (w *Watcher) Run(ctx context.Context, changed func(paths []string)) error {
	r := &run{
		Watcher: w,
		changed: changed,
		files:   make(map[string]fs.FileInfo),
		dirs:    make(map[string]fs.FileInfo),
		warned:  make(map[string]bool),
		ready:   make(map[string]bool),
		hints:   hints{heard: make(map[string]hint), wake: make(chan struct{}, 1)},
	}
	r.start()
	defer r.stop()
	r.lookThrough(r.remember)
	if r.Ready != nil {
		r.Ready()
	}
	r.loop(ctx)
	return nil
}

// A run is one call of Run. Its loop has all to itself but the hints, which another goroutine adds to, so that the
// system never waits for a look.
type run struct {
	*Watcher
	changed func([]string)
	system  *fsnotify.Watcher // nil if polling
	readers sync.WaitGroup    // of what the system says
	hints   hints

	files  map[string]fs.FileInfo // as they were told of last
	dirs   map[string]fs.FileInfo // that are watched
	lookAt time.Time              // when to look through all; zero is never
	warned map[string]bool

	ready      map[string]bool // paths to be told of
	readySince time.Time
	busy       chan struct{} // closed when changed returns; nil while it does not run
}

// hints are what the system has said.
type hints struct {
	wake chan struct{} // holds something if there are new hints

	mu    sync.Mutex
	heard map[string]hint // by path
	look  bool            // folders have changed, or something was lost
}

// A hint is that a path has changed.
type hint struct {
	last time.Time
	info fs.FileInfo // what a look saw then; nil if the system said so
}

// add takes what the system says of a path.
func (h *hints) add(path string) {
	h.mu.Lock()
	h.heard[path] = hint{last: time.Now()}
	h.mu.Unlock()
	h.signal()
}

// addSeen takes what a look saw at a path. It is no news if the look before saw the same.
func (h *hints) addSeen(path string, info fs.FileInfo) {
	h.mu.Lock()
	if before, ok := h.heard[path]; !ok || !same(before.info, info) {
		h.heard[path] = hint{time.Now(), info}
	}
	h.mu.Unlock()
	h.signal()
}

func (h *hints) addLook() {
	h.mu.Lock()
	h.look = true
	h.mu.Unlock()
	h.signal()
}

func (h *hints) signal() {
	select {
	case h.wake <- struct{}{}:
	default:
	}
}

func (r *run) quiet() time.Duration {
	if r.Quiet > 0 {
		return r.Quiet
	}
	return defaultQuiet
}

// warn tells what does not work, each thing once.
func (r *run) warn(format string, args ...any) {
	text := fmt.Sprintf(format, args...)
	if r.Warn != nil && !r.warned[text] {
		r.warned[text] = true
		r.Warn(text)
	}
}

func (r *run) loop(ctx context.Context) {
	timer := time.NewTimer(r.wait(time.Now()))
	defer timer.Stop()
	for {
		select {
		case <-ctx.Done():
			if r.busy != nil {
				<-r.busy
			}
			return
		case <-r.hints.wake:
		case <-timer.C:
		case <-r.busy:
			r.busy = nil
		}
		r.step(time.Now())
		timer.Reset(r.wait(time.Now()))
	}
}

// step does what is due.
func (r *run) step(now time.Time) {
	r.hints.mu.Lock()
	look := r.hints.look
	r.hints.look = false
	r.hints.mu.Unlock()
	if soon := now.Add(r.quiet() / 4); look && (r.lookAt.IsZero() || soon.Before(r.lookAt)) {
		r.lookAt = soon // not at once, since one change of a folder rarely comes alone
	}
	if !r.lookAt.IsZero() && !now.Before(r.lookAt) {
		r.lookThrough(r.hints.addSeen)
	}
	for _, path := range r.takeQuiet(now) {
		r.check(path, now)
	}
	r.tell(now)
}

// takeQuiet takes the paths that have been quiet for long enough.
func (r *run) takeQuiet(now time.Time) (paths []string) {
	r.hints.mu.Lock()
	defer r.hints.mu.Unlock()
	for path, hint := range r.hints.heard {
		if now.Sub(hint.last) >= r.quiet() {
			paths = append(paths, path)
			delete(r.hints.heard, path)
		}
	}
	return paths
}

// check finds out whether the file at path is not what it was.
func (r *run) check(path string, now time.Time) {
	info, err := os.Lstat(path)
	if errors.Is(err, fs.ErrNotExist) || errors.Is(err, syscall.ENOTDIR) {
		info = nil
	} else if err != nil {
		r.warn("%v", err)
		return
	}
	if (info != nil && info.IsDir()) != (r.dirs[path] != nil) {
		r.hints.addLook()
	}
	if info != nil && info.IsDir() {
		info = nil
	}
	if before := r.files[path]; !same(before, info) {
		r.remember(path, info)
		if len(r.ready) == 0 {
			r.readySince = now
		}
		r.ready[path] = true
	}
}

// remember takes the file at path for told; info is nil if there is none.
func (r *run) remember(path string, info fs.FileInfo) {
	if info == nil {
		delete(r.files, path)
	} else {
		r.files[path] = info
	}
}

// same reports whether two looks have seen the same file with the same content.
func same(a, b fs.FileInfo) bool {
	if a == nil || b == nil {
		return a == nil && b == nil
	}
	return os.SameFile(a, b) && a.Size() == b.Size() && a.ModTime().Equal(b.ModTime())
}

// tell calls changed, if it does not run, once all paths are quiet or the first has waited for the others for long
// enough.
func (r *run) tell(now time.Time) {
	if len(r.ready) == 0 || r.busy != nil || r.stirring(now) && now.Sub(r.readySince) < patience*r.quiet() {
		return
	}
	paths := slices.Sorted(maps.Keys(r.ready))
	clear(r.ready)
	done := make(chan struct{})
	r.busy = done
	go func() {
		defer close(done)
		r.changed(paths)
	}()
}

// stirring reports whether there are paths that are not quiet yet, or may be after a look that is due soon.
func (r *run) stirring(now time.Time) bool {
	r.hints.mu.Lock()
	defer r.hints.mu.Unlock()
	return len(r.hints.heard) > 0 || r.hints.look || !r.lookAt.IsZero() && r.lookAt.Sub(now) <= r.quiet()
}

// wait returns how long there is nothing to do unless something is heard.
func (r *run) wait(now time.Time) time.Duration {
	wait := time.Hour
	until := func(t time.Time) { wait = min(wait, max(t.Sub(now), time.Millisecond)) }
	r.hints.mu.Lock()
	defer r.hints.mu.Unlock()
	for _, hint := range r.hints.heard {
		until(hint.last.Add(r.quiet()))
	}
	if !r.lookAt.IsZero() {
		until(r.lookAt)
	}
	if len(r.ready) > 0 && r.busy == nil {
		until(r.readySince.Add(patience * r.quiet()))
	}
	return wait
}
