package page

import (
	"html/template"
	"io"
	"iter"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/cmd/internal/cache"
	"example.org/gripleaf/cmd/internal/course"
)

// File is one file of the site that is not a lesson: its path from the site's root, how it is written, and what it is
// made from besides what all pages of the site are.
type File struct {
	Path  string
	Write func(w io.Writer) error
	Of    func(k cache.Key) // nil if there is nothing
}

// Bytes is a file whose content is at hand.
func Bytes(path string, data []byte) File {
	return File{Path: path, Write: func(w io.Writer) error { _, err := w.Write(data); return err }}
}

// Files are all files besides the lessons, the pages beside them and the search. The facts of all lessons have been read.
func (p *Printer) Files() iter.Seq[File] {
	return func(yield func(File) bool) {
		for _, l := range p.course.Languages {
			for _, f := range p.filesOf(l) {
				if !yield(f) {
					return
				}
			}
		}
		for _, f := range p.feeds() {
			if !yield(f) {
				return
			}
		}
	}
}

func (p *Printer) filesOf(l *course.Language) []File {
	in := home(l)
	list := append(p.maps(l),
		File{in + "glossary.html", func(w io.Writer) error { return p.glossary(w, l) }, func(k cache.Key) { glossaryOf(k, l) }},
		File{in + "sources.html", func(w io.Writer) error { return p.sources(w, l) }, p.sourcesOf},
		File{in + "calculators.html", func(w io.Writer) error { return p.calculators(w, l) }, func(k cache.Key) {
			for _, c := range p.course.Calculators {
				namedOf(k, p.digest(l).with[c.ID])
			}
		}})
	for _, c := range p.course.Calculators {
		of := func(k cache.Key) { namedOf(k, p.digest(l).with[c.ID]) }
		list = append(list,
			File{in + "calculators/" + c.ID + ".html", func(w io.Writer) error { return p.calculator(w, l, c, false) }, of},
			File{in + "calculators/" + c.ID + "-embed.html", func(w io.Writer) error { return p.calculator(w, l, c, true) }, of})
	}
	if words := p.words[l]; words.path != "" {
		list = append(list, Bytes(words.path, words.text))
	}
	return list
}

// mostNamed is how many lessons a list within a sentence names; of a course of usual size it names all.
const mostNamed = 40

// namedOf tells what such a list is made from.
func namedOf(k cache.Key, list []*course.Entry) {
	k.Ints(len(list))
	for _, e := range list[:min(mostNamed, len(list))] {
		k.Text(e.Title, e.Address)
	}
}

func glossaryOf(k cache.Key, l *course.Language) {
	for _, t := range l.Glossary {
		k.Text(t.ID, t.Term, t.Means)
		namedOf(k, t.In)
	}
}

func (p *Printer) sourcesOf(k cache.Key) {
	for _, s := range p.course.Sources {
		k.Text(s.ID, s.Title, s.By, s.Year, s.In, s.Address, s.Note)
	}
}

type glossaryView struct {
	frame
	Terms []*course.Term
}

func (p *Printer) glossary(w io.Writer, l *course.Language) error {
	v := glossaryView{p.frame(l, home(l)+"glossary.html"), l.Glossary}
	v.Title, v.About = v.Say("Glossary"), v.Say("The words of the trade, as this course uses them.")
	return p.execute(w, "glossary", &v)
}

type sourcesView struct {
	frame
	Sources []*course.Source
	Written string // language of the entries, which are the same in all languages
}

func (p *Printer) sources(w io.Writer, l *course.Language) error {
	v := sourcesView{p.frame(l, home(l)+"sources.html"), p.course.Sources, p.course.Languages[0].Tag.String()}
	v.Title, v.About = v.Say("Sources"), v.Say("Where the facts and figures of this course are from.")
	return p.execute(w, "sources", &v)
}

type calculatorsView struct {
	frame
	Calculators []used
}

// used is a calculator and the lessons that have an explorer of it.
type used struct {
	*kit.Calculator
	In []*course.Entry
}

func (p *Printer) calculators(w io.Writer, l *course.Language) error {
	v := calculatorsView{frame: p.frame(l, home(l)+"calculators.html")}
	v.Title, v.About = v.Say("Calculators"), v.Say("Every calculator of this course by itself.")
	for _, c := range p.course.Calculators {
		v.Calculators = append(v.Calculators, used{c, p.digest(l).with[c.ID]})
	}
	return p.execute(w, "calculators", &v)
}

type calculatorView struct {
	frame
	Explorer *explorerView
	Code     string // to embed it elsewhere
	Lessons  []*course.Entry
}

func (p *Printer) calculator(w io.Writer, l *course.Language, c *kit.Calculator, embedded bool) error {
	work, err := p.works[c.ID]()
	if err != nil {
		return err
	}
	path := home(l) + "calculators/" + c.ID
	v := calculatorView{frame: p.frame(l, path+".html"), Lessons: p.digest(l).with[c.ID]}
	v.Explorer = p.explorer(&v.frame, c.ID, work)
	v.Explorer.Caption = template.HTML(escape(v.Say(c.Title)))
	v.Title, v.About, v.Embedded = v.Say(c.Title), v.Say(c.Question), embedded
	if embedded {
		return p.execute(w, "embed", &v)
	}
	v.Code = `<iframe src="` + v.Full(path+"-embed.html") + `" title="` + v.Title + `" width="760" height="780" loading="lazy"></iframe>`
	return p.execute(w, "calculator", &v)
}
