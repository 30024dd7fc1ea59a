package cue

import (
	"slices"
	"strings"

	"github.com/yuin/goldmark/ast"
	extast "github.com/yuin/goldmark/extension/ast"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/formula"
	"example.org/gripleaf/cmd/internal/lesson"
	"example.org/gripleaf/cmd/internal/proof"
)

// A Passage is a paragraph of the lesson as it is shown and as it is spoken.
type Passage struct {
	Kind    Kind
	Shown   string
	Spoken  string   // numbers and formulas in words; empty where nothing is said
	Seconds float64  // that it takes to say
	Numbers []Number // worked numbers in it
	Steps   []string // worked steps in it, as they are written
}

// Kind is what part a passage has.
type Kind string

// The kinds of passages.
const (
	Words    Kind = "words"
	Item     Kind = "item" // of a list
	Heading  Kind = "heading"
	OnScreen Kind = "screen" // an explorer, a figure, a table: what to show meanwhile
	Caution  Kind = "caution"
	Question Kind = "question"
	Choice   Kind = "choice"
	Answer   Kind = "answer"
)

// A Number is one worked number of a passage.
type Number struct {
	Label            string // what it is
	State            string // the calculation, as a link writes it
	Metric, Imperial Said
	Source           string // the calculator: its basis says where its formulas are from
}

// Said is a number as it is shown and as it may be spoken.
type Said struct{ Shown, Spoken string }

// script takes a lesson's blocks apart, each under the moment that it belongs to.
type script struct {
	course           *course.Course
	lesson           *lesson.Lesson
	metric, imperial *voice
	moments          []Moment
	now              *Moment // nil before the first
	kind             Kind    // of plain paragraphs
	pieces           []piece // by the runes from firstMark on, which stand for them
	used             []*kit.Calculator
}

// A piece of a paragraph is spoken otherwise than it is shown.
type piece struct{ shown, aloud string }

// firstMark is the first sign of Unicode's private use area.
const firstMark = '\uE000'

// walk goes through the blocks below a node.
func (s *script) walk(parent ast.Node) {
	for n := parent.FirstChild(); n != nil; n = n.NextSibling() {
		switch n := n.(type) {
		case *ast.Heading:
			s.heading(n)
		case *ast.Paragraph, *ast.TextBlock, *extast.DefinitionTerm:
			s.passage(s.kind, n)
		case *lesson.Explorer, *lesson.Figure, *extast.Table:
			s.add(Passage{Kind: OnScreen, Shown: s.lesson.Plain(n)})
		case *formula.Block:
			f := s.formula(n.MathML)
			s.add(Passage{Kind: OnScreen, Shown: f.shown, Spoken: f.aloud})
		case *lesson.Question:
			s.ask(n)
		case *lesson.Caution:
			s.as(Caution, n)
		case *ast.ListItem:
			s.as(Item, n)
		case *extast.FootnoteList, *ast.HTMLBlock, *ast.FencedCodeBlock, *ast.CodeBlock:
		default:
			s.walk(n)
		}
	}
}

// as goes through blocks whose paragraphs are of a kind.
func (s *script) as(k Kind, n ast.Node) {
	outer := s.kind
	s.kind = k
	s.walk(n)
	s.kind = outer
}

func (s *script) heading(n *ast.Heading) {
	for i := range s.moments {
		if m := &s.moments[i]; n.Lines().Len() > 0 && m.span.Start <= n.Lines().At(0).Start && n.Lines().At(0).Start < m.span.End {
			s.now = m
			return
		}
	}
	s.add(Passage{Kind: Heading, Shown: s.lesson.Plain(n)})
}

// ask is a question with its choices, then the answer and why it is so.
func (s *script) ask(q *lesson.Question) {
	var answer []string
	var why ast.Node
	for n := q.FirstChild(); n != nil; n = n.NextSibling() {
		switch n := n.(type) {
		case *lesson.Choices:
			answer = s.choices(q.Choices)
		case *lesson.Explanation:
			why = n
		default:
			if s.lesson.Plain(n) != "…" { // room for the answer
				s.passage(Question, n)
			}
		}
	}
	if q.Answer != nil {
		answer = append(answer, q.Answer.Result.Text)
	}
	s.say(Answer, strings.Join(answer, ", "))
	if why != nil {
		s.walk(why)
	}
}

