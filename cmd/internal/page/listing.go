package page

import (
	"html/template"
	"io"
	"iter"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/cmd/internal/course"
)

// File is one file of the site that is not a lesson: its path from the site's root, and how it is written.
type File struct {
	Path  string
	Write func(w io.Writer) error

	Language   *course.Language // of a calculator's own page; nil of others
	Calculator string
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
	list := []File{
		{Path: in + "index.html", Write: func(w io.Writer) error { return p.Map(w, l) }},
		{Path: in + "glossary.html", Write: func(w io.Writer) error { return p.glossary(w, l) }},
		{Path: in + "sources.html", Write: func(w io.Writer) error { return p.sources(w, l) }},
		{Path: in + "calculators.html", Write: func(w io.Writer) error { return p.calculators(w, l) }},
	}
	for _, c := range p.course.Calculators {
		list = append(list,
			File{in + "calculators/" + c.ID + ".html", func(w io.Writer) error { return p.calculator(w, l, c, false) }, l, c.ID},
			File{in + "calculators/" + c.ID + "-embed.html", func(w io.Writer) error { return p.calculator(w, l, c, true) }, l, c.ID})
	}
	if words := p.words[l]; words.path != "" {
		list = append(list, Bytes(words.path, words.text))
	}
	return list
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
		v.Calculators = append(v.Calculators, used{c, lessonsWith(l, c.ID)})
	}
	return p.execute(w, "calculators", &v)
}

func lessonsWith(l *course.Language, calculator string) []*course.Entry {
	var in []*course.Entry
	for _, e := range l.Lessons {
		if e.Facts == nil {
			continue
		}
		for _, x := range e.Facts.Explorers {
			if x.Calculator == calculator {
				in = append(in, e)
				break
			}
		}
	}
	return in
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
	v := calculatorView{frame: p.frame(l, path+".html"), Lessons: lessonsWith(l, c.ID)}
	v.Explorer = p.explorer(&v.frame, c.ID, work)
	v.Explorer.Caption = template.HTML(escape(v.Say(c.Title)))
	v.Title, v.About, v.Embedded = v.Say(c.Title), v.Say(c.Question), embedded
	if embedded {
		return p.execute(w, "embed", &v)
	}
	v.Code = `<iframe src="` + v.Full(path+"-embed.html") + `" title="` + v.Title + `" width="760" height="780" loading="lazy"></iframe>`
	return p.execute(w, "calculator", &v)
}
