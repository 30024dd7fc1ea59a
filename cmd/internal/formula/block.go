package formula

import (
	"bytes"

	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/parser"
	"github.com/yuin/goldmark/text"
	"github.com/yuin/goldmark/util"
)

// blockParser finds formulas that are blocks of their own.
type blockParser struct{}

func (blockParser) Trigger() []byte { return []byte{'$'} }

// CanInterruptParagraph implements parser.BlockParser.
func (blockParser) CanInterruptParagraph() bool { return true }

// CanAcceptIndentedLine implements parser.BlockParser.
func (blockParser) CanAcceptIndentedLine() bool { return false }

// Open begins a formula at $$ if there is an end to it before an empty line.
func (blockParser) Open(_ ast.Node, reader text.Reader, pc parser.Context) (ast.Node, parser.State) {
	line, segment := reader.PeekLine()
	pos := pc.BlockOffset()
	if pos < 0 || dollars(line[pos:]) != len(delimiter) {
		return nil, parser.NoChildren
	}
	start := segment.Start - segment.Padding + pos + len(delimiter)
	if !ends(reader.Source()[start:]) {
		return nil, parser.NoChildren
	}
	n := &Block{}
	n.SetPos(start - len(delimiter))
	if stop := last(reader.Source()[start:segment.Stop]); stop >= 0 {
		n.Lines().Append(text.NewSegment(start, start+stop))
		n.whole = true
	} else {
		n.Lines().Append(text.NewSegment(start, segment.Stop))
	}
	reader.AdvanceToEOL()
	return n, parser.NoChildren
}

// ends reports whether the text behind an opening $$ has a $$ at the end of a line, and no $$ elsewhere, before the
// next empty line.
func ends(source []byte) bool {
	source = source[:min(len(source), maxLength)]
	for first := true; len(source) > 0; first = false {
		line, rest, _ := bytes.Cut(source, []byte("\n"))
		if at := unescaped(line); at >= 0 {
			return last(line) == at
		}
		if !first && len(bytes.Trim(line, "> \t\r")) == 0 {
			return false
		}
		source = rest
	}
	return false
}

// last returns where the $$ that ends line stands, or -1.
func last(line []byte) int {
	if at := unescaped(line); at >= 0 && util.IsBlank(line[at+len(delimiter):]) {
		return at
	}
	return -1
}

// unescaped returns where the first $$ without a backslash stands, or -1.
func unescaped(line []byte) int {
	for i := 0; i < len(line); i++ {
		switch {
		case line[i] == '\\':
			i++
		case bytes.HasPrefix(line[i:], delimiter):
			return i
		}
	}
	return -1
}

// Continue adds lines to the formula up to the one that ends it.
func (blockParser) Continue(node ast.Node, reader text.Reader, _ parser.Context) parser.State {
	n := node.(*Block)
	line, segment := reader.PeekLine()
	if n.whole || util.IsBlank(line) {
		return parser.Close
	}
	start := segment.Start
	stop := last(reader.Source()[start:segment.Stop])
	n.whole = stop >= 0
	if !n.whole {
		stop = segment.Len() - segment.Padding
	}
	n.Lines().Append(text.NewSegment(start, start+stop))
	reader.AdvanceToEOL()
	if n.whole {
		return parser.Close
	}
	return parser.Continue | parser.NoChildren
}

// Close converts the formula.
func (blockParser) Close(node ast.Node, reader text.Reader, _ parser.Context) {
	n := node.(*Block)
	n.Source = newSource(reader.Source(), n.Lines().Sliced(0, n.Lines().Len()), true)
	if !n.whole {
		n.MathML = ""
		n.Mistakes = []Mistake{{0, 0, "this $$ is never closed", "put $$ at the end of the formula's last line"}}
	}
}
