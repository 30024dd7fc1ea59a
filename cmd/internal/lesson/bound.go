package lesson

import (
	"bytes"
	"fmt"

	"github.com/yuin/goldmark/ast"

	"example.org/gripleaf/cmd/internal/fault"
)

// Limits that no lesson written by hand comes near. Reading Markdown takes time that grows with the square of the links
// that one line begins and of the marks of emphasis in one paragraph, and memory that grows with how deep things stand
// in each other. A few bytes can become many: a short row of a table is filled up with cells, a definition is copied to
// every link that refers to it, and a footnote leads back to all its references.
const (
	mostLine      = 20_000    // bytes
	mostLinks     = 1000      // in a line
	mostNested    = 100       // things in each other
	mostNotes     = 2000      // footnotes
	mostReferring = 10_000    // references to footnotes
	mostCells     = 100_000   // of one table
	mostMarks     = 5000      // runs of *, _ and ~ in a paragraph
	mostCopied    = 1_000_000 // bytes of definitions, in the links that refer to them
	mostShown     = 200       // explorers and figures, each of which becomes some 25 KB of HTML
	mostWritten   = 8 << 20   // bytes of HTML that a lesson becomes
)

// bounds checks a text before it is read. A text beyond a limit is not read at all; each limit is reported once.
func (l *Lesson) bounds() fault.List {
	b := bounds{lesson: l, reported: make(map[string]bool)}
	for at := 0; at < len(l.Source.Text); {
		line, next := lineAt(l.Source.Text, at)
		b.line(line, Span{at, at + len(line)})
		at = next
	}
	return b.faults
}

type bounds struct {
	lesson   *Lesson
	faults   fault.List
	reported map[string]bool
	notes    int // footnotes so far
	referred int // references to them
	marks    int // of emphasis, since the paragraph began
	columns  int // of the table that the line is in
	cells    int // and its cells so far
}

func (b *bounds) line(line []byte, s Span) {
	b.most("long-line", s, len(line), mostLine, "this line has %d bytes, and %d are the most", "break it into several lines")
	b.most("many-links", s, bytes.Count(line, []byte("](")), mostLinks, "this line has %d links, and %d are the most",
		"break it into several lines")
	b.most("nested", s, containers(line), mostNested,
		"%d lists and quotes stand in each other here, and %d are the most", "take some of them out")
	if bytes.HasPrefix(line, []byte("[^")) {
		b.notes++
		b.most("many-notes", s, b.notes, mostNotes, "here begins footnote %d, and %d are the most", "make several lessons of it")
	}
	if b.referred += bytes.Count(line, []byte("[^")); b.referred > mostReferring {
		b.most("many-notes", s, b.referred, mostReferring, "here are %d references to footnotes, and %d are the most",
			"make several lessons of it")
	}
	if len(line) == 0 || b.columns > 0 || bullet(line) {
		b.marks = 0
	}
	b.marks += marks(line)
	b.most("many-marks", s, b.marks, mostMarks, "this paragraph has %d marks of emphasis, and %d are the most",
		"make several paragraphs of it, with empty lines between")
	switch n := columns(line); {
	case len(line) == 0:
		b.columns = 0
	case n > 0:
		b.columns, b.cells = n, 0
	default:
		b.cells += b.columns
		b.most("many-cells", s, b.cells, mostCells, "here the table has %d cells, and %d are the most", "make several tables of it")
	}
}

// most reports a line that has more of something than a lesson may.
func (b *bounds) most(code string, s Span, n, most int, text, hint string) {
	if n > most && !b.reported[code] {
		b.reported[code] = true
		b.faults.Add(b.lesson.At(Span{s.Start, s.Start}, code, fmt.Sprintf(text, n, most), hint))
	}
}

// columns counts the columns of a table's delimiter row (GFM 0.29, 4.10); other lines have none.
func columns(line []byte) int {
	if bytes.IndexByte(line, '|') < 0 || bytes.IndexByte(line, '-') < 0 || len(bytes.Trim(line, "|-: \t>")) > 0 {
		return 0
	}
	line = bytes.TrimSuffix(bytes.TrimPrefix(bytes.Trim(line, " \t>"), []byte("|")), []byte("|"))
	return bytes.Count(line, []byte("|")) + 1
}

// marks counts the runs of what may be emphasis.
func marks(line []byte) int {
	n, before := 0, byte(0)
	for _, b := range line {
		if (b == '*' || b == '_' || b == '~') && b != before {
			n++
		}
		before = b
	}
	return n
}

// bullet reports whether a line begins an item of a list, which ends the paragraph before it.
func bullet(line []byte) bool {
	line = bytes.TrimLeft(line, " \t>")
	return len(line) > 2 && (line[0] == '-' || line[0] == '+' || line[0] == '*') && line[1] == ' '
}

// containers counts the marks of quotes and list items that a line begins with.
func containers(line []byte) int {
	n := 0
	for i := 0; i < len(line); i++ {
		switch c := line[i]; {
		case c == ' ' || c == '\t':
		case c == '>':
			n++
		case (c == '-' || c == '+' || c == '*' || c == '.' || c == ')') && i+1 < len(line) && (line[i+1] == ' ' || line[i+1] == '\t'):
			n++
		case c < '0' || c > '9':
			return n
		}
	}
	return n
}

// tree checks what was read: how deep things stand in each other, and how much the links that refer to definitions make
// of them. Beyond a limit the tree is taken away, for what walks it would come to no end.
func (l *Lesson) tree() fault.List {
	var faults fault.List
	depth, copied, at := 0, 0, 0
	_ = ast.Walk(l.Body, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		if !entering {
			depth--
			return ast.WalkContinue, nil
		}
		depth++
		if n.Kind() != ast.KindDocument && n.Pos() > 0 {
			at = n.Pos()
		}
		copied += copiedBy(n)
		switch {
		case depth > mostNested*4: // an item of a list is three nodes
			faults.Add(l.At(Span{at, at}, "nested", "things stand in each other too deeply here", "take some of them out"))
		case copied > mostCopied:
			text := fmt.Sprintf("up to here links copy more than %d bytes out of definitions", mostCopied)
			faults.Add(l.At(Span{at, at}, "much-copied", text, "shorten the addresses and titles that they refer to"))
		default:
			return ast.WalkContinue, nil
		}
		return ast.WalkStop, nil
	})
	if len(faults) > 0 {
		l.Body = ast.NewDocument()
	}
	return faults
}

// copiedBy is how many bytes of a definition a node that refers to one holds.
func copiedBy(n ast.Node) int {
	switch n := n.(type) {
	case *ast.Link:
		if n.Reference != nil {
			return len(n.Destination) + len(n.Title)
		}
	case *ast.Image:
		if n.Reference != nil {
			return len(n.Destination) + len(n.Title)
		}
	}
	return 0
}
