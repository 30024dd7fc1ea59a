package lesson

import (
	"fmt"
	"strings"

	"github.com/yuin/goldmark/ast"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/quantity"
)

// The kinds of nodes that pieces are.
var (
	KindNumber      = ast.NewNodeKind("Number")
	KindClaim       = ast.NewNodeKind("Claim")
	KindStep        = ast.NewNodeKind("Step")
	KindDrawn       = ast.NewNodeKind("Drawn")
	KindExplorer    = ast.NewNodeKind("Explorer")
	KindFigure      = ast.NewNodeKind("Figure")
	KindTerm        = ast.NewNodeKind("Term")
	KindCitation    = ast.NewNodeKind("Citation")
	KindCaution     = ast.NewNodeKind("Caution")
	KindQuestion    = ast.NewNodeKind("Question")
	KindChoices     = ast.NewNodeKind("Choices")
	KindChoice      = ast.NewNodeKind("Choice")
	KindReason      = ast.NewNodeKind("Reason")
	KindExplanation = ast.NewNodeKind("Explanation")
	KindLink        = ast.NewNodeKind("CourseLink")
	KindImage       = ast.NewNodeKind("Picture")
)

// inline and block give a piece its place in the tree and in the source.
type inline struct {
	ast.BaseInline
	Span Span // of the whole link in the source
}

type block struct {
	ast.BaseBlock
	Span Span
}

// Dump prints the piece's own source, for debugging.
func (n *inline) Dump(source []byte, level int) { dump(source, level, n.Span) }

// Dump prints the piece's own source, for debugging.
func (n *block) Dump(source []byte, level int) { dump(source, level, n.Span) }

func dump(source []byte, level int, s Span) {
	fmt.Printf("%s%q\n", strings.Repeat("    ", level), source[s.Start:s.End])
}

// Target is a calc: destination taken apart, and where it stands.
type Target struct {
	Raw    string // as written, calc: and all
	At     int    // offset of Raw in the source
	Exact  bool   // every byte of Raw is one of the source: no escapes, no wrapped lines
	Query  kit.Query
	Output string // before the first ; of the fragment
	Rest   string // behind it
	Faults kit.Faults
}

// Relation is how a derived number or a claim compares two states.
type Relation string

// The relations. Times, Minus and Change make numbers, the others claims; Within is a question's tolerance.
const (
	None        Relation = ""
	Times       Relation = "times"
	Minus       Relation = "minus"
	Change      Relation = "change"
	Within      Relation = "within"
	LongerThan  Relation = "longer-than"
	ShorterThan Relation = "shorter-than"
	MoreThan    Relation = "more-than"
	LessThan    Relation = "less-than"
	AtLeast     Relation = "at-least"
	AtMost      Relation = "at-most"
	SameAs      Relation = "same-as"
)

// Result is what a calculation gave for a piece. Reading leaves it empty; checking fills it in, and with a fault in
// the piece it stays empty.
type Result struct {
	Work   *kit.Work      // the state that the link names
	Output int            // index of the output in it; -1 where the link names none
	Other  *kit.Work      // the state on the right side of a relation, if it is one
	Value  float64        // the number itself: SI, a ratio, or a fraction
	Shown  quantity.Shown // how Value is shown
	Text   string         // what the page shows to a metric reader: as written, or filled in
}

// Number is a checked number: [17.7 m](calc:stop?speed=60km/h#braking-distance). Its children are not rendered.
type Number struct {
	inline
	Target
	Written     string // as written, without "about"; empty asks to be filled in
	WrittenSpan Span
	Prefix      string // "about ", "≈", "~" as written
	Relation    Relation
	Other       string // the right side of the relation: changes laid over the query, or a tolerance
	OtherAt     int
	Question    *Question // the question that it answers, if any
	Result      Result
}

// Claim is words that hold if a relation between two states does:
// [longer](calc:antilock?channels=both#stopping-distance;longer-than;channels=none).
type Claim struct {
	inline
	Target
	Relation Relation
	Other    string // changes laid over the query, or a quantity
	OtherAt  int
	Result   Result
}

// Step is a worked step of a formula: [`v²/(2·µ·g)`](calc:stop?speed=60km/h#braking-distance).
type Step struct {
	inline
	Target
	Formula   string
	FormulaAt int
	Relation  Relation
	Other     string // changes laid over the query
	OtherAt   int
	Question  *Question

	// Filled in by checking: MathML of the formula, and of it with its values.
	Symbols, Values string
	Result          Result
}

// Drawn stands for a value that a question draws: [60 km/h](calc:#speed). Its text is the value without a seed.
type Drawn struct {
	inline
	Input       string
	Written     string
	WrittenSpan Span
	Question    *Question
}

// Explorer is ![caption](calc:stop?speed=60km/h) alone in a paragraph. Its children are the caption.
type Explorer struct {
	block
	Target
	ID      string // of its element, and in addresses: "stop", "stop-2"
	Caption string
	Result  Result
}

// Figure is ![caption](calc:slip?surface=ice#curve). Its children are the caption.
type Figure struct {
	block
	Target
	ID      string
	Caption string
	Name    string // of the calculator's figure
	Result  Result
}

// Term is [words](term:contact-patch). Its children are the words.
type Term struct {
	inline
	ID    string
	IDAt  int
	Words string
}

// Citation is [words](source:aashto-2018#table-3-35). Its children are the words; without any, the page writes the
// source's short name.
type Citation struct {
	inline
	ID    string
	IDAt  int
	Place string // as written behind #: "table-3-35"
	Words string
}

// Caution is a fence of that name with Markdown in it.
type Caution struct {
	block
	fence
}

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

// Link is a link to another file of the course, to a heading, or out into the web.
type Link struct {
	inline
	Destination   string
	DestinationAt int
	Title         string
}

// Image is a picture of the site.
type Image struct {
	inline
	Destination   string
	DestinationAt int
	Title         string
	Alt           string
}

func (*Number) Kind() ast.NodeKind      { return KindNumber }
func (*Claim) Kind() ast.NodeKind       { return KindClaim }
func (*Step) Kind() ast.NodeKind        { return KindStep }
func (*Drawn) Kind() ast.NodeKind       { return KindDrawn }
func (*Explorer) Kind() ast.NodeKind    { return KindExplorer }
func (*Figure) Kind() ast.NodeKind      { return KindFigure }
func (*Term) Kind() ast.NodeKind        { return KindTerm }
func (*Citation) Kind() ast.NodeKind    { return KindCitation }
func (*Caution) Kind() ast.NodeKind     { return KindCaution }
func (*Question) Kind() ast.NodeKind    { return KindQuestion }
func (*Choices) Kind() ast.NodeKind     { return KindChoices }
func (*Choice) Kind() ast.NodeKind      { return KindChoice }
func (*Reason) Kind() ast.NodeKind      { return KindReason }
func (*Explanation) Kind() ast.NodeKind { return KindExplanation }
func (*Link) Kind() ast.NodeKind        { return KindLink }
func (*Image) Kind() ast.NodeKind       { return KindImage }
