// Package cue gives a presenter what a video needs besides the lesson: the text that stands under it, chapters, a table
// of its moments, codes for the screen that lead to the lesson, captions to be set right by ear, and a script to speak
// from in which every number is worked out and rounded so that it stays true.
package cue

import (
	"cmp"
	"slices"
	"strings"
	"time"
	"unicode"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/lesson"
)

// A Cue is one lesson seen from its video.
type Cue struct {
	Title     string
	Summary   string
	Address   string // of the lesson in the web
	Video     string // address at its beginning
	Length    time.Duration
	Moments   []Moment // in order; the first is at the beginning
	Sources   []Source
	Basis     []Basis             // of all numbers
	Corrected []lesson.Correction // the newest first
	Caution   string
	Number    string // the one to show beside the title: a main result of the lesson's first explorer; may be empty
	Label     string // what it is, and for which input

	language *course.Language
}

// A Moment is a point of the video and what is said from there on.
type Moment struct {
	ID       string // of the heading, and of files; "start" for the beginning
	Title    string
	At, End  time.Duration
	Address  string // of the place in the lesson
	Video    string // address of the video at this moment
	Passages []Passage
	Cited    []Source
	span     lesson.Span // of the heading
}

// Seconds is how long the moment's passages take to say.
func (m *Moment) Seconds() (sum float64) {
	for _, p := range m.Passages {
		sum += p.Seconds
	}
	return sum
}

// Source is a work that is cited, named with all that is known of it, and where it can be read.
type Source struct{ Full, Address string }

// Basis is where the formulas of a calculator are from.
type Basis struct {
	Calculator string
	Sources    []string
}

// New takes from a lesson what its video needs. The lesson must have been checked and be without faults; its tree is
// used up. What is missing, such as moments or the site's address, is a fault.
func New(c *course.Course, e *course.Entry, l *lesson.Lesson) (*Cue, fault.List) {
	if faults := lacks(c, e, l); len(faults) > 0 {
		return nil, faults
	}
	q := &Cue{Title: cmp.Or(e.Video.Title, e.Title), Summary: strings.Join(strings.Fields(e.Summary), " "), Address: c.Site.Address + e.Address,
		Video: e.Video.AddressAt(0), Length: e.Video.Length, language: e.Language, Caution: e.Language.Say(kit.StandingCaution)}
	q.Corrected = slices.SortedStableFunc(slices.Values(e.Corrected), func(a, b lesson.Correction) int { return b.Date.Compare(a.Date) })
	for _, h := range l.Headings {
		if !h.Timed {
			continue
		}
		if len(q.Moments) == 0 && h.At > 0 {
			q.Moments = append(q.Moments, Moment{ID: "start", Title: q.Title, Address: q.Address, Video: q.Video})
		}
		q.Moments = append(q.Moments, Moment{ID: h.ID, Title: h.Text, At: h.At, Address: q.Address + "#" + h.ID,
			Video: e.Video.AddressAt(h.At), span: h.Span})
	}
	for i := range q.Moments {
		q.Moments[i].End = q.Length
		if i+1 < len(q.Moments) {
			q.Moments[i].End = q.Moments[i+1].At
		}
	}
	q.cite(c, l)
	q.write(c, l)
	return q, nil
}

// lacks lists what a lesson must have to be cued.
func lacks(c *course.Course, e *course.Entry, l *lesson.Lesson) fault.List {
	var faults fault.List
	add := func(code, text, hint string) {
		f := fault.Fault{Code: code, File: l.Source.File, Text: text, Hint: hint}
		if code != "no-address" && e.TitleSpan.Len() > 0 {
			f = l.At(e.TitleSpan, code, text, hint)
		}
		faults.Add(f)
	}
	if c.Site.Address == "" {
		faults.Add(fault.Fault{Code: "no-address", File: "site.yaml", Text: "the site has no address, so nothing can link to it",
			Hint: "write address: and where the site will stand"})
	}
	if e.Video == nil {
		add("no-video", "this lesson names no video", `write video: {address: "https://…?t={seconds}", length: "11:40"} in its metadata`)
		return faults
	}
	if e.Video.Length == 0 {
		add("no-length", "the video has no length", `write length: "11:40" below video`)
	}
	if !slices.ContainsFunc(l.Headings, func(h *lesson.Heading) bool { return h.Timed }) {
		add("no-moments", "no heading of this lesson has a moment", "write a heading as a link to one: ## [Loose surfaces](moment:2:05#loose)")
	}
	return faults
}

