package publish

import (
	"os"
	"sync"
)

// A fresh tree is a spare tree that was not there when the edition was opened, as before a first build: new files are
// made where they will stay, which saves moving all of them.
type fresh struct {
	root string

	mu   sync.Mutex
	dirs map[string]error // what came of making each folder
}

// create creates the file at path. It returns nil if it cannot; what is wrong with the path is told elsewhere, and a
// part can wait beside the tree.
func (f *fresh) create(path string) *os.File {
	if checkPath(path) != nil || f.makeDirs(above(path)) != nil {
		return nil
	}
	file, err := os.OpenFile(at(f.root, path), os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return nil
	}
	return file
}

// makeDirs makes a folder of the tree and those above it.
func (f *fresh) makeDirs(dir string) error {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.makeDir(dir)
}

func (f *fresh) makeDir(dir string) (err error) {
	if err, done := f.dirs[dir]; done {
		return err
	}
	if dir != "." {
		err = f.makeDir(above(dir))
	}
	if err == nil {
		err = os.Mkdir(at(f.root, dir), 0o777)
	}
	f.dirs[dir] = err
	return err
}

// inPlace stands for the name of a part that is where it will stay.
const inPlace = "."

// survey returns what the tree holds of these parts, by path.
func (f *fresh) survey(parts map[string]string, stamps map[string]stamp) *tree {
	t := newTree()
	for _, dir := range f.made() {
		t.dirs[dir] = stamp{}
	}
	for p, part := range parts {
		if part == inPlace {
			t.files[p] = stamps[p]
		}
	}
	return t
}

// made returns the folders of the tree.
func (f *fresh) made() []string {
	f.mu.Lock()
	defer f.mu.Unlock()
	var dirs []string
	for dir, err := range f.dirs {
		if err == nil {
			dirs = append(dirs, dir)
		}
	}
	return dirs
}
