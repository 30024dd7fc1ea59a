// Package publish puts the pages and assets of a site into a folder, so that the folder holds either the old site or
// the new one, whole, whatever happens on the way: a kill at any moment, a full disk, a page that fails.
//
// # How
//
// A site built/ is assembled as a whole tree beside it, in .built.gripleaf/spare, where files that have not changed are
// hard links; then the two trees change places in one step of the file system (on Linux renameat2 with RENAME_EXCHANGE,
// on macOS renamex_np with RENAME_SWAP). Nobody ever sees a mix, and since nothing but that step touches built/, a run
// that dies before it leaves the old site and one that dies after it the new one. What is left over in the folder
// beside is put in order by the next run.
//
// Renaming changed files one by one into built/, with a journal to finish the work after a kill, was turned down: until
// that next run comes the folder is a mix, and every change is one of two files at least, the page and the manifest. A
// new tree for every build was turned down because 10,000 hard links and their removal cost more than building a page.
//
// So the tree that was replaced stays as the spare of the next build. It differs from the site by the last change only;
// bringing it up to date costs as much as what has changed since, plus one lstat a file to be sure of it. A build
// without changes writes nothing at all. New files wait beside the spare tree until all are made; a first build, which
// has no spare tree, makes them in it.
//
// Where the file system cannot exchange two folders, the old one is renamed away before the new one is renamed into
// place; a kill between the two leaves no site for a moment, and the next run finishes the switch. Where it has no hard
// links, files that have not changed are copied with their times.
//
// # What is whose
//
// manifest.json in the folder names every file of the site with its size and SHA-256. A file that it does not name was
// made by somebody else and is never deleted or replaced: it stops the build, or is carried over if asked
// (Options.KeepForeign). A file that it names but whose bytes are others is damaged; it is replaced and reported if it
// is still part of the site, and treated as somebody else's if not.
package publish

import (
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"iter"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"example.org/gripleaf/cmd/internal/fault"
)

// Options say how to publish into a folder.
type Options struct {
	// Sources are the folders that the site is made from. A site is not built into one of them or into a folder that
	// contains one.
	Sources []string

	// KeepForeign carries over files that the builder did not make instead of stopping at them.
	KeepForeign bool

	// Command is the running command, for the message that another run gets which finds the folder locked; empty means
	// that of the process.
	Command string
}

// An Edition is one publication of a site. Its files are handed to Add, Create and Keep, by any number of goroutines at
// once, and appear together at Commit.
type Edition struct {
	// Interrupted is the earlier run that did not come to its end, if any.
	Interrupted *Holder

	place       place
	lock        *lock
	keepForeign bool
	current     *site // what the folder holds

	mu      sync.Mutex
	outputs map[string]output     // by path in lower case
	spare   func() (*tree, error) // what the spare tree holds
	fresh   *fresh                // the spare tree if it is not there yet, until it is assembled
	parts   int                   // how many parts were begun
	err     error                 // the first that an output failed with
	closed  bool
}

// An output is a file of the new site.
type output struct {
	Entry
	part  string // where its new bytes wait, or inPlace; empty if the file stays as it is
	stamp stamp  // of the part
}

// A Report says what Commit has done.
type Report struct {
	Files   int      // of the whole site
	Bytes   int64    // of the whole site
	Changes []Change // against the site before, as [Changes] orders them
	Damaged []string // files of the site that somebody had changed or removed, made anew
	Foreign []string // files that the builder did not make, carried over
}

// Open takes the lock of folder dir, puts in order what an interrupted run has left, and finds out what the folder
// holds. The edition must be closed.
//
// Errors that whoever builds can do something about are faults, with the code folder-refused, folder-locked or
// foreign-files.
func Open(dir string, o Options) (*Edition, error) {
	p, err := newPlace(dir, o.Sources)
	if err != nil {
		return nil, err
	}
	l, interrupted, err := acquire(p, o.Command)
	if err != nil {
		return nil, err
	}
	e := &Edition{
		Interrupted: interrupted,
		place:       p,
		lock:        l,
		keepForeign: o.KeepForeign,
	}
	if err := e.survey(); err != nil {
		return nil, errors.Join(err, e.Close())
	}
	return e, nil
}

func (e *Edition) survey() error {
	if err := e.place.recover(); err != nil {
		return fmt.Errorf("putting %s in order after an interrupted build: %w", e.place.name, err)
	}
	if err := errors.Join(os.RemoveAll(e.place.parts), os.Mkdir(e.place.parts, 0o777)); err != nil {
		return err
	}
	var err error
	if e.current, err = readSite(e.place); err != nil {
		return fmt.Errorf("reading what is in %s: %w", e.place.name, err)
	}
	e.outputs = make(map[string]output, len(e.current.manifest))
	e.spare = sync.OnceValues(func() (*tree, error) {
		known := e.current.record.spare
		known.addDir(".")
		return surveyHidden(e.place.spare, known)
	})
	if !exists(e.place.spare) {
		e.fresh = &fresh{root: e.place.spare, dirs: make(map[string]error)}
	}
	foreign := e.current.foreign(func(string) bool { return true })
	return e.current.checkForeign(e.place.name, foreign, e.keepForeign)
}

