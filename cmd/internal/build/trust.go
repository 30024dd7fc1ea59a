package build

import (
	"io/fs"
	"path"
	"slices"

	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/folder"
)

// trust looks, before anything that the site brings is run, whether its lessons come from several hands. Then only
// lessons are taken from it: calculators are programs, and a theme is what every page runs.
func (b *Builder) trust() error {
	files, err := folder.Open(b.Site)
	if err != nil {
		return err
	}
	defer files.Close()
	brought := []struct{ name, what string }{
		{"calculators", "calculators of the site's own are"}, {"theme", "changes of the theme are"},
	}
	brought = slices.DeleteFunc(brought, func(b struct{ name, what string }) bool {
		_, err := fs.Stat(files, b.name)
		return err != nil
	})
	if len(brought) == 0 {
		return nil
	}
	several, faults := course.Hands(files, shown(b.Site))
	if !several {
		return faults.Err()
	}
	for _, one := range brought {
		faults.Add(fault.Fault{Code: "several-hands", File: path.Join(shown(b.Site), one.name),
			Text: one.what + " not taken where lessons come from several hands",
			Hint: "take the folder away, or write hands: one into site.yaml if you trust everybody who can write here"})
	}
	return faults.Err()
}
