// Package cue gives a presenter what a video needs besides the lesson: the
// text that stands under it, chapters, a table of its moments, codes for the
// screen that lead to the lesson, and a sheet to speak from on which every
// number is worked out and rounded so that it stays true.
package cue

import (
	"cmp"
	"slices"
	"strings"
	"time"
	"unicode"

	"github.com/yuin/goldmark/ast"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/lesson"
	"example.org/gripleaf/cmd/internal/proof"
)

// A Cue is one lesson seen from its video.
type Cue struct {
	Title   string
	Summary string
	Address string // of the lesson in the web
	Video   string // address at its beginning
	Length  time.Duration
	Moments []Moment // in order; the first is at the beginning
	Sources []Source
	Basis   []Basis // of all numbers
	Caution string

	language *course.Language
}

// A Moment is a point of the video and what is said from there on.
type Moment struct {
	ID      string // of the heading, and of files; "start" for the beginning
	Title   string
	At      time.Duration
	Address string // of the place in the lesson
	Video   string // address of the video at this moment
	Claims  []Claim
	Cited   []Source
}

// Source is a work that is cited: what it is called for short, and in full.
type Source struct{ Short, Full, Address string }

// A Claim is a sentence that says numbers.
type Claim struct {
	Text    string
	Numbers []Number
}

// A Number is one worked number of a sentence.
type Number struct {
	Label            string // what it is
	State            string // the calculation, as a link writes it
	Metric, Imperial Said
	Source           string // the calculator: its basis says where its formulas are from
}

// Basis is where the formulas of a calculator are from.
type Basis struct {
	Calculator string
	Sources    []string
}

// Said is a number as it is shown and as it may be spoken.
type Said struct{ Shown, Spoken string }

