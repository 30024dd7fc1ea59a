package page

import (
	"html/template"
	"io"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/cmd/internal/course"
)

// Files are all files of a language besides its lessons, the pages beside them and the search. The facts of all lessons
// have been read. work works a calculator out at its defaults.
func (s *Site) Files(c *course.Course, l *course.Language, work func(id string) (*kit.Work, error)) []File {
	d := newDigest(l)
	files := append(s.maps(l, d), s.glossary(l), s.sources(c), s.corrections(l), s.calculators(c, d))
	for _, one := range c.Calculators {
		for _, embedded := range []bool{false, true} {
			files = append(files, s.calculator(one, d, embedded, work))
		}
	}
	if s.Words != "" {
		files = append(files, File{s.Words, s.Words, func(w io.Writer) error { _, err := w.Write(s.words); return err }})
	}
	if s.Address != "" {
		files = append(files, s.feed(l))
	}
	return files
}

// digest is what the lessons of a language tell together, once the facts of all have been read.
type digest struct {
	from    []int                      // minutes to read before each lesson
	minutes int                        // to read them all
	numbers int                        // checked ones
	with    map[string][]*course.Entry // by calculator: the lessons that have an explorer of it
}

func newDigest(l *course.Language) *digest {
	d := &digest{with: make(map[string][]*course.Entry)}
	for _, e := range l.Lessons {
		d.from = append(d.from, d.minutes)
		d.minutes += minutesOf(e)
		if e.Facts == nil {
			continue
		}
		d.numbers += e.Facts.Numbers
		for _, x := range e.Facts.Explorers {
			if in := d.with[x.Calculator]; len(in) == 0 || in[len(in)-1] != e {
				d.with[x.Calculator] = append(in, e)
			}
		}
	}
	return d
}

// listing is the frame of a page that lists something.
func (s *Site) listing(path, title, about string) Frame {
	f := s.frame(path)
	f.Title, f.About = title, about
	return f
}

// Glossary is the page of all terms.
type Glossary struct {
	Frame
	Terms []struct {
		Term
		In Named
	}
}

func (s *Site) glossary(l *course.Language) File {
	v := &Glossary{Frame: s.listing("glossary.html", s.reader.Say("Glossary"),
		s.reader.Say("The words of the trade, as this course uses them."))}
	for _, t := range l.Glossary {
		v.Terms = append(v.Terms, struct {
			Term
			In Named
		}{Term{t.ID, t.Term, template.HTML(t.HTML)}, v.name(t.In)})
	}
	return s.page(v.Path, "glossary", v)
}

// Sources is the bibliography.
type Sources struct {
	Frame
	Sources []*course.Source
	Written string // language of the entries, which are the same in all languages
}

func (s *Site) sources(c *course.Course) File {
	about := s.reader.Say("Where the facts and figures of this course are from.")
	v := &Sources{s.listing("sources.html", s.reader.Say("Sources"), about), c.Sources, s.Languages[0].Tag}
	return s.page(v.Path, "sources", v)
}

// Calculators is the list of all calculators.
type Calculators struct {
	Frame
	Calculators []Use
}

// Use is a calculator and the lessons that have an explorer of it.
type Use struct {
	ID, Title, Question string
	In                  Named
}

func (f *Frame) use(c *kit.Calculator, d *digest) Use {
	return Use{c.ID, f.Say(c.Title), f.Say(c.Question), f.name(d.with[c.ID])}
}

func (s *Site) calculators(c *course.Course, d *digest) File {
	v := &Calculators{Frame: s.listing("calculators.html", s.reader.Say("Calculators"),
		s.reader.Say("Every calculator of this course by itself."))}
	for _, one := range c.Calculators {
		v.Calculators = append(v.Calculators, v.use(one, d))
	}
	return s.page(v.Path, "calculators", v)
}

// Calculator is the page of one calculator, or the one that other sites embed. What the calculator does is known by the
// module that the site names.
type Calculator struct {
	Frame
	Use   Use
	Embed string // path of the page to embed
}

// calculatorView is such a page with the calculator at its defaults.
type calculatorView struct {
	*Calculator
	Explorer *explorerView
}

func (s *Site) calculator(c *kit.Calculator, d *digest, embedded bool, work func(id string) (*kit.Work, error)) File {
	path := "calculators/" + c.ID
	v := &Calculator{Frame: s.frame(path + ".html"), Embed: s.Language.Folder + path + "-embed.html"}
	v.Use = v.use(c, d)
	v.Title, v.About, v.Embedded = v.Use.Title, v.Use.Question, embedded
	file, name := v.Path, "calculator"
	if embedded {
		file, name = v.Embed, "embed"
	}
	return File{file, v, func(w io.Writer) error {
		worked, err := work(c.ID)
		if err != nil {
			return err
		}
		view := &calculatorView{v, v.explorer(c.ID, &kit.View{Now: worked}, nil)}
		view.Explorer.Caption = template.HTML(template.HTMLEscapeString(v.Title))
		return s.printer.execute(w, name, view)
	}}
}