// Keep makes the file at path part of the new site as it is, and reports whether it could: it is there and its content
// has this SHA-256. A builder that knows what a page would be spares itself the making of it.
func (e *Edition) Keep(path string, sum [sha256.Size]byte) bool {
	old, ok := e.current.clean(path)
	if !ok || old.SHA256 != sum {
		return false
	}
	return e.enter(output{Entry: old}) == nil
}

// Has reports whether Keep could keep the file at path.
func (e *Edition) Has(path string, sum [sha256.Size]byte) bool {
	old, ok := e.current.clean(path)
	return ok && old.SHA256 == sum
}

// Add makes data the file at path of the new site, and returns its SHA-256. Paths are relative to the folder and have
// slashes on every system.
func (e *Edition) Add(path string, data []byte) ([sha256.Size]byte, error) {
	entry := Entry{path, int64(len(data)), sha256.Sum256(data)}
	p := part{create: e.creator(path), buffer: *bytes.NewBuffer(data)}
	return entry.SHA256, e.finish(entry, &p)
}

// Create makes what write writes the file at path of the new site. An error of write is an error of the whole edition,
// which can then not be committed.
func (e *Edition) Create(path string, write func(io.Writer) error) error {
	p := part{create: e.creator(path), hash: sha256.New()}
	defer p.discard()
	if err := write(&p); err != nil {
		return e.fail(path, err)
	}
	return e.finish(Entry{path, p.size, p.sum()}, &p)
}

// finish makes a part an output, or the file that is there already.
func (e *Edition) finish(entry Entry, p *part) error {
	if old, ok := e.current.clean(entry.Path); ok && old == entry {
		return e.enter(output{Entry: entry})
	}
	defer p.discard()
	file, stamp, err := p.keep()
	if err != nil {
		return e.fail(entry.Path, err)
	}
	if strings.HasPrefix(file, e.place.spare) {
		file = inPlace
	}
	return e.enter(output{entry, file, stamp})
}

// creator returns what creates the file for the output at path.
func (e *Edition) creator(path string) func() (file *os.File, sync bool, err error) {
	return func() (*os.File, bool, error) { return e.createPart(path) }
}

