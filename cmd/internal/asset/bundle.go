package asset

import (
	"fmt"
	"io/fs"
	"maps"
	"path"
	"regexp"
	"slices"
	"strings"

	"github.com/evanw/esbuild/pkg/api"

	"example.org/gripleaf/cmd/internal/fault"
)

// Bundler makes a theme's scripts and styles into one file each. It keeps what esbuild has parsed, so that making them
// again after a change costs little. The zero Bundler is ready to use; it is for one goroutine.
type Bundler struct {
	contexts map[string]api.BuildContext
	theme    fs.FS
	extra    string
}

// extraName is the sheet that holds what is not the theme's own: the formulas' rules and the site's look.
const extraName = "extra.css"

// Bundle makes the script and the style sheet of a theme. extra is CSS that follows the theme's.
func (b *Bundler) Bundle(theme fs.FS, extra string) (script, style File, faults fault.List) {
	b.theme, b.extra = theme, extra
	script, f := b.build("script.js", "script/main.ts", `import "script/main.ts"`, api.LoaderTS)
	faults.Add(f...)
	style, f = b.build("style.css", "style/main.css", `@import "style/main.css"; @import "`+extraName+`";`, api.LoaderCSS)
	faults.Add(f...)
	return script, style, faults
}

// Service makes the script that keeps a site for offline use, after Bundle. Its name stays, since browsers know it by
// that.
func (b *Bundler) Service() (File, fault.List) {
	f, faults := b.build("service.js", "script/service.ts", `import "script/service.ts"`, api.LoaderTS)
	f.Path = "service.js"
	return f, faults
}

// Close frees what was kept.
func (b *Bundler) Close() {
	for _, c := range b.contexts {
		c.Dispose()
	}
	b.contexts = nil
}

func (b *Bundler) build(name, entry, stdin string, loader api.Loader) (File, fault.List) {
	c, ok := b.contexts[name]
	if !ok {
		var err *api.ContextError
		if c, err = api.Context(b.options(stdin, loader)); err != nil {
			return File{}, faults(err.Errors)
		}
		if b.contexts == nil {
			b.contexts = make(map[string]api.BuildContext)
		}
		b.contexts[name] = c
	}
	result := c.Rebuild()
	// A broken rule of CSS is but a warning to esbuild.
	if wrong := append(result.Errors, result.Warnings...); len(wrong) > 0 {
		return File{}, faults(wrong)
	}
	data := result.OutputFiles[0].Contents
	return File{hashed(name, data), data}, nil
}

func (b *Bundler) options(stdin string, loader api.Loader) api.BuildOptions {
	return api.BuildOptions{
		Stdin:    &api.StdinOptions{Contents: stdin, Loader: loader, Sourcefile: "theme"},
		Bundle:   true,
		Target:   api.ES2020,
		Format:   api.FormatIIFE,
		Charset:  api.CharsetUTF8,
		LogLevel: api.LogLevelSilent,
		Plugins:  []api.Plugin{{Name: "theme", Setup: b.setup}},
		Loader:   map[string]api.Loader{".svg": api.LoaderDataURL, ".woff2": api.LoaderDataURL},

		MinifyWhitespace: true, MinifyIdentifiers: true, MinifySyntax: true, LegalComments: api.LegalCommentsNone,
	}
}

// namespace is where esbuild looks for files of the theme instead of on the disk.
const namespace = "theme"

func (b *Bundler) setup(build api.PluginBuild) {
	build.OnResolve(api.OnResolveOptions{Filter: ".*"}, func(a api.OnResolveArgs) (api.OnResolveResult, error) {
		if strings.HasPrefix(a.Path, "data:") || strings.HasPrefix(a.Path, "#") {
			return api.OnResolveResult{Path: a.Path, External: true}, nil
		}
		name := a.Path
		if a.Namespace == namespace {
			name = path.Join(path.Dir(a.Importer), a.Path)
		}
		for _, ending := range []string{"", ".ts"} {
			if info, err := fs.Stat(b.theme, name+ending); err == nil && info.Mode().IsRegular() || name == extraName {
				return api.OnResolveResult{Path: name + ending, Namespace: namespace}, nil
			}
		}
		return api.OnResolveResult{}, fmt.Errorf("the theme has no file %q", name)
	})
	build.OnLoad(api.OnLoadOptions{Filter: ".*", Namespace: namespace}, func(a api.OnLoadArgs) (api.OnLoadResult, error) {
		text, loader := b.extra, api.LoaderCSS
		if a.Path != extraName {
			data, err := fs.ReadFile(b.theme, a.Path)
			if err != nil {
				return api.OnLoadResult{}, err
			}
			text, loader = string(data), api.LoaderDefault
		}
		return api.OnLoadResult{Contents: &text, Loader: loader}, nil
	})
}

// faults turns esbuild's messages into ours.
func faults(messages []api.Message) fault.List {
	var list fault.List
	for _, m := range messages {
		f := fault.Fault{Code: "theme", Text: m.Text}
		if at := m.Location; at != nil {
			f.File = path.Join("theme", strings.TrimPrefix(at.File, namespace+":"))
			f.Line, f.Excerpt = at.Line, at.LineText
			f.Column, f.Length = len([]rune(at.LineText[:min(at.Column, len(at.LineText))]))+1, at.Length
		}
		list.Add(f)
	}
	return list
}

var customProperty = regexp.MustCompile(`(?m)(?:^|[\s{;])--([a-z][a-z0-9-]*)\s*:`)

// Tokens are the names of the custom properties that a theme's style/tokens.css sets, without their hyphens.
func Tokens(theme fs.FS) []string {
	text, err := fs.ReadFile(theme, "style/tokens.css")
	if err != nil {
		return nil
	}
	names := make(map[string]bool)
	for _, m := range customProperty.FindAllSubmatch(text, -1) {
		names[string(m[1])] = true
	}
	return slices.Sorted(maps.Keys(names))
}

// Properties writes values as custom properties of CSS, over those of the theme in light and in dark.
func Properties(sets ...map[string]string) string {
	var b strings.Builder
	for _, set := range sets {
		for _, name := range slices.Sorted(maps.Keys(set)) {
			fmt.Fprintf(&b, "--%s:%s;", name, set[name])
		}
	}
	if b.Len() == 0 {
		return ""
	}
	return ":root:root{" + b.String() + "}"
}
