package formula

import (
	"bytes"

	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/parser"
	"github.com/yuin/goldmark/text"
	"github.com/yuin/goldmark/util"
)

// inlineParser finds formulas between dollar signs in a paragraph.
type inlineParser struct{}

func (inlineParser) Trigger() []byte { return []byte{'$'} }

// Parse reads a formula at a dollar sign, or a run of dollar signs as text.
func (inlineParser) Parse(_ ast.Node, block text.Reader, pc parser.Context) ast.Node {
	line, segment := block.PeekLine()
	opener := dollars(line)
	if opener > len(delimiter) || opener == len(line) || opener == 1 && util.IsSpace(line[1]) {
		return asText(block, segment, opener)
	}
	row, position := block.Position()
	block.Advance(opener)
	segments, ok := scan(block, opener, barrenOf(pc))
	if !ok {
		block.SetPosition(row, position)
		return asText(block, segment, opener)
	}
	n := &Inline{Source: newSource(block.Source(), segments, opener == len(delimiter))}
	if opener == len(delimiter) {
		n.MathML = ""
		n.Mistakes = []Mistake{{0, len(n.TeX), "a formula between $$ stands in the midst of a paragraph",
			"put it on lines of its own, or write single dollar signs"}}
	}
	return n
}

// asText leaves a dollar sign to the text around it, and keeps a run of them from being looked at again from within.
func asText(block text.Reader, segment text.Segment, length int) ast.Node {
	if length == 1 {
		return nil
	}
	block.Advance(length)
	return ast.NewTextSegment(segment.WithStop(segment.Start + length))
}

// barren remembers up to where a search found no end of a formula, so that a paragraph full of prices is not searched
// again from each of them.
type barren struct{ from, to [len("$$") + 1]int }

var barrenKey = parser.NewContextKey()

func barrenOf(pc parser.Context) *barren {
	b, ok := pc.Get(barrenKey).(*barren)
	if !ok {
		b = &barren{}
		pc.Set(barrenKey, b)
	}
	return b
}

// scan reads up to the dollar signs that end the formula and behind them. It finds none at a code span and at the end
// of the paragraph.
func scan(block text.Reader, opener int, known *barren) ([]text.Segment, bool) {
	_, start := block.Position()
	if known.from[opener] <= start.Start && start.Start < known.to[opener] {
		return nil, false
	}
	var segments []text.Segment
	stop := start.Start
	for {
		line, segment := block.PeekLine()
		if line == nil {
			break
		}
		end, found, code := closer(line, opener, len(segments) == 0)
		stop = segment.Start + end
		if code && !codeSpan(block, end) {
			// a lone backtick: search on behind it
			rest := line[end:]
			end += len(rest) - len(bytes.TrimLeft(rest, "`"))
			segments = append(segments, segment.WithStop(segment.Start+end))
			block.Advance(end)
			continue
		}
		if code {
			break
		}
		segments = append(segments, segment.WithStop(stop))
		if found {
			block.Advance(end + opener)
			return segments, true
		}
		block.AdvanceLine()
	}
	known.from[opener], known.to[opener] = start.Start, stop
	return nil, false
}

// closer returns where in line the formula ends, or a backtick stands, or the end of the line.
func closer(line []byte, opener int, first bool) (end int, found, code bool) {
	for i := 0; i < len(line); i++ {
		switch line[i] {
		case '\\':
			i++
		case '`':
			return i, false, true
		case '$':
			run := dollars(line[i:])
			behind := i + run
			digit := behind < len(line) && util.IsNumeric(line[behind])
			space := i == 0 && first || i > 0 && util.IsSpace(line[i-1])
			if run == opener && (opener > 1 || !space && !digit) {
				return i, true, false
			}
			i = behind - 1
		}
	}
	return len(line), false, false
}

// codeSpan reports whether the backticks at offset of the line at hand begin a code span. The reader stays where it is.
func codeSpan(block text.Reader, offset int) bool {
	row, position := block.Position()
	defer block.SetPosition(row, position)
	line, _ := block.PeekLine()
	line = line[offset:]
	opener := len(line) - len(bytes.TrimLeft(line, "`"))
	line = line[opener:]
	for line != nil {
		for i := bytes.IndexByte(line, '`'); i >= 0; i = bytes.IndexByte(line, '`') {
			run := len(line[i:]) - len(bytes.TrimLeft(line[i:], "`"))
			if run == opener {
				return true
			}
			line = line[i+run:]
		}
		block.AdvanceLine()
		line, _ = block.PeekLine()
	}
	return false
}
