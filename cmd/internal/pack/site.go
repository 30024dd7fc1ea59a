package pack

import (
	"context"
	"io"
	"io/fs"
	"os"

	"example.org/gripleaf/cmd/internal/build"
	"example.org/gripleaf/cmd/internal/whole"
)

// Built builds the site somewhere out of the way and gives its files.
func Built(ctx context.Context, b build.Builder) (*Site, error) {
	folder, remove, err := whole.Folder()
	if err != nil {
		return nil, err
	}
	defer remove()
	defer b.Close()
	b.Out = folder + "/built"
	if _, err := b.Build(ctx); err != nil {
		return nil, err
	}
	s := new(Site)
	built := os.DirFS(b.Out)
	err = fs.WalkDir(built, ".", func(name string, d fs.DirEntry, err error) error {
		switch {
		case name == "social": // pictures for those who link to the site in the web
			return fs.SkipDir
		case err != nil || d.IsDir():
			return err
		}
		data, err := fs.ReadFile(built, name)
		s.files = append(s.files, file{name, data})
		return err
	})
	return s, err
}

// Site is the files of a site that has been built.
type Site struct{ files []file }

// WriteZip writes the site as a zip, in a folder of a name: unpacked, its index.html opens with a double click. The
// same site gives the same bytes.
func (s *Site) WriteZip(w io.Writer, folder string) error {
	var files []file
	for _, f := range s.files {
		files = append(files, file{folder + "/" + f.path, f.data})
	}
	return archive(w, nil, files)
}
