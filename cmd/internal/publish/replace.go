package publish

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"time"
)

// few is up to how many files are brought to the disk one by one.
const few = 64

// replace makes what was planned the site. The caller holds e.mu.
func (e *Edition) replace(ctx context.Context, a *assembly, next Manifest, foreign []string) error {
	p, old := e.place, e.current.tree
	if err := a.assemble(); err != nil {
		return err
	}
	if err := a.sync(e.parts); err != nil {
		return err
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	now := &site{manifest: next, entries: next.byPath(), tree: a.want, surveyed: time.Now()}
	if err := p.change(); err != nil {
		return err
	}
	left, err := surveyDirs(p.spare, old.lasting(e.current.surveyed))
	if err != nil {
		return err
	}
	if err := p.rescue(append(left.others(func(string) bool { return false }), foreign...)); err != nil {
		return err
	}
	if err := os.Remove(p.marker); err != nil {
		return err
	}
	// The new site is in place. What follows only makes the next build cheaper.
	if now.save(p, a.strip(left, old)) != nil {
		os.Remove(p.record)
	}
	return nil
}

// An assembly makes the tree at root what want says.
type assembly struct {
	root   string
	want   *tree
	from   string                // where files are that stay as they are, to be linked
	parts  map[string]string     // new files by path: where they wait, to be moved
	survey func() (*tree, error) // of the tree at root

	touched map[string]bool // folders whose entries have changed
}

// plan says what the new site is made of.
func (e *Edition) plan(foreign []string) *assembly {
	old := e.current
	a := &assembly{
		root:    e.place.spare,
		want:    newTree(),
		from:    e.place.dir,
		parts:   make(map[string]string),
		survey:  e.spare,
		touched: make(map[string]bool),
	}
	if fresh := e.fresh; fresh != nil {
		a.survey = func() (*tree, error) { return fresh.survey(a.parts, a.want.files), nil }
		for _, dir := range fresh.made() {
			a.touched[dir] = true
		}
	}
	stay := func(p string) { a.want.addFile(p, old.tree.files[p]) }
	for _, o := range e.outputs {
		if o.part == "" {
			stay(o.Path)
			continue
		}
		a.add(o)
	}
	for _, p := range foreign {
		if to, ok := old.tree.links[p]; ok {
			a.want.links[p] = to
			a.want.addDir(above(p))
		} else {
			stay(p)
		}
	}
	for _, dir := range e.foreignDirs() {
		a.want.addDir(dir)
	}
	return a
}

// add wants a new output.
func (a *assembly) add(o output) {
	a.want.addFile(o.Path, o.stamp)
	a.parts[o.Path] = o.part
}

// foreignDirs returns the folders that hold no files of ours, which may be empty, as far as the new site leaves room
// for them.
func (e *Edition) foreignDirs() []string {
	ours := newTree()
	for p := range e.current.entries {
		ours.addDir(above(p))
	}
	var dirs []string
	for dir := range e.current.tree.dirs {
		room := !ours.has(dir) && dir != "."
		for d := range upwards(dir) {
			room = room && !e.has(d)
		}
		if room {
			dirs = append(dirs, dir)
		}
	}
	return dirs
}

// assemble does what is to be done, and updates the stamps in a.want.
func (a *assembly) assemble() error {
	have, err := a.survey()
	if err != nil {
		return err
	}
	if err := a.removeFrom(have); err != nil {
		return err
	}
	for _, dir := range slices.Sorted(maps.Keys(a.want.dirs)) {
		if err := a.makeDir(dir, have); err != nil {
			return err
		}
	}
	if err := a.place(have); err != nil {
		return err
	}
	return restamp(a.root, a.want.dirs, a.touched)
}

// removeFrom removes what is not wanted, or not as it is.
func (a *assembly) removeFrom(have *tree) error {
	for p, s := range have.files {
		if a.want.files[p] != s {
			if err := a.remove(p); err != nil {
				return err
			}
		}
	}
	for p, to := range have.links {
		if want, ok := a.want.links[p]; !ok || want != to {
			if err := a.remove(p); err != nil {
				return err
			}
		}
	}
	for p := range have.odd {
		if err := a.remove(p); err != nil {
			return err
		}
	}
	for _, dir := range slices.Backward(slices.Sorted(maps.Keys(have.dirs))) {
		if !a.want.has(dir) {
			if err := a.remove(dir); err != nil {
				return err
			}
		}
	}
	return nil
}

func (a *assembly) remove(p string) error {
	a.touched[above(p)] = true
	err := a.try(p, os.Remove)
	if missing(err) {
		return nil
	}
	return err
}

// try makes a change to the entry at p. A folder that was made read-only while it was part of the site is made
// writable: it is ours, and hidden now.
func (a *assembly) try(p string, do func(name string) error) error {
	name := at(a.root, p)
	err := do(name)
	if errors.Is(err, fs.ErrPermission) && os.Chmod(filepath.Dir(name), 0o755) == nil {
		err = do(name)
	}
	return err
}

func (a *assembly) makeDir(dir string, have *tree) error {
	if s, ok := have.dirs[dir]; ok {
		a.want.dirs[dir] = s
		return nil
	}
	a.touched[dir], a.touched[above(dir)] = true, true
	return a.try(dir, func(name string) error { return os.Mkdir(name, 0o777) })
}

// place puts the files and links that are missing into their folders.
func (a *assembly) place(have *tree) error {
	for p, to := range a.want.links {
		if _, ok := have.links[p]; ok && have.links[p] == to {
			continue
		}
		a.touched[above(p)] = true
		if err := a.try(p, func(name string) error { return os.Symlink(to, name) }); err != nil {
			return err
		}
	}
	var paths []string
	for p, s := range a.want.files {
		if have.files[p] != s {
			paths = append(paths, p)
			a.touched[above(p)] = true
		}
	}
	stamps := make([]stamp, len(paths))
	err := each(len(paths), func(i int) (err error) {
		stamps[i], err = a.placeFile(paths[i])
		return err
	})
	for i, p := range paths {
		a.want.files[p] = stamps[i]
	}
	return err
}

// placeFile puts one file into its folder and returns its stamp.
func (a *assembly) placeFile(p string) (stamp, error) {
	want := a.want.files[p]
	if part, ok := a.parts[p]; ok {
		return want, a.try(p, func(to string) error { return os.Rename(part, to) })
	}
	if err := a.try(p, func(to string) error { return linkFile(at(a.from, p), to) }); err != nil {
		return stamp{}, err
	}
	info, err := os.Lstat(at(a.root, p))
	if err != nil {
		return stamp{}, err
	}
	got := newStamp(info)
	if got.size != want.size || got.time != want.time {
		return stamp{}, fmt.Errorf("%s was changed during the build", p)
	}
	return got, nil
}

// linkFile makes to the same file as from, or a copy where that cannot be.
func linkFile(from, to string) error {
	if os.Link(from, to) == nil {
		return nil
	}
	return copyFile(from, to)
}

// copyFile copies a file and its time, where there cannot be a link.
func copyFile(from, to string) (err error) {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	info, err := in.Stat()
	if err != nil {
		return err
	}
	out, err := os.OpenFile(to, os.O_WRONLY|os.O_CREATE|os.O_EXCL, info.Mode().Perm())
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	if !canSyncAll {
		err = errors.Join(err, out.Sync())
	}
	if err := errors.Join(err, out.Close()); err != nil {
		return errors.Join(err, os.Remove(to))
	}
	return os.Chtimes(to, time.Time{}, info.ModTime())
}

// restamp brings the stamps of those folders of the spare tree up to date that were touched.
func restamp(root string, dirs map[string]stamp, touched map[string]bool) error {
	paths := slices.Collect(maps.Keys(touched))
	if len(paths) <= few {
		for _, p := range paths {
			backdate(at(root, p))
		}
	}
	infos, err := lstats(root, paths)
	for i, p := range paths {
		if infos[i] != nil && infos[i].IsDir() {
			dirs[p] = newStamp(infos[i])
		} else {
			delete(dirs, p)
		}
	}
	return err
}

// sync brings what was assembled to the disk, so that not even a crash of the system leaves a switch to files that are
// not there.
func (a *assembly) sync(parts int) error {
	if canSyncAll && parts+len(a.touched) > few {
		return syncAll(a.root)
	}
	for dir := range a.touched {
		if a.want.has(dir) {
			if err := syncDir(at(a.root, dir)); err != nil {
				return err
			}
		}
	}
	return nil
}

// strip removes from the spare tree, which was the site, what the new site does not have, and returns what is left.
// What cannot be removed now will be by the next build.
func (a *assembly) strip(left, old *tree) *tree {
	a.touched = make(map[string]bool)
	spare := &tree{files: maps.Clone(old.files), dirs: left.dirs, links: old.links}
	if a.removeFrom(spare) != nil || restamp(a.root, spare.dirs, a.touched) != nil {
		return newTree()
	}
	maps.DeleteFunc(spare.files, func(p string, s stamp) bool { return a.want.files[p] != s })
	for p := range spare.links { // which the record cannot tell
		spare.dirs[above(p)] = stamp{}
	}
	return spare
}
