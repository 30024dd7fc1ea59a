package build

import (
	"example.org/gripleaf/cmd/internal/asset"
	"example.org/gripleaf/cmd/internal/cache"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/formula"
	"example.org/gripleaf/theme"
)

// assetsOf bundles the theme.
func (r *run) assetsOf() {
	look := r.course.Site.Look
	if len(r.theme) > 1 {
		folders := make([]string, len(r.course.Languages))
		for i, l := range r.course.Languages {
			folders[i] = l.Folder
		}
		r.faults.Add(asset.Strange(r.theme[0], theme.Files, folders)...)
	}
	files, faults := r.bundle(formula.StyleSheet + asset.Properties(look.Colours, look.Fonts))
	r.faults.Add(faults...)
	if len(r.faults) > 0 {
		return
	}
	r.assets.Script, r.assets.Style = files[0].Path, files[1].Path
	for i, f := range files {
		if i < 2 {
			r.scale.every(f.Data)
		}
		if _, err := r.edition.Add(f.Path, f.Data); err != nil {
			r.faults.Add(fault.Fault{File: f.Path, Text: err.Error()})
		} else if r.Viewer != nil {
			r.Viewer.Made(f.Path, f.Data)
		}
	}
}

// bundle makes the script, the style sheet and the script for offline use, in this order, or takes them from the cache
// if their sources are the same.
func (r *run) bundle(extra string) (files []asset.File, faults fault.List) {
	k := cache.NewKey("bundle 3")
	k.Text(cache.Program(), extra)
	for _, folder := range []string{"script", "style"} {
		_ = k.Files(r.theme, folder, func(string) bool { return true })
	}
	if decode(r.Cache, "bundle", k.String(), &files) {
		return files, nil
	}
	script, style, faults := r.bundler.Bundle(r.theme, extra)
	service, more := r.bundler.Service()
	faults.Add(more...)
	files = []asset.File{script, style, service}
	if len(faults) == 0 {
		encode(r.Cache, "bundle", k.String(), files)
	}
	return files, faults
}
