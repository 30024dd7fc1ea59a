package course

import (
	"cmp"
	"errors"
	"io/fs"
	"path"
	"slices"
	"strings"

	"example.org/gripleaf/calculators/spelling"
	"example.org/gripleaf/cmd/internal/address"
	"golang.org/x/text/unicode/norm"

	"example.org/gripleaf/cmd/internal/asset"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/lesson"
)

// Check checks one lesson, just read, against the course: its links, terms, sources and pictures. It gives the facts
// that the rest of the course needs of it. Lessons may be checked by several goroutines at once.
func (c *Course) Check(e *Entry, l *lesson.Lesson) (*Facts, fault.List) {
	k := &checker{course: c, entry: e, lesson: l, facts: &Facts{Words: l.Words, Numbers: len(l.Numbers)}}
	var parts strings.Builder
	for _, h := range l.Headings {
		parts.WriteString(h.ID + "\n")
	}
	for _, x := range l.Explorers {
		parts.WriteString(x.ID + "\n")
		k.facts.Explorers = append(k.facts.Explorers, Explorer{x.ID, x.Query.Calculator, x.Raw, x.Caption})
	}
	k.facts.Parts = strings.Clone(parts.String())
	k.terms()
	k.citations()
	for _, link := range l.Links {
		k.link(link)
	}
	for _, image := range l.Images {
		k.image(image)
	}
	return k.facts, k.faults
}

type checker struct {
	course *Course
	entry  *Entry
	lesson *lesson.Lesson
	facts  *Facts
	faults fault.List
}

func (k *checker) fault(s lesson.Span, code, text, hint string) {
	k.faults.Add(k.lesson.At(s, code, text, hint))
}

func (k *checker) terms() {
	l := k.entry.Language
	for _, t := range k.lesson.Terms {
		known, ok := l.Term(t.ID)
		if !ok && l.unread {
			continue // the glossary itself has faults
		}
		if !ok {
			k.fault(lesson.Span{Start: t.IDAt, End: t.IDAt + len(t.ID)}, "unknown-term",
				"the glossary has no term "+quote(t.ID), meantOr(t.ID, termIDs(l), "write it into "+l.Folder+"/glossary.yaml"))
			continue
		}
		k.facts.Terms = once(k.facts.Terms, known.ID) // not the text of each link to it
	}
}

func (k *checker) citations() {
	for _, s := range k.lesson.Citations {
		known, ok := k.course.Source(s.ID)
		if !ok && k.course.unread {
			continue // the bibliography itself has faults
		}
		if !ok {
			k.fault(lesson.Span{Start: s.IDAt, End: s.IDAt + len(s.ID)}, "unknown-source",
				"there is no source "+quote(s.ID), meantOr(s.ID, sourceIDs(k.course), "write it into sources.yaml"))
			continue
		}
		k.facts.Sources = once(k.facts.Sources, known.ID)
	}
}

// meantOr names the nearest valid name, or says what else to do.
func meantOr(name string, valid []string, otherwise string) string {
	if spelling.Nearest(name, valid) != "" {
		return fault.Meant(name, valid)
	}
	return otherwise
}

func once(list []string, s string) []string {
	for _, have := range list {
		if have == s {
			return list
		}
	}
	return append(list, s)
}

func termIDs(l *Language) []string {
	ids := make([]string, len(l.Glossary))
	for i, t := range l.Glossary {
		ids[i] = t.ID
	}
	return ids
}

func sourceIDs(c *Course) []string {
	ids := make([]string, len(c.Sources))
	for i, s := range c.Sources {
		ids[i] = s.ID
	}
	return ids
}

// link checks a link within the course. Whether its heading exists is known when all lessons have been read.
func (k *checker) link(l *lesson.Link) {
	file, heading, has := strings.Cut(l.Destination, "#")
	target := k.entry
	at := lesson.Span{Start: l.DestinationAt, End: l.DestinationAt + len(file)}
	switch {
	case file == "" && has:
	case strings.HasSuffix(file, ".md") && !strings.Contains(file, ":"):
		if target = k.entry.Resolve(file); target == nil {
			k.fault(at, "broken-link", "there is no lesson "+quote(file), fault.Meant(path.Base(file), k.entry.Language.files()))
			return
		}
		k.facts.Links = once(k.facts.Links, target.File)
	default:
		k.place(l)
		return
	}
	if has && heading != "" {
		start := l.DestinationAt + len(file) + 1
		missing := k.lesson.At(lesson.Span{Start: start, End: start + len(heading)},
			"broken-link", "there is no heading "+quote(heading)+" in "+target.File, "")
		k.facts.Anchors = append(k.facts.Anchors, Anchor{target.File, heading, missing})
	}
}

// place checks a link to a page of the site that is no lesson's file.
func (k *checker) place(l *lesson.Link) {
	if _, has := address.Scheme(l.Destination); has || l.Destination == "" {
		return // which reading has checked
	}
	at := lesson.Span{Start: l.DestinationAt, End: l.DestinationAt + len(l.Destination)}
	if err, wrong := address.Place(k.entry.Address, l.Destination).(*address.Error); wrong {
		k.fault(at, "wrong-address", err.Text, err.Hint)
		return
	}
	place, _, _ := strings.Cut(l.Destination, "#")
	place, _, _ = strings.Cut(place, "?")
	if page := path.Join(path.Dir(k.entry.Address), place); !k.course.publishes(page) {
		k.fault(at, "broken-link", "the site has no page "+quote(page),
			"link to a lesson by its file, such as "+k.entry.Name+".md")
	}
}

