// Package lesson reads one Markdown file into one Lesson: its metadata, its tree, and everything in it that is more
// than text. What is special in a lesson is a link, an image or a fence; each becomes a piece that knows its place in
// the file, so that a fault can point at the very letters, and its place in the tree, so that a page can render it.
//
// Reading takes calc: links apart, and works nothing out: whether a number is right is for package proof, and whether a
// term or another lesson exists is for package course.
package lesson

import (
	"github.com/yuin/goldmark/ast"

	"example.org/gripleaf/cmd/internal/fault"
)

// Span is a piece of the source in byte offsets.
type Span struct{ Start, End int }

// Len is the number of bytes.
func (s Span) Len() int { return s.End - s.Start }

// Lesson is one file, read. Its pieces stand in the order of the text.
type Lesson struct {
	Source *fault.Source
	Meta   Meta
	Body   ast.Node // a document; pieces are nodes of their own kinds in it

	Headings  []*Heading
	Numbers   []*Number // those that answer questions among them
	Claims    []*Claim
	Steps     []*Step
	Explorers []*Explorer
	Figures   []*Figure
	Terms     []*Term
	Citations []*Citation
	Cautions  []*Caution
	Questions []*Question
	Links     []*Link // to other files of the course, to headings, and out into the web
	Images    []*Image
	Formulas  int // how many stand in dollar signs

	Words int // of prose, for the reading time

	LeftOut fault.List // what the page leaves out of raw HTML, where a site has several hands: no faults, but their author is told
}

// At makes a fault in a piece of the source.
func (l *Lesson) At(s Span, code, text, hint string) fault.Fault {
	f := l.Source.At(s.Start, s.Len(), text, hint)
	f.Code = code
	return f
}

// Text is the source of a span.
func (l *Lesson) Text(s Span) string { return string(l.Source.Text[s.Start:s.End]) }
