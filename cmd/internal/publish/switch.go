package publish

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
)

// change makes the spare tree the site and the site the spare tree. The marker stays until the caller has dealt with
// files that somebody put into the old site at the last moment.
func (p place) change() error {
	if err := os.WriteFile(p.marker, []byte("the site and the spare tree are changing places\n"), 0o666); err != nil {
		return err
	}
	err := p.swap()
	if err != nil {
		return errors.Join(err, os.Remove(p.marker))
	}
	return errors.Join(syncDir(filepath.Dir(p.dir)), syncDir(p.state))
}

func (p place) swap() error {
	info, err := os.Stat(p.dir)
	if missing(err) {
		return os.Rename(p.spare, p.dir)
	}
	if err := errors.Join(err, os.Chmod(p.spare, info.Mode())); err != nil {
		return err
	}
	err = exchange(p.spare, p.dir)
	if errors.Is(err, errors.ErrUnsupported) {
		return p.swapInSteps()
	}
	return err
}

// swapInSteps is for file systems that cannot exchange two folders.
func (p place) swapInSteps() error {
	if err := syncDir(p.state); err != nil {
		return err
	}
	if err := os.Rename(p.dir, p.aside); err != nil {
		return err
	}
	if err := os.Rename(p.spare, p.dir); err != nil {
		return errors.Join(err, os.Rename(p.aside, p.dir))
	}
	return os.Rename(p.aside, p.spare)
}

// recover finishes a switch that an earlier run did not live to finish.
func (p place) recover() error {
	if !exists(p.marker) {
		return nil
	}
	if exists(p.aside) {
		if !exists(p.dir) {
			if err := os.Rename(p.spare, p.dir); err != nil {
				return err
			}
		}
		if err := os.Rename(p.aside, p.spare); err != nil {
			return err
		}
	}
	if err := p.rescueAll(); err != nil {
		return err
	}
	return os.Remove(p.marker)
}

// rescueAll brings back what somebody put into the old site at the last moment before a switch that was interrupted.
func (p place) rescueAll() error {
	root := newTree()
	root.addDir(".")
	old, err := survey(p.spare, root)
	if err != nil {
		return err
	}
	ours := map[string]bool{ManifestName: true}
	if file, err := os.Open(filepath.Join(p.spare, ManifestName)); err == nil {
		defer file.Close()
		m, err := ReadManifest(file)
		if err != nil {
			return err
		}
		for _, e := range m {
			ours[e.Path] = true
		}
	}
	return p.rescue(old.others(func(path string) bool { return ours[path] }))
}

// rescue moves files of others from the spare tree, which was the site a moment ago, into the site, unless they are
// there already.
func (p place) rescue(paths []string) error {
	for _, path := range paths {
		from, to := at(p.spare, path), at(p.dir, path)
		left, err := os.Lstat(from)
		if missing(err) {
			continue
		}
		if err != nil {
			return err
		}
		if there, err := os.Lstat(to); err == nil && !left.ModTime().After(there.ModTime()) {
			continue
		}
		if err := os.MkdirAll(filepath.Dir(to), 0o777); err != nil {
			return err
		}
		if err := os.Rename(from, to); err != nil {
			return fmt.Errorf("carrying over a file that came during the switch: %w", err)
		}
	}
	return nil
}

func exists(name string) bool {
	_, err := os.Lstat(name)
	return err == nil
}
