// Package course reads a site folder into a Course: site.yaml, the order of the lessons in every language, glossaries
// and sources, and checks one against the other. Bodies of lessons are not kept: a course of a hundred thousand
// lessons fits in memory because an Entry holds a lesson's metadata and, once it has been read, its facts.
package course

import (
	"io/fs"
	"time"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/lesson"
	"example.org/gripleaf/cmd/internal/locale"
)

// Course is one site, read.
type Course struct {
	Files       fs.FS // rooted at the site folder
	Site        Site
	Languages   []*Language // the first is the main one
	Sources     []*Source   // by id
	Calculators kit.Set     // the standard ones and the site's own

	// Work works a query out, or knows it already.
	Work func(query string) (*kit.Work, error)

	Unfinished   []*Entry       // unfinished lessons that were left out
	Untranslated []Untranslated // lessons that a language lacks

	byFile map[string]*Entry
	unread bool // sources.yaml has faults
}

// Site is site.yaml.
type Site struct {
	Title     string
	Summary   string
	Address   string // where it will stand; ends with /, or empty
	Publisher string
	Languages []string // folders
	Lessons   []string // in order
	Look      Look
	Budget    Budget
	Several   bool // lessons come from several hands: no raw HTML
	Units     quantity.System
	Social    bool // each lesson has a picture for places where its address is shared
}

// Look is how the site differs from the theme.
type Look struct {
	Colours map[string]string // theme's name -> CSS colour
	Fonts   map[string]string // theme's name -> CSS font family
	Logo    string            // a file of the site
	Footer  string            // inline Markdown
}

// Budget is what things may weigh in bytes; 0 is no limit.
type Budget struct{ Page, Module int }

// Language is the course in one language.
type Language struct {
	*locale.Locale
	Folder   string
	Main     bool
	Title    string // of the site in this language, as are the next two
	Summary  string
	Footer   string // inline Markdown
	Lessons  []*Entry
	Pages    []*Entry // beside the lessons
	Glossary []*Term  // by id

	course *Course
	unread bool // the glossary has faults
}

// Untranslated is a lesson that is missing in a language.
type Untranslated struct {
	Language *Language
	Name     string
}

// Entry is a lesson, or a page beside the lessons, as the course knows it.
type Entry struct {
	*lesson.Meta
	Name     string // "how-a-stop-is-made"
	File     string // "en/how-a-stop-is-made.md"
	Address  string // "how-a-stop-is-made.html", "de/how-a-stop-is-made.html"
	Beside   bool   // a page beside the lessons
	Index    int    // in its Language's Lessons
	Language *Language
	Previous *Entry
	Next     *Entry
	Others   []*Entry // the same lesson in the other languages
	Before   []*Entry // what it needs
	Facts    *Facts   // nil until its body has been read
}

// Updated is when a lesson last changed in substance: its last correction, or its date.
func Updated(m *lesson.Meta) time.Time {
	at := m.Date
	for _, c := range m.Corrected {
		if c.Date.After(at) {
			at = c.Date
		}
	}
	return at
}

// A page names all lessons of a course of usual size, and of a larger one those around it.
const (
	usual  = 40
	around = 13
)

// Near are the lessons around this one, itself among them.
func (e *Entry) Near() []*Entry {
	all := e.Language.Lessons
	if e.Beside || len(all) <= usual {
		return all
	}
	from := min(max(0, e.Index-around/2), len(all)-around)
	return all[from : from+around]
}

// Facts are what the rest of the course needs to know of a lesson's body.
type Facts struct {
	Parts     string // ids of headings and explorers, which links lead to, a line each: one text is less than many
	Words     int
	Numbers   int      // checked numbers
	Terms     []string // ids, each once
	Sources   []string // ids, each once
	Explorers []Explorer
	Images    []string // files of the site
	Anchors   []Anchor // links to headings
	Links     []string // lessons and pages that it links to, by file
}

// Explorer is one explorer of a lesson.
type Explorer struct{ ID, Calculator, Query, Caption string }

// Anchor is a link to a heading, and the fault that it is if there is no such heading.
type Anchor struct {
	To      string // file
	ID      string
	Missing fault.Fault
}

// Term is one entry of a glossary.
type Term struct {
	ID    string
	Term  string
	Forms []string
	Means string   // inline Markdown
	HTML  string   // Means rendered
	In    []*Entry // where it is used, once all have been read

	place func(code, text, hint string) fault.Fault
}

// Source is one entry of the bibliography.
type Source struct {
	ID      string
	Title   string
	By      string
	Year    string
	In      string
	Address string
	Note    string

	place func(code, text, hint string) fault.Fault
}

// Short is how a citation without words names the source.
func (s *Source) Short() string {
	switch {
	case s.By != "" && s.Year != "":
		return s.By + " " + s.Year
	case s.By != "":
		return s.By
	}
	return s.Title
}
