package build

import (
	"bytes"
	"context"
	"encoding/base64"
	"io"
	"io/fs"
	"path"
	"slices"
	"strconv"
	"strings"
	"sync"

	"github.com/andybalholm/brotli"

	"example.org/gripleaf/cmd/internal/asset"
	"example.org/gripleaf/cmd/internal/cache"
	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/formula"
	"example.org/gripleaf/cmd/internal/page"
	"example.org/gripleaf/theme"
)

// assetsOf bundles the theme and finds the pictures.
func (r *run) assetsOf() {
	look := r.course.Site.Look
	tokens := asset.Tokens(r.theme)
	for _, set := range []map[string]string{look.Colours, look.Fonts} {
		for name := range set {
			if !slices.Contains(tokens, name) {
				r.faults.Add(fault.Fault{Code: "unknown-token", File: path.Join(shown(r.Site), "site.yaml"),
					Text: "look: the theme has no colour or font " + `"` + name + `"`, Hint: fault.Meant(name, tokens)})
			}
		}
	}
	if len(r.theme) > 1 {
		folders := make([]string, len(r.course.Languages))
		for i, l := range r.course.Languages {
			folders[i] = l.Folder
		}
		r.faults.Add(asset.Strange(r.theme[0], theme.Files, folders)...)
	}
	files, faults := r.bundle(formula.StyleSheet + asset.Properties(look.Colours, look.Fonts))
	r.faults.Add(faults...)
	r.findPictures()
	if len(r.faults) > 0 {
		return
	}
	r.assets.Script, r.assets.Style = files[0].Path, files[1].Path
	for i, f := range files {
		if r.course.Site.Budget.Page > 0 && i < 2 {
			small, _ := compress(f.Data, 9)
			r.shared += len(small)
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

// findPictures reads all pictures of the site, so that pages can say how large they are.
func (r *run) findPictures() {
	r.assets.Pictures, r.pictures = make(map[string]asset.Picture), make(map[string][]byte)
	err := fs.WalkDir(r.files, ".", func(name string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir() && (name == "calculators" || name == "theme" || name == "built" || strings.HasPrefix(d.Name(), ".") && name != "."):
			return fs.SkipDir
		case d.IsDir() || !asset.IsPicture(name):
			return nil
		}
		p, data, err := asset.ReadPicture(r.files, name)
		if err != nil {
			r.faults.Add(r.pictureFault(name, data, err))
			return nil
		}
		r.assets.Pictures[name], r.pictures[name] = p, data
		return nil
	})
	if err != nil {
		r.faults.Add(fault.Fault{Text: err.Error()})
	}
}

// pictureFault is what is wrong with a picture, with its place if it is a text.
func (r *run) pictureFault(name string, data []byte, err error) fault.Fault {
	f := fault.Fault{Text: course.Reason(err)}
	if wrong, ok := err.(*asset.PictureError); ok {
		f = fault.Fault{Text: wrong.Text, Hint: wrong.Hint}
		if path.Ext(name) == ".svg" {
			f = fault.At("", data, wrong.At, 0, wrong.Text, wrong.Hint)
		}
	}
	f.Code, f.File = "picture", r.shown(name)
	return f
}

// addPictures publishes the pictures that pages show.
func (r *run) addPictures() error {
	used := make(map[string]bool)
	if logo := r.course.Site.Look.Logo; logo != "" {
		used[logo] = true
	}
	for e := range r.course.Entries {
		for _, name := range e.Facts.Images {
			used[name] = true
		}
	}
	for name := range used {
		if data, ok := r.pictures[name]; ok {
			if _, err := r.edition.Add(r.assets.Pictures[name].Path, data); err != nil {
				return err
			}
		}
	}
	return nil
}

// module compiles the calculators and publishes them as modules and, for pages opened from a folder, as scripts. What
// is published already is not even read.
func (r *run) module(ctx context.Context) error {
	compile := sync.OnceValues(func() ([]byte, error) { return r.source.Compile(ctx) })
	if err := r.addModule(r.assets.Module, r.assets.ModuleJS, compile); err != nil {
		return err
	}
	logged := sync.OnceValues(func() ([]byte, error) { return r.logged.Compile(ctx) })
	if err := r.addModule(r.assets.Logged, r.assets.LoggedJS, logged); err != nil {
		return err
	}
	if !r.Weigh {
		return nil
	}
	weight, err := r.moduleWeight(compile)
	r.result.Module = Weight{r.assets.Module, weight, r.course.Site.Budget.Module}
	return err
}

// addModule publishes a module and its script.
func (r *run) addModule(name, scriptName string, compile func() ([]byte, error)) error {
	for _, f := range []page.File{
		{Path: name, Shows: name, Write: func(w io.Writer) error {
			data, err := compile()
			if err != nil {
				return err
			}
			if r.Viewer != nil {
				r.Viewer.Made(name, data) // a page may be shown already that loads it
			}
			_, err = w.Write(data)
			return err
		}},
		{Path: scriptName, Shows: name, Write: func(w io.Writer) error { return writeScript(w, compile) }},
	} {
		if err := r.file(&f); err != nil {
			return err
		}
	}
	return nil
}

func writeScript(w io.Writer, compile func() ([]byte, error)) error {
	data, err := compile()
	if err != nil {
		return err
	}
	script := make([]byte, 0, base64.StdEncoding.EncodedLen(len(data))+32)
	script = append(script, `gripleafModule="`...)
	script = base64.StdEncoding.AppendEncode(script, data)
	script = append(script, '"')
	_, err = w.Write(script)
	return err
}

// served takes what servers send: the scripts of the modules are for pages from the disk.
func (r *run) served(path string) bool { return path != r.assets.ModuleJS && path != r.assets.LoggedJS }

// moduleWeight is what the module weighs in brotli at most. Only if a quick look is over the budget is it compressed as
// well as servers do, which takes many seconds.
func (r *run) moduleWeight(compile func() ([]byte, error)) (int, error) {
	quick, err := r.weight(compile, 5)
	if budget := r.course.Site.Budget.Module; err != nil || budget == 0 || quick <= budget {
		return quick, err
	}
	return r.weight(compile, brotli.BestCompression)
}

// weight is the module's size compressed at a level. It is kept, as it stays the same as long as the module does.
func (r *run) weight(compile func() ([]byte, error), level int) (int, error) {
	name := r.assets.Module + "." + strconv.Itoa(level)
	var size int
	if decode(r.Cache, "weight", name, &size) {
		return size, nil
	}
	data, err := compile()
	if err != nil {
		return 0, err
	}
	small, err := compress(data, level)
	if err == nil {
		encode(r.Cache, "weight", name, len(small))
	}
	return len(small), err
}

func compress(data []byte, level int) ([]byte, error) {
	var b bytes.Buffer
	w := brotli.NewWriterLevel(&b, level)
	if _, err := w.Write(data); err != nil {
		return nil, err
	}
	err := w.Close()
	return b.Bytes(), err
}

// weigh says what a page weighs if that is over the budget, and otherwise 0. It is what a first visit loads without the
// module: the page, its script and its style sheet. What is under the budget before compression is so after it too.
func (r *run) weigh(html []byte) (int, error) {
	budget := r.course.Site.Budget.Page
	if budget == 0 || r.shared+len(html) <= budget {
		return 0, nil
	}
	small, err := compress(html, 5)
	if weight := r.shared + len(small); weight > budget {
		return weight, err
	}
	return 0, err
}

// weighed notes a page that is over the budget.
func (r *run) weighed(path string, heavy int) {
	if heavy == 0 {
		return
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	r.result.Heavy = append(r.result.Heavy, Weight{path, heavy, r.course.Site.Budget.Page})
}