// choices are said with their letters, without the reasons; it gives the right ones with theirs.
func (s *script) choices(list []*lesson.Choice) (right []string) {
	for i, c := range list {
		reason := ""
		if r, ok := c.LastChild().(*lesson.Reason); ok {
			reason = s.lesson.Plain(r)
			c.RemoveChild(c, r)
		}
		letter := string(rune('A' + i))
		s.say(Choice, letter+". "+strings.TrimSpace(s.lesson.Plain(c)))
		if c.Right {
			right = append(right, strings.TrimSuffix(letter+": "+reason, ": "))
		}
	}
	return right
}

// passage adds a paragraph, with the worked numbers in it.
func (s *script) passage(k Kind, n ast.Node) {
	p := Passage{Kind: k}
	s.take(n, &p)
	text := strings.Join(strings.Fields(s.lesson.Plain(n)), " ")
	p.Shown, p.Spoken = s.expand(text, false), s.expand(s.metric.read(text), true)
	s.add(p)
}

// say adds a text that is not a paragraph of its own.
func (s *script) say(k Kind, text string) {
	s.add(Passage{Kind: k, Shown: text, Spoken: s.metric.read(text)})
}

// add adds a passage to the moment that it belongs to; what comes before the first has none.
func (s *script) add(p Passage) {
	if s.now == nil || p.Shown == "" {
		return
	}
	p.Seconds = s.metric.seconds(p.Spoken)
	s.now.Passages = append(s.now.Passages, p)
}

// expand puts pieces in place of their marks.
func (s *script) expand(text string, aloud bool) string {
	var b strings.Builder
	for _, r := range text {
		switch i := int(r - firstMark); {
		case i < 0 || i >= len(s.pieces):
			b.WriteRune(r)
		case aloud:
			b.WriteString(s.pieces[i].aloud)
		default:
			b.WriteString(s.pieces[i].shown)
		}
	}
	return b.String()
}

// take gives a passage the worked numbers of its paragraph, and lets marks stand for what is spoken otherwise than it
// is shown.
func (s *script) take(paragraph ast.Node, p *Passage) {
	var inlines []ast.Node
	_ = ast.Walk(paragraph, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		if entering && n.Type() == ast.TypeInline {
			inlines = append(inlines, n)
		}
		return ast.WalkContinue, nil
	})
	for _, n := range inlines {
		switch n := n.(type) {
		case *lesson.Number:
			if n.Result.Work != nil {
				p.Numbers = append(p.Numbers, s.number(&n.Result, n.Relation))
			}
		case *lesson.Claim:
			if n.Result.Work != nil {
				other := n.Result
				other.Value = proof.Right(n)
				p.Numbers = append(p.Numbers, s.number(&n.Result, lesson.None), s.number(&other, lesson.None))
			}
		case *lesson.Step:
			if n.Result.Work != nil {
				p.Numbers = append(p.Numbers, s.number(&n.Result, lesson.None))
				step := s.step(n)
				p.Steps = append(p.Steps, step.shown)
				s.stand(n, step)
			}
		case *formula.Inline:
			s.stand(n, s.formula(n.MathML))
		case *lesson.Citation:
			if source, ok := s.course.Source(n.ID); ok && n.Words == "" {
				s.stand(n, piece{source.Short(), source.Short()})
			}
		}
	}
}

// stand puts a mark in a piece's place.
func (s *script) stand(n ast.Node, p piece) {
	n.Parent().ReplaceChild(n.Parent(), n, ast.NewString([]byte(string(firstMark+rune(len(s.pieces))))))
	s.pieces = append(s.pieces, p)
}

// step is a worked step: the formula, its numbers put in, and what comes out.
func (s *script) step(n *lesson.Step) piece {
	shown, aloud := mathReader{s.metric, false}, mathReader{s.metric, true}
	equals := " " + s.metric.Say("equals") + " "
	return piece{
		shown: n.Formula + " = " + shown.line(n.Values) + " = " + n.Result.Text,
		aloud: s.metric.read(aloud.line(n.Symbols)) + equals + s.metric.read(aloud.line(n.Values)) + equals + s.metric.read(n.Result.Text),
	}
}

// formula is a formula of the text.
func (s *script) formula(mathml string) piece {
	return piece{mathReader{s.metric, false}.line(mathml), s.metric.read(mathReader{s.metric, true}.line(mathml))}
}

func (s *script) number(r *lesson.Result, relation lesson.Relation) Number {
	c := r.Work.Calculator
	number := Number{State: kit.Scheme + r.Work.Canonical(), Metric: s.metric.say(r, relation),
		Imperial: s.imperial.say(r, relation), Source: s.metric.Say(c.Title)}
	if r.Output >= 0 {
		number.Label = s.metric.Say(c.Outputs[r.Output].Label)
	}
	if !slices.Contains(s.used, c) {
		s.used = append(s.used, c)
	}
	return number
}