// cite lists the sources of the lesson, and of each moment.
func (q *Cue) cite(c *course.Course, l *lesson.Lesson) {
	for _, cited := range l.Citations {
		source, ok := c.Source(cited.ID)
		if !ok {
			continue
		}
		one := Source{full(source), source.Address}
		if !slices.Contains(q.Sources, one) {
			q.Sources = append(q.Sources, one)
		}
		if m := q.of(cited.Span.Start); m != nil && !slices.Contains(m.Cited, one) {
			m.Cited = append(m.Cited, one)
		}
	}
}

// headline chooses the one number of the lesson.
func (q *Cue) headline(l *lesson.Lesson) {
	r := q.language.Reader(quantity.Metric)
	for _, e := range l.Explorers {
		w := e.Result.Work
		for i, out := range w.Calculator.Outputs {
			if !out.Main || w.Moot[i] {
				continue
			}
			q.Number, q.Label = r.Quantity(w.Outputs[i], out.Shown), r.Say(out.Label)
			given := slices.IndexFunc(w.Inputs, func(v kit.Value) bool { return v.Given })
			for i := range w.Inputs {
				if w.Inputs[i].Given && w.Calculator.Inputs[i].Shown.Kind == quantity.Speed {
					given = i // what a stop is from says most about it
					break
				}
			}
			if given >= 0 {
				q.Label += ", " + w.InputText(given, r)
			}
			return
		}
	}
}

// of is the moment that an offset of the source belongs to; nil for none.
func (q *Cue) of(offset int) *Moment {
	var found *Moment
	for i := range q.Moments {
		if m := &q.Moments[i]; m.span.Start <= offset {
			found = m
		}
	}
	return found
}

// full names a source with all that is known of it.
func full(s *course.Source) string {
	text := s.Title
	for _, part := range []string{s.By, s.Year, s.In} {
		if part != "" {
			text += ", " + part
		}
	}
	return text
}

// write takes the lesson's text to its moments.
func (q *Cue) write(c *course.Course, l *lesson.Lesson) {
	s := &script{course: c, lesson: l, kind: Words, moments: q.Moments,
		metric: newVoice(q.language.Locale, quantity.Metric), imperial: newVoice(q.language.Locale, quantity.Imperial)}
	if q.Moments[0].span.Len() == 0 { // the beginning
		s.now = &q.Moments[0]
	}
	s.walk(l.Body)
	q.headline(l)
	for _, of := range s.used {
		b := Basis{Calculator: q.language.Say(of.Title)}
		for _, source := range of.Sources {
			b.Sources = append(b.Sources, q.language.Say(source.Title)+": "+q.language.Say(source.Detail))
		}
		q.Basis = append(q.Basis, b)
	}
}

// sentences cuts a paragraph after each full stop, question or exclamation mark that is followed by a space; the point
// behind an initial does not end one.
func sentences(text string) []string {
	text = strings.Join(strings.Fields(text), " ")
	var list []string
	start := 0
	runes := []rune(text)
	for i, r := range runes {
		if !strings.ContainsRune(".!?।؟", r) || i+1 >= len(runes) {
			continue
		}
		next := i + 1
		for next < len(runes) && strings.ContainsRune(`"”’»)`, runes[next]) {
			next++
		}
		if next < len(runes) && runes[next] == ' ' && !(i >= 2 && runes[i-2] == ' ' && unicode.IsUpper(runes[i-1])) {
			list = append(list, strings.TrimSpace(string(runes[start:next])))
			start = next
		}
	}
	if rest := strings.TrimSpace(string(runes[start:])); rest != "" {
		list = append(list, rest)
	}
	return list
}
