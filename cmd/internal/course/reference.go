package course

import (
	"cmp"
	"path"
	"slices"

	"example.org/gripleaf/cmd/internal/address"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/lesson"
	"example.org/gripleaf/cmd/internal/yaml"
)

// sources reads sources.yaml, the bibliography. A site without one cites nothing.
func (r *reader) sources() {
	file, ok := r.open("sources.yaml", "")
	if !ok {
		return
	}
	v := yaml.Parse(file, 0, len(file.Text), &r.faults)
	r.course.unread = v.Empty() && len(r.faults) > 0
	for _, f := range v.Fields() {
		s := &Source{ID: f.Name}
		f.Value.Each(map[string]func(yaml.Value){
			"title":   func(v yaml.Value) { s.Title = lesson.Words(v) },
			"by":      func(v yaml.Value) { s.By = v.Text() },
			"year":    func(v yaml.Value) { s.Year = v.Text() },
			"in":      func(v yaml.Value) { s.In = v.Text() },
			"address": func(v yaml.Value) { s.Address = webAddress(v) },
			"note":    func(v yaml.Value) { s.Note = lesson.Words(v) },
		})
		if s.Title == "" {
			f.Key.Fault("no-title", "the source "+quote(s.ID)+" has no title", "write title: …")
		}
		s.place = place(file, f)
		r.course.Sources = append(r.course.Sources, s)
	}
	slices.SortFunc(r.course.Sources, func(a, b *Source) int { return cmp.Compare(a.ID, b.ID) })
}

// webAddress reads an address out in the web; "" after a fault.
func webAddress(v yaml.Value) string {
	text := v.Text()
	if err, wrong := address.Web(text).(*address.Error); wrong {
		v.Fault("wrong-address", err.Text, err.Hint)
		return ""
	}
	return text
}

// glossary reads the terms of a language.
func (r *reader) glossary(l *Language) {
	file, ok := r.open(path.Join(l.Folder, "glossary.yaml"), "")
	if !ok {
		return
	}
	v := yaml.Parse(file, 0, len(file.Text), &r.faults)
	l.unread = v.Empty() && len(r.faults) > 0
	for _, f := range v.Fields() {
		t := &Term{ID: f.Name}
		f.Value.Each(map[string]func(yaml.Value){
			"term":  func(v yaml.Value) { t.Term = v.Text() },
			"forms": func(v yaml.Value) { t.Forms = v.Texts() },
			"means": func(v yaml.Value) { t.Means = lesson.Words(v) },
		})
		if t.Term == "" || t.Means == "" {
			f.Key.Fault("glossary", "the term "+quote(t.ID)+" is not complete", "write term: … and means: …")
		}
		t.HTML = lesson.Inline(t.Means)
		t.place = place(file, f)
		l.Glossary = append(l.Glossary, t)
	}
	slices.SortFunc(l.Glossary, func(a, b *Term) int { return cmp.Compare(a.ID, b.ID) })
}

// place makes faults at a field's key later on, when it turns out that nobody uses it.
func place(file *fault.Source, f yaml.Field) func(code, text, hint string) fault.Fault {
	start, end := f.Key.Span()
	return func(code, text, hint string) fault.Fault {
		one := file.At(start, end-start, text, hint)
		one.Code = code
		return one
	}
}

// Fault is something wrong with a term, at its name in the glossary.
func (t *Term) Fault(code, text, hint string) fault.Fault { return t.place(code, text, hint) }

// Term finds an entry of the glossary.
func (l *Language) Term(id string) (*Term, bool) {
	i, ok := slices.BinarySearchFunc(l.Glossary, id, func(t *Term, id string) int { return cmp.Compare(t.ID, id) })
	if !ok {
		return nil, false
	}
	return l.Glossary[i], true
}

// Source finds an entry of the bibliography.
func (c *Course) Source(id string) (*Source, bool) {
	i, ok := slices.BinarySearchFunc(c.Sources, id, func(s *Source, id string) int { return cmp.Compare(s.ID, id) })
	if !ok {
		return nil, false
	}
	return c.Sources[i], true
}