// publishes reports whether a page of the site has this address.
func (c *Course) publishes(page string) bool {
	for e := range c.Entries {
		if e.Address == page {
			return true
		}
	}
	for _, l := range c.Languages {
		name := strings.TrimSuffix(page, ".html")
		if !l.Main {
			name = strings.TrimPrefix(name, l.Folder+"/")
		}
		if slices.Contains(taken, name) {
			return true
		}
		id, found := strings.CutPrefix(name, "calculators/")
		if _, ok := c.Calculators.Find(id); found && ok {
			return true
		}
	}
	return false
}

// Resolve finds the lesson or page that a relative link to a Markdown file means; nil without one.
func (e *Entry) Resolve(file string) *Entry {
	return e.Language.course.Entry(path.Join(path.Dir(e.File), file))
}

// Entry finds the lesson or page of a file of the site; nil without one. Some disks keep names in decomposed letters.
func (c *Course) Entry(file string) *Entry { return c.byFile[norm.NFC.String(file)] }

// files are the lessons and pages of a language as links between them write them.
func (l *Language) files() []string {
	var list []string
	for _, e := range l.Lessons {
		list = append(list, e.Name+".md")
	}
	return list
}

func (k *checker) image(i *lesson.Image) {
	name := path.Join(path.Dir(k.entry.File), i.Destination)
	at := lesson.Span{Start: i.DestinationAt, End: i.DestinationAt + len(i.Destination)}
	if !fs.ValidPath(name) {
		k.fault(at, "missing-picture", "this picture is outside of the site", "put it into pictures/")
		return
	}
	info, err := fs.Stat(k.course.Files, name)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		k.fault(at, "missing-picture", Reason(err), "put the picture into pictures/ itself")
		return
	}
	if err != nil || !info.Mode().IsRegular() {
		hint := fault.Meant(path.Base(name), pictures(k.course.Files, path.Dir(name)))
		root := strings.TrimPrefix(path.Clean("/"+i.Destination), "/")
		for _, there := range []string{path.Join("pictures", root), root} {
			if info, err := fs.Stat(k.course.Files, there); err == nil && info.Mode().IsRegular() {
				hint = "write it from this file on: " + strings.Repeat("../", strings.Count(k.entry.File, "/")) + there
			}
		}
		k.fault(at, "missing-picture", "there is no picture "+quote(name), hint)
		return
	}
	if !asset.IsPicture(name) {
		k.fault(at, "not-a-picture", quote(name)+" is no picture that a page can show", asset.PictureHint)
		return
	}
	if i.Alt == "" {
		k.fault(i.Span, "no-image-text", "this picture has no text for those who cannot see it",
			"say between the square brackets what it shows")
	}
	k.facts.Images = once(k.facts.Images, name)
}

func pictures(files fs.FS, folder string) []string {
	entries, err := fs.ReadDir(files, folder)
	if err != nil {
		return nil
	}
	var list []string
	for _, e := range entries {
		list = append(list, e.Name())
	}
	return list
}

// Picture is the file of the site that an image of a lesson means.
func (e *Entry) Picture(destination string) string { return path.Join(path.Dir(e.File), destination) }

// CheckAll checks what only the whole course can tell, once every entry has its facts: links to headings, and terms and
// sources that nobody uses.
func (c *Course) CheckAll() fault.List {
	var faults fault.List
	cited, used := make(map[string]bool), make(map[*Term]bool)
	for e := range c.Entries {
		if e.Facts == nil {
			continue
		}
		for _, a := range e.Facts.Anchors {
			to := c.Entry(a.To)
			if to == nil || to.Facts == nil {
				continue
			}
			if ids := strings.Fields(to.Facts.Parts); !slices.Contains(ids, a.ID) {
				a.Missing.Hint = cmp.Or(fault.Meant(a.ID, ids), "give a heading this name: ## [Words](moment:#"+a.ID+")")
				faults.Add(a.Missing)
			}
		}
		for _, id := range e.Facts.Sources {
			cited[id] = true
		}
		for _, id := range e.Facts.Terms {
			if t, ok := e.Language.Term(id); ok {
				used[t] = true
				t.In = append(t.In, e)
			}
		}
	}
	for _, s := range c.Sources {
		if !cited[s.ID] {
			faults.Add(s.place("uncited-source", "nobody cites the source "+quote(s.ID),
				"cite it, [words](source:"+s.ID+"), or take it out"))
		}
	}
	return faults
}

// Entries yields all lessons and pages of all languages.
func (c *Course) Entries(yield func(*Entry) bool) {
	for _, l := range c.Languages {
		for _, list := range [][]*Entry{l.Lessons, l.Pages} {
			for _, e := range list {
				if !yield(e) {
					return
				}
			}
		}
	}
}
