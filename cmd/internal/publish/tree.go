package publish

import (
	"context"
	"errors"
	"io/fs"
	"maps"
	"os"
	"path"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"syscall"
	"time"

	"golang.org/x/sync/errgroup"
)

// A stamp tells a file from its earlier and later selves without reading it. The zero stamp is that of no file.
type stamp struct {
	inode uint64
	size  int64 // 0 for folders
	time  int64 // of the last change of the content, in ns since 1970
}

func newStamp(info fs.FileInfo) stamp {
	s := stamp{inode(info), info.Size(), info.ModTime().UnixNano()}
	if info.IsDir() {
		s.size = 0
	}
	return s
}

// lasting returns s, or the zero stamp if a change right after seen could have left s as it is, since clocks of file
// systems are coarse: those of FAT tick every two seconds, those of Linux every few milliseconds.
func (s stamp) lasting(seen time.Time) stamp {
	tick := 50 * time.Millisecond
	if s.time%int64(time.Second) == 0 {
		tick = 2 * time.Second
	}
	if s.time > seen.Add(-tick).UnixNano() {
		return stamp{}
	}
	return s
}

// backdate makes the time of a file or folder of ours, that nobody else has seen yet, a little older than it is, so
// that its stamp is lasting at once and the next build need not read it. Where that cannot be, it reads it.
func backdate(name string) {
	_ = os.Chtimes(name, time.Time{}, time.Now().Add(-3*time.Second))
}

// A tree is what a folder holds. All paths are relative to it and have slashes; the folder itself is ".".
type tree struct {
	files map[string]stamp // regular files
	dirs  map[string]stamp
	links map[string]string      // symbolic links and where they lead
	odd   map[string]fs.FileMode // whatever else a file system can hold
}

func newTree() *tree {
	return &tree{
		files: make(map[string]stamp),
		dirs:  make(map[string]stamp),
		links: make(map[string]string),
		odd:   make(map[string]fs.FileMode),
	}
}

// addFile adds a file and the folders above it, whose stamps stay unknown.
func (t *tree) addFile(p string, s stamp) {
	t.files[p] = s
	t.addDir(above(p))
}

// addDir adds a folder and those above it, with unknown stamps if it is new.
func (t *tree) addDir(p string) {
	for ; ; p = above(p) {
		if _, ok := t.dirs[p]; ok {
			return
		}
		t.dirs[p] = stamp{}
		if p == "." {
			return
		}
	}
}

// lasting returns t with only the stamps that tell of every later change; seen is when they were taken.
func (t *tree) lasting(seen time.Time) *tree {
	l := &tree{make(map[string]stamp, len(t.files)), make(map[string]stamp, len(t.dirs)), t.links, t.odd}
	for p, s := range t.files {
		l.files[p] = s.lasting(seen)
	}
	for p, s := range t.dirs {
		l.dirs[p] = s.lasting(seen)
	}
	return l
}

// others returns the paths of all that is not a folder nor one of our files, sorted.
func (t *tree) others(ours func(string) bool) []string {
	var others []string
	for p := range t.files {
		if !ours(p) {
			others = append(others, p)
		}
	}
	others = slices.AppendSeq(others, maps.Keys(t.links))
	others = slices.AppendSeq(others, maps.Keys(t.odd))
	slices.Sort(others)
	return others
}

// above is path.Dir for paths that are clean already.
func above(p string) string {
	if i := strings.LastIndexByte(p, '/'); i >= 0 {
		return p[:i]
	}
	return "."
}

// at returns the path of p, which is in the tree at root, for the system.
func at(root, p string) string { return filepath.Join(root, filepath.FromSlash(p)) }

// survey finds out what the tree at root holds. Of a folder whose stamp is the known one the names are those known, so
// that it need not be read; every known file is looked at, but none is opened. A folder that does not exist holds
// nothing.
func survey(root string, known *tree) (*tree, error) {
	t, err := surveyDirs(root, known)
	if err != nil {
		return nil, err
	}
	return t, t.surveyFiles(root, known, func(string) bool { return false })
}

// surveyHidden finds out what a tree holds that nobody else knows of. Files in folders that have not changed are what
// they were, as nobody writes to them, unless it is by way of the site, which is surveyed for that.
func surveyHidden(root string, known *tree) (*tree, error) {
	t, err := surveyDirs(root, known)
	if err != nil {
		return nil, err
	}
	return t, t.surveyFiles(root, known, func(p string) bool {
		dir := above(p)
		return known.dirs[dir] != stamp{} && known.dirs[dir] == t.dirs[dir] && known.files[p] != stamp{}
	})
}

