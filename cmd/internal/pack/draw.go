package pack

import (
	"bytes"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"

	"golang.org/x/net/html"
	"golang.org/x/net/html/atom"

	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/lesson"
	"example.org/gripleaf/cmd/internal/proof"
	"example.org/gripleaf/cmd/internal/sum"
)

// drawing draws questions with new numbers.
type drawing struct {
	book     *Book
	sums     *sum.Book
	reader   *lesson.Reader
	random   *rand.Rand
	formulas map[string][]string // of the course's worked steps, by calculator and output
	faults   fault.List
}

func newDrawing(b *Book) *drawing {
	d := &drawing{book: b, sums: sum.NewBook(b.Course.Calculators),
		reader: lesson.NewReader(b.Language.Locale, b.Course.Site.Several), formulas: make(map[string][]string)}
	for _, c := range b.all {
		for _, s := range c.Lesson.Steps {
			if name := s.Query.Calculator + "#" + s.Output; s.Relation == lesson.None && !slices.Contains(d.formulas[name], s.Formula) {
				d.formulas[name] = append(d.formulas[name], s.Formula)
			}
		}
	}
	return d
}

// begin draws another sheet.
func (d *drawing) begin(seed, copy uint64) { d.random = rand.New(rand.NewPCG(seed, copy)) }

// lesson draws the questions of a lesson. The drawn values are written into their source in place of the ranges, and
// the questions read and worked out anew: whatever a question says of them is then true of them.
func (d *drawing) lesson(c Chapter) (questions, solved []task, err error) {
	source := &fault.Source{File: c.Lesson.Source.File, Text: d.source(c.Lesson)}
	l, faults := d.reader.Read(source)
	if faults.Add(proof.Check(l, d.book.Language.Locale, d.sums)...); len(faults) > 0 {
		for _, f := range faults {
			d.faults.Add(c.Lesson.At(c.Lesson.Questions[0].Span, "worksheet",
				"with the numbers drawn, a question of this lesson fails: "+f.Text, "narrow its ranges"))
		}
		return nil, nil, nil
	}
	root, err := d.book.leafOf(Chapter{Entry: c.Entry, Lesson: l}, d.book.ways(true, &d.faults))
	if err != nil {
		return nil, nil, err
	}
	plainLinks(root)
	d.shuffle(root)
	answered := answers(root, d.book.Language.Say, numbered)
	for i, q := range withClass(root, "question") {
		one := task{Points: choicePoints}
		if l.Questions[i].Answer != nil {
			one = task{Points: numberPoints, Number: true}
		}
		key := one
		one.HTML, key.HTML = rendered(q), rendered(answered[i])
		questions, solved = append(questions, one), append(solved, key)
	}
	return questions, solved, nil
}

// plainLinks makes words of links: there is nothing to press on a worksheet.
func plainLinks(root *html.Node) {
	for n := range root.Descendants() {
		if n.DataAtom == atom.A {
			n.DataAtom, n.Data, n.Attr = atom.Span, "span", nil
		}
		n.Attr = slices.DeleteFunc(n.Attr, func(a html.Attribute) bool { return a.Key == "id" })
	}
}

// shuffle puts choices in another order.
func (d *drawing) shuffle(root *html.Node) {
	for _, list := range withClass(root, "choices") {
		var items []*html.Node
		for _, item := range slices.Collect(list.ChildNodes()) {
			if detach(item); item.DataAtom == atom.Li {
				items = append(items, item)
			}
		}
		d.random.Shuffle(len(items), func(i, j int) { items[i], items[j] = items[j], items[i] })
		for _, item := range items {
			list.AppendChild(item)
		}
	}
}

// source is a lesson that has the questions alone, with values drawn and the worked step of each number.
func (d *drawing) source(l *lesson.Lesson) []byte {
	var b bytes.Buffer
	b.WriteString("---\ntitle: x\n---\n")
	for _, q := range l.Questions {
		edits := d.draw(l, q)
		start := bytes.LastIndexByte(l.Source.Text[:q.Span.Start], '\n') + 1
		fence := edited(l.Source.Text, lesson.Span{Start: start, End: q.End}, edits)
		b.WriteByte('\n')
		if step := d.step(l, q, edits); step != "" {
			end := bytes.LastIndexByte(bytes.TrimRight(fence, "\n"), '\n') + 1
			if _, explained := q.LastChild().(*lesson.Explanation); !explained {
				step = "\n***\n\n" + step
			}
			b.Write(fence[:end])
			b.WriteString("\n" + step + "\n")
			fence = fence[end:]
		}
		b.Write(fence)
		b.WriteByte('\n')
	}
	return b.Bytes()
}

