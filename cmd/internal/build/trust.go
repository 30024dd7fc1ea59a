package build

import (
	"io/fs"
	"path"

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
	several, faults := course.Hands(files, shown(b.Site))
	if !several {
		return faults.Err()
	}
	for _, brought := range []struct{ name, what string }{
		{"calculators", "calculators of the site's own are"}, {"theme", "changes of the theme are"},
	} {
		if _, err := fs.Stat(files, brought.name); err == nil {
			faults.Add(fault.Fault{Code: "several-hands", File: path.Join(shown(b.Site), brought.name),
				Text: brought.what + " not taken where lessons come from several hands",
				Hint: "take the folder away, or write hands: one into site.yaml if you trust everybody who can write here"})
		}
	}
	return faults.Err()
}
