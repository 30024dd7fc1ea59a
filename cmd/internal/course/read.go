package course

import (
	"errors"
	"io/fs"
	"path"
	"runtime"
	"slices"
	"strings"
	"sync"

	"golang.org/x/text/language"
	"golang.org/x/text/unicode/norm"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/folder"
	"example.org/gripleaf/cmd/internal/lesson"
	"example.org/gripleaf/cmd/internal/locale"
	"example.org/gripleaf/cmd/internal/yaml"
)

// Options say how a site is read.
type Options struct {
	Calculators kit.Set
	Shown       string   // the site folder as messages name it; empty for the current one
	Unfinished  bool     // take unfinished lessons too
	Tokens      []string // the theme's names of colours and fonts

	// Work works a query out; without it, every calculation is made anew.
	Work func(query string) (*kit.Work, error)

	// Words is the theme's catalogue of a language.
	Words func(language.Tag) (map[string]string, fault.List)

	// Head reads the metadata of a file of the site; without it, files are read anew.
	Head func(file, shown string) (*lesson.Meta, fault.List)
}

// siteHint says what to do without a site.yaml.
const siteHint = "write one: title, languages, lessons; gripleaf begin DIR makes a small site to start from"

// Read reads everything but the lessons' bodies. The course is nil if there is no site.yaml to begin with; otherwise it
// is as whole as the faults allow.
func Read(files fs.FS, o Options) (*Course, fault.List) {
	r := &reader{course: &Course{Files: files, Calculators: o.Calculators, Work: o.Work}, Options: o}
	if o.Work == nil {
		r.course.Work = o.Calculators.Work
	}
	source, ok := r.open("site.yaml", siteHint)
	if !ok {
		return nil, r.faults
	}
	r.site(source)
	r.sources()
	for i, folder := range r.course.Site.Languages {
		if l := r.language(folder, i); l != nil {
			r.course.Languages = append(r.course.Languages, l)
		}
	}
	r.connect()
	r.faults.Sort()
	return r.course, r.faults
}

type reader struct {
	Options
	course    *Course
	faults    fault.List
	siteFile  *fault.Source
	lessonsAt []lesson.Span // of site.yaml's lessons
	foldersAt []lesson.Span
	texts     map[string][]yaml.Field // texts of the site that are given by language
}

// open reads a file of the site; what to do if it is missing is said in hint, and without one it may be missing.
func (r *reader) open(name, hint string) (*fault.Source, bool) {
	text, err := fs.ReadFile(r.course.Files, name)
	if err == nil {
		return &fault.Source{File: path.Join(r.Shown, name), Text: text}, true
	}
	if hint != "" || !errors.Is(err, fs.ErrNotExist) {
		r.faults.Add(fault.Fault{Code: "missing-file", File: path.Join(r.Shown, name), Text: Reason(err), Hint: hint})
	}
	return nil, false
}

// Reason says why a file of the site cannot be read.
func Reason(err error) string {
	if errors.Is(err, fs.ErrNotExist) {
		return "this file is missing"
	}
	return "this file cannot be read: " + folder.Why(err)
}

func (r *reader) fault(s *fault.Source, at lesson.Span, code, text, hint string) {
	f := s.At(at.Start, at.Len(), text, hint)
	f.Code = code
	r.faults.Add(f)
}

// language reads one folder: its glossary, its lessons' metadata, and the pages beside them.
func (r *reader) language(folder string, index int) *Language {
	site := &r.course.Site
	l, err := locale.New(folder, nil)
	if err != nil {
		r.fault(r.siteFile, r.foldersAt[index], "language", err.Error(), "write a tag such as en, de or pt-BR")
		return nil
	}
	l.Units = site.Units
	if r.Words != nil {
		words, faults := r.Words(l.Tag)
		l.Words = words
		r.faults.Add(faults...)
	}
	lang := &Language{Locale: l, Folder: folder, Main: index == 0,
		Title: r.in(folder, "title", site.Title), Summary: r.in(folder, "summary", site.Summary),
		Footer: r.in(folder, "footer", site.Look.Footer)}
	files, err := fs.ReadDir(r.course.Files, folder)
	if err != nil {
		what := "there is no folder " + quote(folder)
		if !errors.Is(err, fs.ErrNotExist) {
			what = "the folder " + quote(folder) + ": " + Reason(err)
		}
		r.fault(r.siteFile, r.foldersAt[index], "missing-folder", what, "make it, or take the language out of the list")
		return nil
	}
	r.glossary(lang)
	lang.Lessons = r.lessons(lang, names(files))
	lang.Pages = r.pages(lang)
	return lang
}

// names are the Markdown files of a folder, without their ending.
func names(files []fs.DirEntry) []string {
	var list []string
	for _, f := range files {
		if name, ok := strings.CutSuffix(f.Name(), ".md"); ok && !f.IsDir() {
			list = append(list, name)
		}
	}
	return list
}

func (r *reader) lessons(l *Language, there []string) []*Entry {
	inFolder := r.alike(l.Folder, there)
	var entries []*Entry
	inOrder := make(map[string]bool, len(r.course.Site.Lessons))
	for i, name := range r.course.Site.Lessons {
		file, found := inFolder[name]
		inOrder[file] = true
		switch {
		case found:
			entries = append(entries, &Entry{Name: name, File: path.Join(l.Folder, file+".md"),
				Address: l.address(name), Language: l})
		case l.Main:
			r.fault(r.siteFile, r.lessonsAt[i], "missing-lesson",
				"there is no lesson "+quote(name)+" in "+l.Folder, fault.Meant(name, there))
		default:
			r.course.Untranslated = append(r.course.Untranslated, Untranslated{l, name})
		}
	}
	stray := func(name string) fault.Fault {
		return fault.Fault{Code: "stray-lesson", File: path.Join(r.Shown, l.Folder, name+".md"),
			Text: "this lesson is not in the order of site.yaml",
			Hint: "add " + name + " to lessons, or move the file to " + path.Join(l.Folder, "pages")}
	}
	for _, name := range there {
		if !inOrder[name] {
			r.faults.Add(stray(name))
		}
	}
	r.metadata(entries)
	return r.finished(entries)
}