// New takes from a lesson what its video needs. The lesson must have been
// checked and be without faults. What is missing, such as moments or the
// site's address, is a fault.
func New(c *course.Course, e *course.Entry, l *lesson.Lesson) (*Cue, fault.List) {
	if faults := lacks(c, e, l); len(faults) > 0 {
		return nil, faults
	}
	q := &Cue{Title: e.Title, Summary: strings.Join(strings.Fields(e.Summary), " "), Address: c.Site.Address + e.Address,
		Video: e.Video.AddressAt(0), Length: e.Video.Length, language: e.Language, Caution: e.Language.Say(kit.StandingCaution)}
	if e.Video.Title != "" {
		q.Title = e.Video.Title
	}
	s := &sections{course: c, lesson: l, language: e.Language}
	for _, h := range l.Headings {
		if h.Timed {
			s.starts = append(s.starts, h)
		}
	}
	if s.starts[0].At > 0 {
		q.Moments = append(q.Moments, Moment{ID: "start", Title: q.Title, Address: q.Address, Video: q.Video})
		s.before = true
	}
	for _, h := range s.starts {
		q.Moments = append(q.Moments, Moment{ID: h.ID, Title: h.Text, At: h.At, Address: q.Address + "#" + h.ID, Video: e.Video.AddressAt(h.At)})
	}
	s.fill(q)
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

// sections sorts what a lesson says under the moments.
type sections struct {
	course   *course.Course
	lesson   *lesson.Lesson
	language *course.Language
	starts   []*lesson.Heading
	before   bool // a moment stands for what comes before the first heading with one
}

// of is the moment that an offset of the source belongs to; -1 for none.
func (s *sections) of(offset int) int {
	i := -1
	for k, h := range s.starts {
		if h.Span.Start <= offset {
			i = k
		}
	}
	if s.before {
		return i + 1
	}
	return i
}

func (s *sections) fill(q *Cue) {
	seen := make(map[string]bool)
	for _, cited := range s.lesson.Citations {
		source, ok := s.course.Source(cited.ID)
		if !ok {
			continue
		}
		one := Source{Short: source.Short(), Full: full(source), Address: source.Address}
		if !seen[cited.ID] {
			seen[cited.ID] = true
			q.Sources = append(q.Sources, one)
		}
		if i := s.of(cited.Span.Start); i >= 0 && !slices.Contains(q.Moments[i].Cited, one) {
			q.Moments[i].Cited = append(q.Moments[i].Cited, one)
		}
	}
	s.worked(q)
}

// worked adds numbers, worked steps and claims to their moments, in the order
// of the text.
func (s *sections) worked(q *Cue) {
	written := make([]string, len(s.lesson.Numbers))
	for i, n := range s.lesson.Numbers {
		written[i] = n.Written
		n.Written = cmp.Or(n.Result.Text, n.Written) // for sentences, which would lack what is to be filled in
	}
	defer func() {
		for i, n := range s.lesson.Numbers {
			n.Written = written[i]
		}
	}()
	var pieces []piece
	for _, n := range s.lesson.Numbers {
		if n.Question == nil && n.Result.Work != nil {
			pieces = append(pieces, piece{n, n.Span.Start, n.Result.Work.Calculator, []Number{s.number(&n.Result, n.Relation)}})
		}
	}
	for _, n := range s.lesson.Steps {
		if n.Result.Work != nil {
			pieces = append(pieces, piece{n, n.Span.Start, n.Result.Work.Calculator, []Number{s.number(&n.Result, lesson.None)}})
		}
	}
	for _, k := range s.lesson.Claims {
		if k.Result.Work != nil {
			other := k.Result
			other.Value = proof.Right(k)
			other.Work = cmp.Or(other.Other, other.Work)
			pieces = append(pieces, piece{k, k.Span.Start, k.Result.Work.Calculator, []Number{s.number(&k.Result, lesson.None), s.number(&other, lesson.None)}})
		}
	}
	slices.SortStableFunc(pieces, func(a, b piece) int { return cmp.Compare(a.at, b.at) })
	for _, p := range pieces {
		if i := s.of(p.at); i >= 0 {
			q.Moments[i].add(s.sentence(p.node), p.numbers)
		}
	}
	s.basis(q, pieces)
}

// piece is a number, a step or a claim of the text.
type piece struct {
	node    ast.Node
	at      int // in the source
	of      *kit.Calculator
	numbers []Number
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

// add adds numbers to the sentence that they stand in.
func (m *Moment) add(text string, numbers []Number) {
	for i := range m.Claims {
		if m.Claims[i].Text == text {
			m.Claims[i].Numbers = append(m.Claims[i].Numbers, numbers...)
			return
		}
	}
	m.Claims = append(m.Claims, Claim{Text: text, Numbers: numbers})
}

// mark stands before a piece while its sentence is looked for.
const mark = "\x00"

// sentence is the one that a piece stands in, in plain words.
func (s *sections) sentence(n ast.Node) string {
	block := n
	for block.Type() == ast.TypeInline {
		block = block.Parent()
	}
	sign := ast.NewString([]byte(mark))
	n.Parent().InsertBefore(n.Parent(), n, sign)
	plain := s.lesson.Plain(block)
	n.Parent().RemoveChild(n.Parent(), sign)
	for _, sentence := range sentences(plain) {
		if strings.Contains(sentence, mark) {
			return strings.ReplaceAll(sentence, mark, "")
		}
	}
	return strings.ReplaceAll(plain, mark, "")
}

// sentences cuts a paragraph after each full stop, question or exclamation
// mark that is followed by a space; the point behind an initial is none.
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

func (s *sections) number(r *lesson.Result, relation lesson.Relation) Number {
	c := r.Work.Calculator
	metric, imperial := s.language.Reader(quantity.Metric), s.language.Reader(quantity.Imperial)
	number := Number{State: kit.Scheme + r.Work.Canonical(), Metric: say(metric, r, relation), Imperial: say(imperial, r, relation), Source: metric.Say(c.Title)}
	if r.Output >= 0 {
		number.Label = metric.Say(c.Outputs[r.Output].Label)
	}
	return number
}

// basis lists the calculators of pieces with what they rest on.
func (s *sections) basis(q *Cue, pieces []piece) {
	var seen []*kit.Calculator
	for _, p := range pieces {
		if slices.Contains(seen, p.of) {
			continue
		}
		seen = append(seen, p.of)
		b := Basis{Calculator: s.language.Say(p.of.Title)}
		for _, source := range p.of.Sources {
			b.Sources = append(b.Sources, s.language.Say(source.Title)+": "+s.language.Say(source.Detail))
		}
		q.Basis = append(q.Basis, b)
	}
}
