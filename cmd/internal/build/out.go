package build

import (
	"path/filepath"
	"strings"

	"example.org/gripleaf/cmd/internal/fault"
)

// notOwn refuses to build into a folder that the site keeps its own files in, also while it is still empty.
func (r *run) notOwn() error {
	site, err := filepath.Abs(r.Site)
	if err != nil {
		return err
	}
	out, err := filepath.Abs(r.Out)
	if err != nil {
		return err
	}
	below, err := filepath.Rel(site, out)
	if err != nil {
		return nil // on another disk
	}
	first, _, _ := strings.Cut(filepath.ToSlash(below), "/")
	own := first == "pictures" || first == "theme" || first == "calculators"
	for _, l := range r.course.Languages {
		own = own || first == l.Folder
	}
	if !own {
		return nil
	}
	return fault.Fault{Code: "out", File: r.Out, Text: "the site's own files belong in here: it is no place for what is built", Hint: "choose another folder, such as --out built"}
}
