package lesson

import (
	"bytes"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/yuin/goldmark/ast"
	extast "github.com/yuin/goldmark/extension/ast"

	"example.org/gripleaf/calculators/kit"
)

// Question is a fence of that name: a task, then choices or a number to find, then perhaps an explanation. In the
// tree its children are the task's blocks, Choices if there are any, and the Explanation; the Number that answers it
// is an inline node of the task.
type Question struct {
	block
	fence
	ID      string // "question", "question-2"
	Choices []*Choice
	Answer  *Number // nil with choices
	Draws   []Draw  // inputs that are drawn anew
	Drawn   []*Drawn
}

// Draw is an input that is drawn from a range: speed=40..100:10km/h.
type Draw struct {
	Input          string
	From, To, Step float64 // in Unit
	Unit           string  // as a link writes it
	Shown          string  // the value without a seed, as a link writes it
	Span           Span
}

// Drawn stands for a value that a question draws: [60 km/h](calc:#speed). Its text is the value without a seed.
type Drawn struct {
	inline
	Input       string
	Written     string
	WrittenSpan Span
	Question    *Question
}

// Choices is the list of a question's choices.
type Choices struct{ block }

// Choice is one of them. Its children are its words and then, perhaps, a Reason.
type Choice struct {
	block
	Right bool
}

// Reason is what follows " — " in a choice: why it is right or wrong.
type Reason struct{ block }

// Explanation is what follows *** in a question.
type Explanation struct{ block }

func (n *Drawn) words() string { return n.Written }

// reasonMark stands between a choice and why it is right or wrong.
var reasonMark = []byte(" — ")

// ask walks a question and puts its parts in order.
func (c *collector) ask(q *Question) {
	if c.question != nil {
		c.fault(q.Span, "nested-question", "a question stands in another one", "close the first fence before")
	}
	c.unclosed(&q.fence, q.Span)
	outer := c.question
	c.question = q
	c.lesson.Questions = append(c.lesson.Questions, q)
	q.ID = c.id("question")
	numbers, steps := len(c.lesson.Numbers), len(c.lesson.Steps) // before this question
	c.children(q)
	c.question = outer
	c.explanation(q)
	c.choices(q)
	c.draws(q, c.lesson.Numbers[numbers:], c.lesson.Steps[steps:])
	c.complete(q)
	c.sensible(q)
}

// sensible says what makes a question one that cannot be answered, or needs no thought.
func (c *collector) sensible(q *Question) {
	if c.task(q) == "" {
		c.fault(q.Span, "no-text", "this question asks nothing", "write what is asked before the answer")
	}
	for i := range q.Draws {
		d := &q.Draws[i]
		if !slices.ContainsFunc(q.Drawn, func(drawn *Drawn) bool { return drawn.Input == d.Input }) {
			c.fault(d.Span, "drawn", "the question draws "+d.Input+", and its text does not say which value it drew",
				"write the value as a link that the page can change: ["+strings.TrimSpace(number(d.From)+" "+d.Unit)+"](calc:#"+d.Input+")")
		}
	}
	if len(q.Choices) == 1 {
		c.fault(q.Choices[0].Span, "one-choice", "there is only one choice", "give at least two")
	}
	texts := make(map[string]bool)
	for _, choice := range q.Choices {
		text := c.words(choice)
		switch {
		case text == "":
			c.fault(choice.Span, "empty-choice", "this choice has no text", "write what is to be chosen")
		case texts[text]:
			c.fault(choice.Span, "same-choice", "two choices say the same", "change one of them")
		}
		texts[text] = true
	}
	if said := moreThanOne[c.base]; q.Rights() > 1 && said != nil && !said.MatchString(c.task(q)) {
		c.fault(q.Span, "several-right", "more than one choice is right, and the question does not say so",
			"say in its text that more than one is right, or mark one")
	}
}

// moreThanOne is how a question says that several choices are right, in the languages that the interface speaks.
var moreThanOne = map[string]*regexp.Regexp{
	"en": regexp.MustCompile(`(?i)more than one|\ball\b|\bseveral\b|\bwhich of\b|\btwo\b|\bthree\b`),
	"de": regexp.MustCompile(`(?i)mehr als ein|mehrere|\balle|\bwelche\b|zwei|drei`),
	"hi": regexp.MustCompile(`एक से (ज़्यादा|अधिक)|कई|सभी|दो|तीन`),
	"ar": regexp.MustCompile(`أكثر من|كل ما|جميع|عدة|اثن|ثلاث`),
}

