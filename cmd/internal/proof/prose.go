package proof

import (
	"cmp"
	"math"
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/yuin/goldmark/ast"
	extast "github.com/yuin/goldmark/extension/ast"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/lesson"
	"example.org/gripleaf/cmd/internal/locale"
)

// Prose finds numbers with a unit that nobody vouches for: they are not checked, their sentence cites no source, and
// they are not an input of a state that their own section works with. In a title, a question or a summary they must be
// an input or a checked number of the lesson.
func Prose(l *lesson.Lesson, words *locale.Locale) fault.List {
	p := &prose{lesson: l, words: words, works: make([][]*kit.Work, len(l.Headings)+1)}
	p.states()
	p.head(l.Meta.Title, l.Meta.TitleSpan)
	p.head(l.Meta.Question, l.Meta.QuestionSpan)
	p.head(l.Meta.Summary, l.Meta.SummarySpan)
	p.blocks(l.Body)
	return p.faults
}

// Amount is a number with its unit in a text.
type Amount struct {
	Start, End int // bytes of the text
	Written    string
	Quantity   quantity.Quantity
}

// amount is a number and the word behind it.
var amount = regexp.MustCompile(`(?:^|[\s(„“"'–—=≈~±/>])([-−+]?\p{Nd}(?:[\p{Nd}.,٫٬\x{00a0}\x{202f}]*\p{Nd})?)[ \x{00a0}\x{202f}]?([^\s\p{Nd}.,;:!?()\[\]<"“”„–—।]+)`)

// Amounts finds the numbers with a unit in a text, which need not be a lesson's.
func Amounts(text []byte, words *locale.Locale) (list []Amount) {
	for _, m := range amount.FindAllSubmatchIndex(text, -1) {
		written := string(text[m[2]:m[5]])
		if q, ok := withUnit(written, string(text[m[4]:m[5]]), words.Numbers); ok {
			list = append(list, Amount{m[2], m[5], written, q})
		}
	}
	return list
}

// head looks at a text of the lesson's metadata.
func (p *prose) head(text string, at lesson.Span) {
	all := slices.Concat(p.works...)
	for _, a := range Amounts([]byte(text), p.words) {
		q := a.Quantity
		checked := func(n *lesson.Number) bool {
			return n.Result.Work != nil && n.Result.Shown.Kind == q.Unit.Kind && math.Abs(Margin(n.Result.Value, q)) <= 0.5+1e-9
		}
		if !given(q, all) && !slices.ContainsFunc(p.lesson.Numbers, checked) {
			p.faults.Add(p.lesson.At(at, "unchecked-number", quote(a.Written)+" is neither an input nor a checked number of this lesson",
				"check it in the lesson's text, or write the words without the number"))
		}
	}
}

type prose struct {
	lesson *lesson.Lesson
	words  *locale.Locale
	faults fault.List
	row    bool          // within a table row that cites a source
	works  [][]*kit.Work // by section, which a heading begins: the states that its pieces were worked out from
}

// states notes for every section what it works with.
func (p *prose) states() {
	l := p.lesson
	note := func(s lesson.Span, r *lesson.Result) {
		i := p.section(s.Start)
		for _, w := range []*kit.Work{r.Work, r.Other} {
			if w != nil {
				p.works[i] = append(p.works[i], w)
			}
		}
	}
	for _, n := range l.Numbers {
		note(n.Span, &n.Result)
		note(n.Span, &n.Disagree) // what it was worked out from was meant, though it came out otherwise
	}
	for _, n := range l.Steps {
		note(n.Span, &n.Result)
		note(n.Span, &n.Disagree)
	}
	for _, n := range l.Claims {
		note(n.Span, &n.Result)
		note(n.Span, &n.Disagree)
	}
	for _, n := range l.Explorers {
		note(n.Span, &n.Result)
	}
	for _, n := range l.Figures {
		note(n.Span, &n.Result)
	}
}

// section is the number of headings before an offset.
func (p *prose) section(at int) int {
	n, _ := slices.BinarySearchFunc(p.lesson.Headings, at+1, func(h *lesson.Heading, at int) int { return cmp.Compare(h.Span.Start, at) })
	return n
}

// blocks finds the blocks that hold text.
func (p *prose) blocks(parent ast.Node) {
	for n := parent.FirstChild(); n != nil; n = n.NextSibling() {
		switch n.(type) {
		case *ast.Paragraph, *ast.TextBlock, *ast.Heading, *extast.TableCell, *extast.DefinitionTerm,
			*lesson.Explorer, *lesson.Figure, *lesson.Choice:
			p.block(n)
		case *ast.HTMLBlock:
			for i := range n.Lines().Len() {
				p.loose(lesson.Span{Start: n.Lines().At(i).Start, End: n.Lines().At(i).Stop}, " stands in HTML, where it cannot be checked",
					"write it in Markdown, outside of the HTML, and link it")
			}
		case *extast.TableRow, *extast.TableHeader:
			p.row = cites(n)
			p.blocks(n)
			p.row = false
		default:
			p.blocks(n)
		}
	}
}