// step is how the number of a question is worked out: a formula that a worked step of the course has for it, and that
// is right for the values drawn. A question that explains itself by one, or that no formula answers, has none.
func (d *drawing) step(l *lesson.Lesson, q *lesson.Question, edits []edit) string {
	if q.Answer == nil || slices.ContainsFunc(l.Steps, func(s *lesson.Step) bool { return s.Question == q }) {
		return ""
	}
	answer := string(edited(l.Source.Text, q.Answer.Span, edits)) // [](calc:…#braking-distance;within;5%)
	_, target, _ := strings.Cut(answer, "](")
	target, _, _ = strings.Cut(strings.TrimSuffix(target, ")"), ";")
	for _, formula := range d.formulas[q.Answer.Query.Calculator+"#"+q.Answer.Output] {
		step := "[`" + formula + "`](" + target + ")"
		l, faults := d.reader.Read(&fault.Source{Text: []byte("---\ntitle: x\n---\n" + step + "\n")})
		if faults.Add(proof.Check(l, d.book.Language.Locale, d.sums)...); len(faults) == 0 {
			return step
		}
	}
	return ""
}

// edit replaces a span of the source.
type edit struct {
	lesson.Span
	text string
}

// edited is a part of a text with edits made.
func edited(text []byte, part lesson.Span, edits []edit) []byte {
	slices.SortFunc(edits, func(a, b edit) int { return a.Start - b.Start })
	var b bytes.Buffer
	at := part.Start
	for _, e := range edits {
		if e.Start < at || e.End > part.End {
			continue
		}
		b.Write(text[at:e.Start])
		b.WriteString(e.text)
		at = e.End
	}
	b.Write(text[at:part.End])
	return b.Bytes()
}

// draw draws a value for each range of a question, and gives the edits that write it wherever the question speaks of
// it.
func (d *drawing) draw(l *lesson.Lesson, q *lesson.Question) []edit {
	values := make(map[string]float64)
	for _, one := range q.Draws {
		steps := int(math.Floor((one.To-one.From)/one.Step + 1e-9))
		values[one.Input] = math.Round((one.From+float64(d.random.IntN(steps+1))*one.Step)*1e9) / 1e9
	}
	var edits []edit
	replace := func(t *lesson.Target, whole lesson.Span) {
		for _, p := range t.Query.Pairs {
			if v, ok := values[p.Name]; ok && strings.Contains(p.Value, "..") {
				edits = append(edits, edit{t.Place(whole, p.ValueAt, p.End), strconv.FormatFloat(v, 'f', -1, 64) + q.Draw(p.Name).Unit})
			}
		}
	}
	inside := func(s lesson.Span) bool { return s.Start >= q.Span.Start && s.End <= q.End }
	for _, n := range l.Numbers {
		if inside(n.Span) {
			replace(&n.Target, n.Span)
		}
	}
	for _, s := range l.Steps {
		if inside(s.Span) {
			replace(&s.Target, s.Span)
		}
	}
	for _, drawn := range q.Drawn {
		edits = append(edits, edit{drawn.Span, d.said(q, drawn.Input, values[drawn.Input])})
	}
	return edits
}

// said is a drawn value as the language writes it.
func (d *drawing) said(q *lesson.Question, input string, v float64) string {
	r := d.book.Language.Reader(quantity.Metric)
	one := q.Draw(input)
	decimals := 0
	for ; decimals < 6; decimals++ {
		if scaled := v * math.Pow10(decimals); math.Abs(scaled-math.Round(scaled)) < 1e-6 {
			break
		}
	}
	number := r.Locale.Format(v, decimals)
	calculator := q.Answer.Result.Work.Calculator
	i, ok := calculator.Input(input)
	if !ok {
		return number
	}
	unit, ok := quantity.Find(calculator.Inputs[i].Shown.Kind, one.Unit)
	if !ok {
		return number
	}
	return quantity.Join(number, r.Say(unit.Shown))
}
