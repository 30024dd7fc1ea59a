package lesson

import (
	"bytes"
	"strings"

	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/parser"
	"github.com/yuin/goldmark/text"
	"github.com/yuin/goldmark/util"
)

// fence is how a container fence was opened, which says what closes it.
type fence struct {
	char   byte
	length int
	End    int // offset behind the line that closes it; of the end of the file where none does
	closed bool
}

// unclosed points out a fence that holds all the rest of its block, which is seldom meant.
func (c *collector) unclosed(f *fence, s Span) {
	if !f.closed {
		c.fault(s, "open-fence", "this fence is not closed",
			"write "+strings.Repeat(string(f.char), f.length)+" on a line of its own where it ends")
	}
}

func (f *fence) self() *fence { return f }

// fenceOf is the fence of a node that has one.
func fenceOf(n ast.Node) *fence { return n.(interface{ self() *fence }).self() }

// fenceNames are the info strings of fences that hold Markdown.
var fenceNames = []string{"caution", "question"}

// fenceParser reads ``` caution and ``` question as blocks that hold other blocks. Everywhere else they are fenced
// code, so what opens and closes them is what CommonMark 0.31, 4.5 says of fenced code.
type fenceParser struct{}

func (fenceParser) Trigger() []byte             { return []byte{'`', '~'} }
func (fenceParser) CanInterruptParagraph() bool { return true }
func (fenceParser) CanAcceptIndentedLine() bool { return false }

func (fenceParser) Open(_ ast.Node, reader text.Reader, pc parser.Context) (ast.Node, parser.State) {
	line, segment := reader.PeekLine()
	at := pc.BlockOffset()
	if at < 0 {
		return nil, parser.NoChildren
	}
	f := fence{char: line[at], length: run(line[at:])}
	if f.length < 3 {
		return nil, parser.NoChildren
	}
	start := segment.Start - segment.Padding + at
	s := Span{start, start + len(bytes.TrimSpace(line[at:]))}
	var node ast.Node
	switch string(bytes.TrimSpace(line[at+f.length:])) {
	case "caution":
		node = &Caution{block: block{Span: s}, fence: f}
	case "question":
		node = &Question{block: block{Span: s}, fence: f}
	default:
		return nil, parser.NoChildren
	}
	reader.AdvanceToEOL()
	return node, parser.HasChildren
}

func (fenceParser) Continue(node ast.Node, reader text.Reader, _ parser.Context) parser.State {
	f := fenceOf(node)
	line, segment := reader.PeekLine()
	indent, at := util.IndentWidth(line, reader.LineOffset())
	if indent < 4 && at < len(line) && line[at] == f.char {
		if n := run(line[at:]); n >= f.length && util.IsBlank(line[at+n:]) {
			f.End, f.closed = segment.Stop, true
			reader.AdvanceToEOL()
			return parser.Close
		}
	}
	return parser.Continue | parser.HasChildren
}

func (fenceParser) Close(node ast.Node, reader text.Reader, _ parser.Context) {
	if f := fenceOf(node); f.End == 0 {
		f.End = len(reader.Source())
	}
}

// run is how often the first byte is repeated at the beginning.
func run(line []byte) int { return len(line) - len(bytes.TrimLeft(line, string(line[:1]))) }
