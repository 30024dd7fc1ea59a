package publish

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"example.org/gripleaf/cmd/internal/fault"
)

// A place is the folder that a site is published into, and the folder beside it with what that takes.
type place struct {
	name string // the folder as the user named it
	dir  string // the folder, absolute, its parents without symbolic links

	state  string // the folder beside it, which holds the following:
	spare  string // the tree that becomes the next site
	aside  string // the old site during a switch without exchange
	parts  string // outputs that were made since Open
	lock   string
	record string // what the trees are known to hold
	marker string // exists while the trees change places
}

// newPlace checks that a site may be published into dir.
func newPlace(dir string, sources []string) (place, error) {
	refuse := func(text, hint string) (place, error) {
		return place{}, fault.Fault{Code: "folder-refused", File: dir, Text: text, Hint: hint}
	}
	const ownFolder = "build into a folder that is there for the site alone, such as built"
	abs, err := filepath.Abs(dir)
	if err != nil {
		return place{}, err
	}
	parent := filepath.Dir(abs)
	if parent == abs {
		return refuse("a whole disk is no folder to build into", ownFolder)
	}
	info, err := os.Lstat(abs)
	switch {
	case errors.Is(err, fs.ErrNotExist):
	case err != nil:
		return place{}, err
	case info.Mode()&fs.ModeSymlink != 0:
		return refuse("this is a symbolic link, which a build would replace", "name the folder that it leads to")
	case !info.IsDir():
		return refuse("this is a file, not a folder", ownFolder)
	case mounted(abs, parent):
		return refuse("another disk is mounted here, which cannot change places with a folder",
			"build into a folder on that disk")
	}
	if home, err := os.UserHomeDir(); err == nil && contains(abs, home) {
		return refuse("a home folder would be replaced", ownFolder)
	}
	for _, source := range sources {
		if contains(abs, source) {
			return refuse(fmt.Sprintf("the site is made from %s, which would be replaced", source), ownFolder)
		}
	}
	if err := os.MkdirAll(parent, 0o777); err != nil {
		return place{}, err
	}
	if parent, err = filepath.EvalSymlinks(parent); err != nil {
		return place{}, err
	}
	return makePlace(dir, filepath.Join(parent, filepath.Base(abs))), nil
}

func makePlace(name, dir string) place {
	state := filepath.Join(filepath.Dir(dir), "."+filepath.Base(dir)+".gripleaf")
	return place{
		name:   name,
		dir:    dir,
		state:  state,
		spare:  filepath.Join(state, "spare"),
		aside:  filepath.Join(state, "aside"),
		parts:  filepath.Join(state, "parts"),
		lock:   filepath.Join(state, "lock"),
		record: filepath.Join(state, "record"),
		marker: filepath.Join(state, "switching"),
	}
}

// contains reports whether inner is dir or in it, by whatever name.
func contains(dir, inner string) bool {
	outer, err := os.Stat(dir)
	if err != nil {
		return false
	}
	inner, err = filepath.Abs(inner)
	if err != nil {
		return false
	}
	if real, err := filepath.EvalSymlinks(inner); err == nil {
		inner = real
	}
	for {
		if info, err := os.Stat(inner); err == nil && os.SameFile(outer, info) {
			return true
		}
		parent := filepath.Dir(inner)
		if parent == inner {
			return false
		}
		inner = parent
	}
}