// task is the text of a question without its choices, its explanation and the place for its answer.
func (c *collector) task(q *Question) string {
	var text strings.Builder
	for n := q.FirstChild(); n != nil; n = n.NextSibling() {
		switch n.(type) {
		case *Choices, *Explanation:
		default:
			text.WriteString(c.lesson.Plain(n) + " ")
		}
	}
	return strings.Trim(text.String(), " …\n")
}

// words is the text of a choice without its reason.
func (c *collector) words(n *Choice) string {
	var text []byte
	for child := n.FirstChild(); child != nil; child = child.NextSibling() {
		if _, isReason := child.(*Reason); !isReason {
			text = c.lesson.appendNode(text, child)
		}
	}
	return strings.ToLower(strings.TrimSpace(string(text)))
}

func number(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// complete says what a question lacks.
func (c *collector) complete(q *Question) {
	switch {
	case q.Answer == nil && len(q.Choices) == 0:
		c.fault(q.Span, "no-answer", "this question has no answer",
			"give choices, - [x] right and - [ ] wrong, or a number, [](calc:…;within;5%)")
	case q.Answer != nil && len(q.Choices) > 0:
		c.fault(q.Span, "two-answers", "this question has choices and asks for a number", "make two questions of it")
	case q.Answer == nil && q.Rights() == 0:
		c.fault(q.Choices[0].Span, "no-right-choice", "no choice is marked as right", "mark it: - [x]")
	}
}

// explanation takes what follows the first thematic break.
func (c *collector) explanation(q *Question) {
	for n := q.FirstChild(); n != nil; n = n.NextSibling() {
		if n.Kind() != ast.KindThematicBreak {
			continue
		}
		e := &Explanation{}
		adopt(e, n.NextSibling())
		q.ReplaceChild(q, n, e)
		return
	}
}

// choices turns the first list whose items all have boxes into Choices.
func (c *collector) choices(q *Question) {
	for n := q.FirstChild(); n != nil; n = n.NextSibling() {
		list, ok := n.(*ast.List)
		if !ok || !boxed(list) {
			continue
		}
		all := &Choices{block: block{Span: q.Span}}
		for item := list.FirstChild(); item != nil; item = item.NextSibling() {
			choice := c.choice(item)
			q.Choices = append(q.Choices, choice)
			all.AppendChild(all, choice)
		}
		q.ReplaceChild(q, list, all)
		return
	}
}

func boxed(list *ast.List) bool {
	for item := list.FirstChild(); item != nil; item = item.NextSibling() {
		if box(item) == nil {
			return false
		}
	}
	return list.HasChildren()
}

func box(item ast.Node) *extast.TaskCheckBox {
	if text := item.FirstChild(); text != nil {
		b, _ := text.FirstChild().(*extast.TaskCheckBox)
		return b
	}
	return nil
}

func (c *collector) choice(item ast.Node) *Choice {
	text, b := item.FirstChild(), box(item)
	choice := &Choice{Right: b.IsChecked}
	if lines := text.Lines(); lines.Len() > 0 {
		choice.Span = Span{lines.At(0).Start, lines.At(lines.Len() - 1).Stop}
	}
	text.RemoveChild(text, b)
	var into ast.Node = choice
	for n := text.FirstChild(); n != nil; {
		next := n.NextSibling()
		if t, ok := n.(*ast.Text); ok && into == choice {
			if reason := c.split(choice, t); reason != nil {
				into = reason
				n = next
				continue
			}
		}
		into.AppendChild(into, n)
		n = next
	}
	adopt(into, text.NextSibling())
	return choice
}

// split cuts a text at the mark and gives the Reason that its second half begins.
func (c *collector) split(choice *Choice, t *ast.Text) *Reason {
	value := t.Segment.Value(c.lesson.Source.Text)
	at := bytes.Index(value, reasonMark)
	if at < 0 {
		return nil
	}
	start := t.Segment.Start - t.Segment.Padding + at
	before, after := t.Segment.WithStop(start), t.Segment.WithStart(start+len(reasonMark))
	rest := ast.NewTextSegment(after)
	rest.SetSoftLineBreak(t.SoftLineBreak())
	choice.AppendChild(choice, ast.NewTextSegment(before))
	reason := &Reason{block: block{Span: Span{after.Start, after.Stop}}}
	reason.AppendChild(reason, rest)
	choice.AppendChild(choice, reason)
	return reason
}

// draws finds the inputs that are ranges in the numbers and steps of a question.
func (c *collector) draws(q *Question, numbers []*Number, steps []*Step) {
	for _, n := range numbers {
		c.ranges(q, &n.Target, n.Span)
	}
	for _, s := range steps {
		c.ranges(q, &s.Target, s.Span)
	}
	for _, d := range q.Drawn {
		if q.Draw(d.Input) == nil {
			c.fault(d.Span, "drawn", "the question's number draws no "+quote(d.Input),
				"give it a range, such as "+d.Input+"=40..100:10km/h")
		}
	}
}

func (c *collector) ranges(q *Question, t *Target, whole Span) {
	for _, p := range t.Query.Pairs {
		if !strings.Contains(p.Value, "..") {
			continue
		}
		place := t.Place(whole, p.ValueAt, p.End)
		d, ok := ParseRange(p.Value)
		if !ok {
			t.Faults = append(t.Faults, kit.Fault{Offset: p.ValueAt, Length: p.End - p.ValueAt, Text: quote(p.Value) + " is not a range",
				Hint: "write from..to:step and the unit, such as 40..100:10km/h"})
			continue
		}
		d.Input, d.Span = p.Name, place
		switch known := q.Draw(p.Name); {
		case known == nil:
			q.Draws = append(q.Draws, d)
		case known.From != d.From || known.To != d.To || known.Step != d.Step || known.Unit != d.Unit:
			c.fault(place, "range", "this question draws "+p.Name+" from another range already", "write the same range in all its links")
		}
	}
}

// Rights counts the choices that are right.
func (q *Question) Rights() int {
	n := 0
	for _, choice := range q.Choices {
		if choice.Right {
			n++
		}
	}
	return n
}

// Draw finds what a question draws for an input; nil if it draws nothing for it, or if there is no question.
func (q *Question) Draw(input string) *Draw {
	if q == nil {
		return nil
	}
	if i := slices.IndexFunc(q.Draws, func(d Draw) bool { return d.Input == input }); i >= 0 {
		return &q.Draws[i]
	}
	return nil
}

// mostDraws bounds how many values a range may hold.
const mostDraws = 10000

// Values are those that a range holds, as a link writes them.
func (d *Draw) Values() []string {
	var values []string
	for i := range int(math.Floor((d.To-d.From)/d.Step+1e-9)) + 1 {
		v := math.Round((d.From+float64(i)*d.Step)*1e9) / 1e9
		values = append(values, number(v)+d.Unit)
	}
	return values
}

// ParseRange reads "40..100:10km/h".
func ParseRange(text string) (Draw, bool) {
	from, rest, _ := strings.Cut(text, "..")
	to, rest, found := strings.Cut(rest, ":")
	end := 0 // of the step: a unit may hold digits too, as m/s2 does
	for end < len(rest) && (rest[end] == '.' || '0' <= rest[end] && rest[end] <= '9') {
		end++
	}
	d := Draw{Unit: strings.TrimSpace(rest[end:])}
	var err [3]error
	d.From, err[0] = strconv.ParseFloat(from, 64)
	d.To, err[1] = strconv.ParseFloat(to, 64)
	d.Step, err[2] = strconv.ParseFloat(rest[:end], 64)
	fine := err[0] == nil && err[1] == nil && err[2] == nil
	return d, found && fine && d.To > d.From && d.Step > 0 && (d.To-d.From)/d.Step <= mostDraws
}

// drawn is a link that stands for a value which the question draws.
func (c *collector) drawn(parent ast.Node, link *ast.Link, a address, t Target) {
	d := &Drawn{inline: inline{Span: a.whole}, Input: t.Query.Fragment, Written: c.lesson.Plain(link), WrittenSpan: a.words, Question: c.question}
	if c.question == nil {
		c.fault(a.whole, "drawn", "only a question draws values", "name the calculator: calc:NAME?…")
	} else {
		c.question.Drawn = append(c.question.Drawn, d)
	}
	parent.ReplaceChild(parent, link, d)
}

// answer makes a number that has a tolerance what its question asks for.
func (c *collector) answer(n *Number) {
	switch q := n.Question; {
	case q == nil:
		c.fault(n.Span, "within", "only a question asks for a number within a tolerance",
			"put it into a question fence, or leave ;within;… out")
	case q.Answer != nil:
		c.fault(n.Span, "two-answers", "this question asks for a number already", "ask one number a question")
	default:
		q.Answer = n
	}
}
