package build

import (
	"io/fs"
	"path"
	"slices"
	"strings"

	"example.org/gripleaf/cmd/internal/asset"
	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/fault"
)

// gallery is the pictures of a site.
type gallery struct {
	site     string                   // the site's folder
	pictures map[string]asset.Picture // by path in the site, as are the next
	data     map[string][]byte
}

// notPictures are folders of a site that have no pictures for its pages.
var notPictures = []string{"calculators", "theme", "built"}

// newGallery reads all pictures of the site, so that pages can say how large they are.
func newGallery(files fs.FS, site string) (*gallery, fault.List) {
	g := &gallery{site, make(map[string]asset.Picture), make(map[string][]byte)}
	var faults fault.List
	err := fs.WalkDir(files, ".", func(name string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir() && (slices.Contains(notPictures, name) || strings.HasPrefix(d.Name(), ".") && name != "."):
			return fs.SkipDir
		case d.IsDir() || !asset.IsPicture(name):
			return nil
		}
		p, data, err := asset.ReadPicture(files, name)
		if err != nil {
			faults.Add(g.fault(name, data, err))
			return nil
		}
		g.pictures[name], g.data[name] = p, data
		return nil
	})
	if err != nil {
		faults.Add(fault.Fault{Text: err.Error()})
	}
	return g, faults
}

// fault is what is wrong with a picture, with its place if it is a text.
func (g *gallery) fault(name string, data []byte, err error) fault.Fault {
	f := fault.Fault{Text: course.Reason(err)}
	if wrong, ok := err.(*asset.PictureError); ok {
		f = fault.Fault{Text: wrong.Text, Hint: wrong.Hint}
		if path.Ext(name) == ".svg" {
			f = fault.At("", data, wrong.At, 0, wrong.Text, wrong.Hint)
		}
	}
	f.Code, f.File = "picture", path.Join(shown(g.site), name)
	return f
}

// hang publishes the pictures that pages show.
func (g *gallery) hang(c *course.Course, out *output) error {
	used := map[string]bool{c.Site.Look.Logo: true}
	for e := range c.Entries {
		for _, name := range e.Facts.Images {
			used[name] = true
		}
	}
	for name := range used {
		if data, ok := g.data[name]; ok {
			if _, err := out.edition.Add(g.pictures[name].Path, data); err != nil {
				return err
			}
		}
	}
	return nil
}
