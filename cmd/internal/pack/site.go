package pack

import (
	"bytes"
	"context"
	"io"
	"io/fs"
	"net/url"
	"os"
	"strings"
	"text/template"

	_ "embed"

	"example.org/gripleaf/cmd/internal/build"
	"example.org/gripleaf/cmd/internal/course"
)

//go:embed imsmanifest.xml
var manifestXML string

// Built builds the site somewhere out of the way and gives its files.
func Built(ctx context.Context, b build.Builder) (*Site, error) {
	folder, err := os.MkdirTemp("", "gripleaf-pack-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(folder)
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

// WriteZip writes the site as a zip, in a folder of a name: unpacked, its
// index.html opens with a double click. The same site gives the same bytes.
func (s *Site) WriteZip(w io.Writer, folder string) error {
	var files []file
	for _, f := range s.files {
		files = append(files, file{folder + "/" + f.path, f.data})
	}
	return archive(w, nil, files)
}

// resource is what a learning system shows as one page.
type resource struct{ ID, Title, Path string }

// WriteLMS writes the site as a content package for learning systems (IMS
// Content Packaging 1.1.4): each lesson of the book is an item that they show,
// and all other files are what the items depend on.
func (s *Site) WriteLMS(w io.Writer, b *Book) error {
	items := []resource{{"course", b.Title(), home(b.Language) + "index.html"}}
	for _, c := range b.Lessons {
		items = append(items, resource{"lesson-" + identifier(c.Entry.Name), c.Entry.Title, c.Entry.Address})
	}
	for _, name := range []string{"Glossary", "Sources", "Calculators"} {
		items = append(items, resource{strings.ToLower(name), b.Language.Say(name), home(b.Language) + strings.ToLower(name) + ".html"})
	}
	shown := make(map[string]bool)
	for _, i := range items {
		shown[i.Path] = true
	}
	var shared []string
	for _, f := range s.files {
		if !shown[f.path] {
			shared = append(shared, f.path)
		}
	}
	var out bytes.Buffer
	t := template.Must(template.New("").Funcs(template.FuncMap{"xml": xmlText, "href": href}).Parse(manifestXML))
	view := struct {
		*Book
		ID     string
		Items  []resource
		Shared []string
	}{b, identifier(b.Course.Site.Address + b.Course.Site.Title + b.Language.Folder), items, shared}
	if err := t.Execute(&out, view); err != nil {
		return err
	}
	return archive(w, nil, append(s.files, file{"imsmanifest.xml", out.Bytes()}))
}

func home(l *course.Language) string {
	if l.Main {
		return ""
	}
	return l.Folder + "/"
}

// href is a path as an address relative to the package's root.
func href(path string) string {
	parts := strings.Split(path, "/")
	for i, p := range parts {
		parts[i] = url.PathEscape(p)
	}
	return xmlText(strings.Join(parts, "/"))
}
