package build

import (
	"path/filepath"
	"strings"

	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/fault"
)

// notOwn refuses to build into a folder that the site keeps its own files in, also while it is still empty.
func notOwn(site, out string, languages []*course.Language) error {
	inside, err := filepath.Abs(site)
	if err != nil {
		return err
	}
	there, err := filepath.Abs(out)
	if err != nil {
		return err
	}
	below, err := filepath.Rel(inside, there)
	if err != nil {
		return nil // on another disk
	}
	first, _, _ := strings.Cut(filepath.ToSlash(below), "/")
	own := first == "pictures" || first == "theme" || first == "calculators"
	for _, l := range languages {
		own = own || first == l.Folder
	}
	if !own {
		return nil
	}
	return fault.Fault{Code: "out", File: out, Hint: "choose another folder, such as --out built",
		Text: "the site's own files belong in here: it is no place for what is built"}
}
