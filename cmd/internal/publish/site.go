package publish

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"io"
	"os"
	"path"
	"path/filepath"
	"slices"
	"sync"
	"time"

	"example.org/gripleaf/cmd/internal/fault"
)

// A site is what the folder holds: files of ours, which the manifest names, and perhaps files of others.
type site struct {
	manifest Manifest
	entries  map[string]Entry // of the manifest, by path
	damaged  map[string]bool  // files of the manifest that are gone or not what it says
	owned    bool             // manifest.json is there and was written by us
	listed   bool             // and is what we have written
	reread   bool             // the manifest is from the folder, not from the record
	tree     *tree
	record   *record
	surveyed time.Time
	learned  bool // something had to be read that the record did not know
}

// readSite finds out what is in the folder of p.
func readSite(p place) (*site, error) {
	s := &site{damaged: make(map[string]bool), record: readRecord(p), surveyed: time.Now()}
	if err := s.readManifest(p); err != nil {
		return nil, err
	}
	s.entries = s.manifest.byPath()
	known := s.record.tree
	known.addDir(".")
	for _, e := range s.manifest {
		if _, ok := known.files[e.Path]; !ok {
			known.addFile(e.Path, stamp{})
		}
	}
	var err error
	if s.tree, err = survey(p.dir, known); err != nil {
		return nil, err
	}
	return s, s.verify(p)
}

// readManifest finds out which files are ours.
func (s *site) readManifest(p place) error {
	name := filepath.Join(p.dir, ManifestName)
	s.manifest = s.record.manifest
	info, err := os.Lstat(name)
	switch known := s.record.tree.files[ManifestName]; {
	case missing(err) || err == nil && !info.Mode().IsRegular():
		return nil
	case err != nil:
		return err
	case known != stamp{} && known == newStamp(info):
		s.owned, s.listed = true, true
		return nil
	}
	s.learned = true
	text, err := os.ReadFile(name)
	if err != nil {
		return err
	}
	m, err := ReadManifest(bytes.NewReader(text))
	if err != nil { // cut short, or not ours at all
		s.owned = len(text) == 0 || bytes.HasPrefix(text, []byte(manifestHead))
		return nil
	}
	m.sort()
	var want bytes.Buffer
	if err := m.Write(&want); err != nil {
		return err
	}
	s.manifest, s.reread, s.owned, s.listed = m, true, true, bytes.Equal(text, want.Bytes())
	return nil
}

// verify finds the files that are not what the manifest says, reading those that the record does not vouch for.
func (s *site) verify(p place) error {
	recorded := s.entries
	if s.reread {
		recorded = s.record.manifest.byPath()
	}
	var unsure []Entry
	for _, e := range s.manifest {
		now, there := s.tree.files[e.Path]
		switch {
		case !there || now.size != e.Size:
			s.damaged[e.Path] = true
		case recorded[e.Path] != e || s.record.tree.files[e.Path] != now:
			unsure = append(unsure, e)
		}
	}
	s.learned = s.learned || len(unsure) > 0
	var mu sync.Mutex
	err := each(len(unsure), func(i int) error {
		sum, err := sumFile(at(p.dir, unsure[i].Path))
		if err != nil {
			return err
		}
		if sum != unsure[i].SHA256 {
			mu.Lock()
			defer mu.Unlock()
			s.damaged[unsure[i].Path] = true
		}
		return nil
	})
	if !s.owned {
		s.disown()
	}
	return err
}

// disown gives up files that only the record takes for ours. Where no manifest says so, what has other content was made
// by somebody else.
func (s *site) disown() {
	s.manifest = slices.DeleteFunc(slices.Clone(s.manifest), func(e Entry) bool {
		_, there := s.tree.files[e.Path]
		return there && s.damaged[e.Path]
	})
	s.entries = s.manifest.byPath()
}

func sumFile(name string) (sum [sha256.Size]byte, err error) {
	file, err := os.Open(name)
	if err != nil {
		return sum, err
	}
	defer file.Close()
	h := sha256.New()
	if _, err := io.Copy(h, file); err != nil {
		return sum, err
	}
	return [sha256.Size]byte(h.Sum(nil)), nil
}

// clean returns the entry of the file at p if it is ours and undamaged.
func (s *site) clean(p string) (Entry, bool) {
	e, ok := s.entries[p]
	return e, ok && !s.damaged[p]
}

// whole reports whether the site is what its manifest says.
func (s *site) whole() bool { return s.listed && len(s.damaged) == 0 }

// foreign returns the paths of what is in the folder and not ours, sorted. A damaged file that does not stay in the
// site counts as somebody else's.
func (s *site) foreign(stays func(string) bool) []string {
	return s.tree.others(func(p string) bool {
		if p == ManifestName {
			return s.owned
		}
		_, ours := s.entries[p]
		return ours && (!s.damaged[p] || stays(p))
	})
}

// checkForeign returns a fault if there are files of others that may not, or cannot, be carried over.
func (s *site) checkForeign(dir string, foreign []string, keep bool) error {
	foreign = slices.DeleteFunc(slices.Clone(foreign), func(p string) bool {
		_, odd := s.tree.odd[p]
		return !odd && (keep || droppings[path.Base(p)])
	})
	if len(foreign) == 0 {
		return nil
	}
	f := fault.Fault{
		Code: "foreign-files",
		File: dir,
		Text: fmt.Sprintf("%d files here were not made by the builder, or were changed since", len(foreign)),
		Hint: "move them away, build into another folder, or build with --keep-others",
	}
	if len(foreign) == 1 {
		f.Text = "a file here was not made by the builder, or was changed since"
		f.Hint = "move it away, build into another folder, or build with --keep-others"
	}
	if keep {
		f.Text = "what is here is no file, folder or link, and cannot be kept"
		f.Hint = "move it away, or build into another folder"
	}
	f.Notes = notes(dir, foreign)
	return f
}

// notes names files, as many as a reader can take in.
func notes(dir string, paths []string) []fault.Note {
	const most = 12
	var notes []fault.Note
	for _, p := range paths[:min(len(paths), most)] {
		notes = append(notes, fault.Note{Text: at(dir, p)})
	}
	if len(paths) > most {
		notes = append(notes, fault.Note{Text: fmt.Sprintf("and %d more", len(paths)-most)})
	}
	return notes
}

// droppings are files that file managers leave in every folder that somebody has looked at. They are carried over
// without a word.
var droppings = map[string]bool{".DS_Store": true, "Thumbs.db": true, "desktop.ini": true}

// refresh writes down what had to be read, so that it need not be again.
func (s *site) refresh(p place) error {
	if !s.learned {
		return nil
	}
	return s.save(p, s.record.spare)
}

// save writes the record of the site and of the spare tree, which it uses up. Of the spare tree it can only tell the
// files that both have; folders with others are to be read.
func (s *site) save(p place, spare *tree) error {
	for name, was := range spare.files {
		if _, ours := s.entries[name]; !ours || s.tree.files[name] != was {
			delete(spare.files, name)
			spare.dirs[above(name)] = stamp{}
		}
	}
	r := &record{s.manifest, s.tree, spare}
	return r.write(p, s.entries, s.surveyed)
}