// createPart creates the file for an output. sync asks for it to be brought to the disk at its end; where there are
// many that is done for all at once.
func (e *Edition) createPart(path string) (file *os.File, sync bool, err error) {
	e.mu.Lock()
	e.parts++
	n, fresh := e.parts, e.fresh
	e.mu.Unlock()
	if fresh != nil {
		file = fresh.create(path)
	} else if n == 1 {
		go e.spare() // there is something new, so the spare tree will be needed
	}
	if file == nil {
		file, err = os.OpenFile(filepath.Join(e.place.parts, fmt.Sprint(n)), os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	}
	return file, n <= few || !canSyncAll, err
}

// fail notes that the output at path could not be made.
func (e *Edition) fail(path string, err error) error {
	e.mu.Lock()
	defer e.mu.Unlock()
	return e.failLocked(path, err)
}

func (e *Edition) failLocked(path string, err error) error {
	err = fmt.Errorf("%s: %w", path, err)
	if e.err == nil {
		e.err = err
	}
	return err
}

// enter adds a finished output to the new site.
func (e *Edition) enter(o output) error {
	e.mu.Lock()
	defer e.mu.Unlock()
	if e.closed {
		return errors.New("the edition is closed")
	}
	if err := checkPath(o.Path); err != nil {
		return e.failLocked(o.Path, err)
	}
	folded := strings.ToLower(o.Path)
	if other, taken := e.outputs[folded]; taken {
		if other.Path == o.Path {
			return e.failLocked(o.Path, errors.New("two outputs have this path"))
		}
		return e.failLocked(o.Path,
			fmt.Errorf("only upper and lower case tell this path from %s, and some disks do not", other.Path))
	}
	e.outputs[folded] = o
	return nil
}

// has reports whether there is an output at p. The caller holds e.mu.
func (e *Edition) has(p string) bool { return e.outputs[strings.ToLower(p)].Path == p }

// Commit switches the folder to the new site. An error before the switch leaves the folder as it was. Commit does not
// wait for outputs that are still being made.
func (e *Edition) Commit(ctx context.Context) (*Report, error) {
	e.mu.Lock()
	defer e.mu.Unlock()
	switch {
	case e.err != nil:
		return nil, e.err
	case e.closed:
		return nil, errors.New("the edition is closed")
	}
	e.closed = true
	report, err := e.commit(ctx)
	if err != nil && !errors.As(err, new(fault.Fault)) {
		err = fmt.Errorf("publishing %s: %w", e.place.name, err)
	}
	return report, err
}

func (e *Edition) commit(ctx context.Context) (*Report, error) {
	foreign := e.current.foreign(e.has)
	if err := e.current.checkForeign(e.place.name, foreign, e.keepForeign); err != nil {
		return nil, err
	}
	report := &Report{Foreign: foreign}
	for _, o := range e.outputs {
		report.Files++
		report.Bytes += o.Size
		if e.current.damaged[o.Path] {
			report.Damaged = append(report.Damaged, o.Path)
		}
	}
	if e.unchanged() {
		return report, e.current.refresh(e.place)
	}
	if err := e.checkClashes(foreign); err != nil {
		return nil, err
	}
	next := e.manifest()
	slices.Sort(report.Damaged)
	var list output
	var err error
	var beside sync.WaitGroup
	beside.Go(func() { list, err = e.list(next) })
	beside.Go(func() { report.Changes = Changes(e.current.manifest, next) })
	a := e.plan(foreign)
	if beside.Wait(); err != nil {
		return nil, err
	}
	e.outputs[ManifestName] = list
	a.add(list)
	e.fresh = nil // from here on the spare tree may hold what is not ours to remove
	return report, e.replace(ctx, a, next, foreign)
}

// unchanged reports whether the site is already what it is to be.
func (e *Edition) unchanged() bool {
	if !e.current.whole() || len(e.outputs) != len(e.current.entries) {
		return false
	}
	for _, o := range e.outputs {
		if e.current.entries[o.Path] != o.Entry {
			return false
		}
	}
	return true
}

// manifest returns the manifest of the new site.
func (e *Edition) manifest() Manifest {
	next := make(Manifest, 0, len(e.outputs))
	for _, old := range e.current.manifest { // in order, and so mostly is the new one
		if o, ok := e.outputs[strings.ToLower(old.Path)]; ok && o.Path == old.Path {
			next = append(next, o.Entry)
		}
	}
	for _, o := range e.outputs {
		if _, ok := e.current.entries[o.Path]; !ok {
			next = append(next, o.Entry)
		}
	}
	if !slices.IsSortedFunc(next, compare) {
		next.sort()
	}
	return next
}

// checkClashes returns an error if two files would be in each other's place.
func (e *Edition) checkClashes(foreign []string) error {
	taken := make(map[string]bool, len(foreign))
	for _, p := range foreign {
		taken[p] = true
		for d := range upwards(p) {
			if e.has(d) {
				return e.clash(d, p)
			}
		}
	}
	for folded, o := range e.outputs {
		for d := range upwards(above(folded)) {
			if other, ok := e.outputs[d]; ok {
				return fmt.Errorf("%s: this must be a folder, as there is an output %s", other.Path, o.Path)
			}
		}
		for d := range upwards(o.Path) {
			if taken[d] {
				return e.clash(o.Path, d)
			}
		}
	}
	return nil
}

func (e *Edition) clash(output, foreign string) error {
	return fault.Fault{
		Code: "foreign-files",
		File: at(e.place.name, foreign),
		Text: fmt.Sprintf("this was not made by the builder and is in the way of %s", output),
		Hint: "move it away, or build into another folder",
	}
}

// upwards yields p and the folders above it.
func upwards(p string) iter.Seq[string] {
	return func(yield func(string) bool) {
		for ; p != "."; p = above(p) {
			if !yield(p) {
				return
			}
		}
	}
}

// list makes an output of the manifest.
func (e *Edition) list(m Manifest) (output, error) {
	p := part{hash: sha256.New(), create: func() (*os.File, bool, error) {
		file, err := os.Create(filepath.Join(e.place.parts, ManifestName))
		return file, true, err
	}}
	defer p.discard()
	if err := m.Write(&p); err != nil {
		return output{}, err
	}
	file, stamp, err := p.keep()
	return output{Entry{ManifestName, p.size, p.sum()}, file, stamp}, err
}

// Close gives up an edition that was not committed and frees the lock.
func (e *Edition) Close() error {
	e.mu.Lock()
	defer e.mu.Unlock()
	e.closed = true
	if e.lock == nil {
		return nil
	}
	err := os.RemoveAll(e.place.parts)
	if e.fresh != nil {
		err = errors.Join(err, os.RemoveAll(e.place.spare))
	}
	if !exists(e.place.record) && !exists(e.place.spare) { // nothing was ever built here
		os.Remove(e.place.lock)
		os.Remove(e.place.state)
	}
	err = errors.Join(err, e.lock.release())
	e.lock = nil
	return err
}