// surveyDirs finds the folders of a tree and, in those that have changed, all that is not known. Known files are left
// out.
func surveyDirs(root string, known *tree) (*tree, error) {
	t := newTree()
	dirs := slices.Sorted(maps.Keys(known.dirs)) // parents before children
	infos, err := lstats(root, dirs)
	if err != nil {
		return nil, err
	}
	for i, dir := range dirs {
		if info := infos[i]; info != nil && (dir == "." || t.has(above(dir))) {
			if err := t.enter(root, dir, info, known); err != nil {
				return nil, err
			}
		}
	}
	return t, nil
}

func (t *tree) has(dir string) bool {
	_, ok := t.dirs[dir]
	return ok
}

// enter adds the entry at p, and what is in it if it is a folder that has changed.
func (t *tree) enter(root, p string, info fs.FileInfo, known *tree) error {
	switch mode := info.Mode(); {
	case mode.IsRegular():
		t.files[p] = newStamp(info)
		return nil
	case mode&fs.ModeSymlink != 0:
		to, err := os.Readlink(at(root, p))
		t.links[p] = to
		return err
	case !mode.IsDir():
		t.odd[p] = mode.Type()
		return nil
	}
	t.dirs[p] = newStamp(info)
	if s := known.dirs[p]; s == t.dirs[p] && s != (stamp{}) {
		return nil
	}
	return t.read(root, p, known)
}

// read adds the entries of a folder that are not known.
func (t *tree) read(root, dir string, known *tree) error {
	entries, err := os.ReadDir(at(root, dir))
	if err != nil {
		return err
	}
	for _, entry := range entries {
		p := path.Join(dir, entry.Name())
		if _, ok := known.files[p]; ok {
			continue
		}
		if known.has(p) {
			continue
		}
		info, err := entry.Info()
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err != nil {
			return err
		}
		if err := t.enter(root, p, info, known); err != nil {
			return err
		}
	}
	return nil
}

// surveyFiles adds the known files and links that are there; trusted ones are not looked at. Those in folders that are
// not there are left out, as they would be reached through a link.
func (t *tree) surveyFiles(root string, known *tree, trusted func(string) bool) error {
	paths := make([]string, 0, len(known.files)+len(known.links)+len(known.odd))
	add := func(p string) {
		if t.has(above(p)) {
			paths = append(paths, p)
		}
	}
	for p, s := range known.files {
		if trusted(p) {
			t.files[p] = s
		} else {
			add(p)
		}
	}
	for p := range known.links {
		add(p)
	}
	for p := range known.odd {
		add(p)
	}
	infos, err := lstats(root, paths)
	if err != nil {
		return err
	}
	for i, p := range paths {
		if infos[i] == nil || t.has(p) {
			continue
		}
		if err := t.enter(root, p, infos[i], known); err != nil {
			return err
		}
	}
	return nil
}

// lstats returns what is known of each path in the tree at root; nil stands for one that does not exist.
func lstats(root string, paths []string) ([]fs.FileInfo, error) {
	infos := make([]fs.FileInfo, len(paths))
	prefix := root + string(filepath.Separator)
	err := each(len(paths), func(i int) error {
		name := root
		if paths[i] != "." { // which would have to be a folder to be found
			name = prefix + filepath.FromSlash(paths[i])
		}
		info, err := os.Lstat(name)
		if err == nil {
			infos[i] = info
		} else if !missing(err) {
			return err
		}
		return nil
	})
	return infos, err
}

// missing reports whether err says that a file is not there, perhaps because something above it is not a folder.
func missing(err error) bool {
	return errors.Is(err, fs.ErrNotExist) || errors.Is(err, syscall.ENOTDIR)
}

// each calls f with 0 to n-1 from several goroutines and returns an error that one of the calls returned, if any. After
// an error it begins nothing new.
func each(n int, f func(int) error) error {
	const batch = 64
	group, ctx := errgroup.WithContext(context.Background())
	group.SetLimit(runtime.GOMAXPROCS(0) * 2)
	for from := 0; from < n; from += batch {
		group.Go(func() error {
			for i := from; i < min(from+batch, n) && ctx.Err() == nil; i++ {
				if err := f(i); err != nil {
					return err
				}
			}
			return nil
		})
	}
	return group.Wait()
}