// address is where a lesson of this language is published.
func (l *Language) address(name string) string {
	if l.Main {
		return name + ".html"
	}
	return l.Folder + "/" + name + ".html"
}

// finished leaves the unfinished lessons out, unless they are asked for.
func (r *reader) finished(entries []*Entry) []*Entry {
	entries = slices.DeleteFunc(entries, func(e *Entry) bool {
		if e.Unfinished && !r.Unfinished {
			r.course.Unfinished = append(r.course.Unfinished, e)
			return true
		}
		return false
	})
	for i, e := range entries {
		e.Index = i
	}
	return entries
}

func (r *reader) pages(l *Language) []*Entry {
	folder := path.Join(l.Folder, "pages")
	files, err := fs.ReadDir(r.course.Files, folder)
	if err != nil {
		return nil
	}
	var entries []*Entry
	for i, file := range names(files) {
		name := norm.NFC.String(file)
		if why, hint := unfit(name); why != "" {
			r.faults.Add(fault.Fault{Code: "name", File: path.Join(r.Shown, folder, file+".md"),
				Text: why + " cannot be that of a page", Hint: hint})
			continue
		}
		entries = append(entries, &Entry{Name: name, File: path.Join(folder, file+".md"),
			Address: l.address("pages/" + name), Language: l, Beside: true, Index: i})
	}
	r.metadata(entries)
	return r.finished(entries)
}

// metadata reads the heads of many files on all cores.
func (r *reader) metadata(entries []*Entry) {
	workers := min(runtime.GOMAXPROCS(0), len(entries))
	found := make([]fault.List, len(entries))
	var group sync.WaitGroup
	for w := range workers {
		group.Go(func() {
			for i := w; i < len(entries); i += workers {
				found[i] = r.head(entries[i])
			}
		})
	}
	group.Wait()
	for _, faults := range found {
		r.faults.Add(faults...)
	}
}

func (r *reader) head(e *Entry) fault.List {
	name := path.Join(r.Shown, e.File)
	var faults fault.List
	if r.Head != nil {
		e.Meta, faults = r.Head(e.File, name)
	} else {
		e.Meta, faults = ReadHead(r.course.Files, e.File, name)
	}
	if e.Title == "" {
		meta := *e.Meta // which may be kept for the next build as it is
		meta.Title, e.Meta = e.Name, &meta
	}
	return faults
}

// ReadHead reads the metadata of a lesson's file; messages call it shown.
func ReadHead(files fs.FS, file, shown string) (*lesson.Meta, fault.List) {
	text, err := fs.ReadFile(files, file)
	if err != nil {
		return &lesson.Meta{}, fault.List{{Code: "missing-file", File: shown, Text: Reason(err)}}
	}
	meta, _, faults := lesson.ReadMeta(&fault.Source{File: shown, Text: text})
	return &meta, faults
}

// connect links the entries to each other: neighbours, translations, prerequisites.
func (r *reader) connect() {
	byName := make(map[string][]*Entry)
	r.course.byFile = make(map[string]*Entry)
	for _, l := range r.course.Languages {
		l.course = r.course
		for _, list := range [][]*Entry{l.Lessons, l.Pages} {
			for i, e := range list {
				if i > 0 && !e.Beside {
					e.Previous, list[i-1].Next = list[i-1], e
				}
				r.course.byFile[norm.NFC.String(e.File)] = e
				key := e.key()
				byName[key] = append(byName[key], e)
			}
		}
		r.prerequisites(l)
	}
	for _, same := range byName {
		for _, e := range same {
			for _, other := range same {
				if other != e {
					e.Others = append(e.Others, other)
				}
			}
		}
	}
}

// key tells lessons from pages of the same name.
func (e *Entry) key() string {
	if e.Beside {
		return "pages/" + e.Name
	}
	return e.Name
}

// prerequisites checks that what a lesson needs comes before it.
func (r *reader) prerequisites(l *Language) {
	byName := make(map[string]*Entry, len(l.Lessons))
	for _, e := range l.Lessons {
		byName[e.Name] = e
	}
	for _, e := range l.Lessons {
		for _, n := range e.Needs {
			switch before, ok := byName[n.Name]; {
			case !ok && slices.Contains(r.course.Site.Lessons, n.Name):
				// not translated, or still unfinished: that is reported elsewhere
			case !ok:
				r.faults.Add(r.needs(e, n, "there is no lesson "+quote(n.Name), fault.Meant(n.Name, r.course.Site.Lessons)))
			case before.Index >= e.Index:
				r.faults.Add(r.needs(e, n, quote(n.Name)+" does not come before this lesson",
					"put it before in site.yaml's lessons, or take it out of needs"))
			default:
				e.Before = append(e.Before, before)
			}
		}
	}
}

// needs is a fault at one of a lesson's prerequisites.
func (r *reader) needs(e *Entry, n lesson.Name, text, hint string) fault.Fault {
	source, _ := fs.ReadFile(r.course.Files, e.File)
	f := fault.At(path.Join(r.Shown, e.File), source, n.Span.Start, n.Span.Len(), text, hint)
	f.Code = "needs"
	return f
}

func quote(s string) string { return `"` + s + `"` }
