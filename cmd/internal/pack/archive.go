package pack

import (
	"archive/zip"
	"cmp"
	"io"
	"slices"
	"time"
)

// file is one file of a package.
type file struct {
	path string
	data []byte
}

// stamp is the time that all files of a package bear, so that two packages of the same files are the same bytes. It is
// the first that a zip can hold.
var stamp = time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)

// archive writes files as a zip, ordered by path after the first ones that must come first and must not be compressed.
func archive(w io.Writer, stored []file, files []file) error {
	z := zip.NewWriter(w)
	files = slices.Clone(files)
	slices.SortFunc(files, func(a, b file) int { return cmp.Compare(a.path, b.path) })
	for i, f := range slices.Concat(stored, files) {
		h := &zip.FileHeader{Name: f.path, Method: zip.Deflate, Modified: stamp}
		if i < len(stored) {
			// Plain and without extra fields, as an e-book's first file has to be (EPUB 3.3, 4.2.3); a time is such a
			// field.
			h.Method, h.Modified = zip.Store, time.Time{}
		}
		h.SetMode(0o644)
		part, err := z.CreateHeader(h)
		if err != nil {
			return err
		}
		if _, err := part.Write(f.data); err != nil {
			return err
		}
	}
	return z.Close()
}
