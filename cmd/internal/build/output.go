package build

import (
	"bytes"
	"slices"

	"example.org/gripleaf/cmd/internal/page"
	"example.org/gripleaf/cmd/internal/publish"
)

// output is where a build puts what it makes: into the edition that will be published, with a note for the next build.
type output struct {
	edition *publish.Edition
	memory  *memory
	viewer  Viewer // may be nil
}

// file makes one file of the site, unless it shows what it did.
func (o *output) file(f *page.File) error {
	known, ok := o.memory.files.before(f.Path)
	key := f.Key()
	if ok && known.Key == key && o.edition.Keep(f.Path, sumOf(known.Sum)) {
		o.memory.files.put(f.Path, known, false)
		return nil
	}
	var b bytes.Buffer
	if err := f.Write(&b); err != nil {
		return err
	}
	sum, err := o.add(f.Path, b.Bytes())
	if err == nil {
		o.memory.files.put(f.Path, madeFile{f.Path, key, sum}, true)
	}
	return err
}

// add publishes a file that is at hand, and gives its SHA-256.
func (o *output) add(path string, data []byte) (string, error) {
	sum, err := o.edition.Add(path, data)
	if err != nil {
		return "", err
	}
	o.show(path, data)
	return string(sum[:]), nil
}

// keepAll keeps files if all of them are as they were.
func (o *output) keepAll(list []madeFile) bool {
	for _, f := range list {
		if !o.edition.Has(f.Path, sumOf(f.Sum)) {
			return false
		}
	}
	for _, f := range list {
		if !o.edition.Keep(f.Path, sumOf(f.Sum)) {
			return false
		}
	}
	return len(list) > 0
}

// show shows the viewer a file that was made, if it is wanted.
func (o *output) show(path string, data []byte) {
	if o.viewer != nil && slices.Contains(o.viewer.Wanted(), path) {
		o.viewer.Made(path, slices.Clone(data))
	}
}
