package pack

import (
	"bytes"
	_ "embed"
	"fmt"
	"io"
	"net/url"
	"slices"
	"strings"
	"text/template"

	"github.com/evanw/esbuild/pkg/api"

	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/theme"
)

//go:embed manifest.xml
var manifestXML string

// Editions are the versions of SCORM (ADL) that a package can be for.
var Editions = []string{"1.2", "2004"}

// learningScript is the name of the script, in a package, that tells a learning system how a reader gets on.
const learningScript = "learning.js"

// resource is what a learning system shows as one page.
type resource struct {
	ID, Title, Path string
	Reports         bool // completion and score
}

// WriteSCORM writes the site as a content package for learning systems, for an edition of SCORM: each lesson of the
// book is an item that reports completion and score by the edition's run-time; glossary, sources and calculators are
// items that report nothing, and all other files are what the items depend on. The same site gives the same bytes.
func (s *Site) WriteSCORM(w io.Writer, b *Book, edition string) error {
	items := []resource{{"course", b.Title(), home(b.Language) + "index.html", false}}
	for _, c := range b.Lessons {
		items = append(items, resource{"lesson-" + identifier(c.Entry.Name), c.Entry.Title, c.Entry.Address, true})
	}
	for _, name := range []string{"Glossary", "Sources", "Calculators"} {
		items = append(items, resource{strings.ToLower(name), b.Language.Say(name), home(b.Language) + strings.ToLower(name) + ".html", false})
	}
	files, err := s.reporting(items, edition)
	if err != nil {
		return err
	}
	shown := func(path string) bool {
		return slices.ContainsFunc(items, func(i resource) bool { return i.Path == path })
	}
	var shared []string
	for _, f := range files {
		if !shown(f.path) {
			shared = append(shared, f.path)
		}
	}
	var out bytes.Buffer
	t := template.Must(template.New("").Funcs(template.FuncMap{"xml": xmlText, "href": href}).Parse(manifestXML))
	view := struct {
		*Book
		Edition, ID string
		Items       []resource
		Shared      []string
	}{b, edition, identifier(b.Course.Site.Address + b.Course.Site.Title + b.Language.Folder), items, shared}
	if err := t.Execute(&out, view); err != nil {
		return err
	}
	return archive(w, nil, append(files, file{"imsmanifest.xml", out.Bytes()}))
}

// reporting gives the site's files with the script that reports, loaded by the pages that do.
func (s *Site) reporting(items []resource, edition string) ([]file, error) {
	source, err := theme.Files.ReadFile("script/learning.ts")
	if err != nil {
		return nil, err
	}
	script := api.Transform(string(source), api.TransformOptions{Loader: api.LoaderTS, Format: api.FormatIIFE,
		Target: api.ES2020, MinifyWhitespace: true, MinifySyntax: true, LegalComments: api.LegalCommentsNone})
	if len(script.Errors) > 0 {
		return nil, fmt.Errorf("script/learning.ts: %s", script.Errors[0].Text)
	}
	files := append(slices.Clone(s.files), file{learningScript, script.Code})
	for i, f := range files {
		if slices.ContainsFunc(items, func(r resource) bool { return r.Reports && r.Path == f.path }) {
			tag := fmt.Sprintf(`<script defer src="%s" data-edition="%s"></script>`+"\n</head>",
				strings.Repeat("../", strings.Count(f.path, "/"))+learningScript, edition)
			files[i].data = bytes.Replace(f.data, []byte("</head>"), []byte(tag), 1)
		}
	}
	return files, nil
}

func home(l *course.Language) string {
	if l.Main {
		return ""
	}
	return l.Folder + "/"
}

// href is a path as an address relative to the package's root.
func href(path string) string {
	address := url.URL{Path: path}
	return xmlText(address.EscapedPath())
}