func cites(n ast.Node) bool {
	found := false
	_ = ast.Walk(n, func(n ast.Node, _ bool) (ast.WalkStatus, error) {
		if _, found = n.(*lesson.Citation); found {
			return ast.WalkStop, nil
		}
		return ast.WalkContinue, nil
	})
	return found
}

// sentence is a part of a block's text: pieces of the source, and whether it cites.
type sentence struct {
	runs  []lesson.Span
	cited bool
}

// block cuts a block into sentences and looks at each.
func (p *prose) block(n ast.Node) {
	c := &cutter{source: p.lesson.Source.Text, sentences: []sentence{{}}}
	c.inline(n)
	for _, s := range c.sentences {
		if s.cited || p.row {
			continue
		}
		for _, run := range s.runs {
			p.loose(run, " is neither checked nor cited",
				"link it to a calculation, [{}](calc:…), or cite its source in the same sentence, [words](source:…)")
		}
	}
}

// cutter collects the text of a block, cut at the ends of sentences.
type cutter struct {
	source    []byte
	sentences []sentence
}

func (c *cutter) last() *sentence { return &c.sentences[len(c.sentences)-1] }

func (c *cutter) inline(parent ast.Node) {
	for n := parent.FirstChild(); n != nil; n = n.NextSibling() {
		switch n := n.(type) {
		case *ast.Text:
			c.text(lesson.Span{Start: n.Segment.Start, End: n.Segment.Stop})
		case *lesson.Citation:
			c.last().cited = true
		case *lesson.Number, *lesson.Step, *lesson.Claim, *lesson.Drawn, *ast.CodeSpan:
		default:
			c.inline(n)
		}
	}
}

// text adds a run of text, beginning a new sentence after each full stop that space follows.
func (c *cutter) text(s lesson.Span) {
	from := s.Start
	for at := s.Start; at < s.End; {
		r, size := utf8.DecodeRune(c.source[at:])
		at += size
		if !strings.ContainsRune(".!?।؟", r) || at < s.End && !unicode.IsSpace(rune(c.source[at])) {
			continue
		}
		c.last().runs = append(c.last().runs, lesson.Span{Start: from, End: at})
		if at < s.End { // a stop at the very end may be followed by its citation
			c.sentences = append(c.sentences, sentence{})
		}
		from = at
	}
	if from < s.End {
		c.last().runs = append(c.last().runs, lesson.Span{Start: from, End: s.End})
	}
}

// loose looks at a piece of the source for numbers that nobody vouches for. A {} in the hint stands for the number.
func (p *prose) loose(s lesson.Span, says, hint string) {
	works := p.works[p.section(s.Start)]
	for _, a := range Amounts(p.lesson.Source.Text[s.Start:s.End], p.words) {
		if !given(a.Quantity, works) {
			at := lesson.Span{Start: s.Start + a.Start, End: s.Start + a.End}
			p.faults.Add(p.lesson.At(at, "unchecked-number", quote(a.Written)+says, strings.ReplaceAll(hint, "{}", a.Written)))
		}
	}
}

// kinds are the kinds of quantities that have units.
var kinds = []quantity.Kind{quantity.Length, quantity.Speed, quantity.Acceleration, quantity.Time, quantity.Mass, quantity.Force, quantity.Pressure,
	quantity.Torque, quantity.Energy, quantity.Power, quantity.Temperature, quantity.Angle, quantity.Frequency, quantity.Share}

// notUnits are words that are units only by their letters: they are read as prose.
var notUnits = map[string]bool{"in": true, "C": true, "F": true, "t": true, "g": true, "h": true, "W": true, "J": true, "K": true}

// withUnit reads a number that is written with a unit of any kind.
func withUnit(written, unit string, signs quantity.Locale) (quantity.Quantity, bool) {
	if notUnits[unit] {
		return quantity.Quantity{}, false
	}
	for _, k := range kinds {
		if _, ok := quantity.Find(k, unit); !ok {
			continue
		}
		if q, err := quantity.ParseWritten(written, signs, k); err == nil {
			return q, true
		}
	}
	return quantity.Quantity{}, false
}

// given reports whether a quantity is an input of one of the states; prose says "downhill", not a minus.
func given(q quantity.Quantity, works []*kit.Work) bool {
	for _, w := range works {
		for i := range w.Inputs {
			v := &w.Inputs[i]
			if v.Set && v.Word == "" && v.Kind == q.Unit.Kind && math.Abs(math.Abs(v.Number)-math.Abs(q.Value)) <= 1e-9*math.Max(1, math.Abs(v.Number)) {
				return true
			}
		}
	}
	return false
}
