package lesson

import (
	"bytes"
	"fmt"

	"github.com/yuin/goldmark/ast"

	"example.org/gripleaf/cmd/internal/fault"
)

// What no lesson that somebody wrote comes near. To read Markdown takes time that grows with the square of the links
// that one line begins, and memory that grows with how deep things stand in each other.
const (
	mostLine   = 20_000 // bytes
	mostLinks  = 1000   // in a line
	mostNested = 100    // things in each other
	mostNotes  = 2000   // footnotes
)

// bounds checks a text before it is read. One that is out of bounds is not read at all; each bound is reported once.
func (l *Lesson) bounds() fault.List {
	var faults fault.List
	var long, linked, nested bool
	notes := 0
	text := l.Source.Text
	report := func(reported *bool, at Span, code, what, hint string) {
		if !*reported {
			*reported = true
			faults.Add(l.At(at, code, what, hint))
		}
	}
	for at := 0; at < len(text); {
		line, next := lineAt(text, at)
		s := Span{at, at + len(line)}
		if len(line) > mostLine {
			report(&long, Span{at, at}, "long-line", fmt.Sprintf("this line has %d bytes, and %d are the most", len(line), mostLine), "break it into several lines")
		}
		if n := bytes.Count(line, []byte("](")); n > mostLinks {
			report(&linked, Span{at, at}, "many-links", fmt.Sprintf("this line has %d links, and %d are the most", n, mostLinks), "break it into several lines")
		}
		if containers(line) > mostNested {
			report(&nested, s, "nested", fmt.Sprintf("more than %d lists and quotes stand in each other here", mostNested), "take some of them out")
		}
		if bytes.HasPrefix(line, []byte("[^")) {
			notes++
		}
		at = next
	}
	if notes > mostNotes {
		faults.Add(l.At(Span{}, "many-notes", fmt.Sprintf("this lesson has %d footnotes, and %d are the most", notes, mostNotes), "make several lessons of it"))
	}
	return faults
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

// deep gives the first node that stands deeper in the tree than anything may, without going down by recursion.
func deep(root ast.Node) ast.Node {
	depth, n := 0, root
	for n != nil {
		switch {
		case depth > mostNested*4: // an item of a list is three nodes
			return n
		case n.FirstChild() != nil:
			n, depth = n.FirstChild(), depth+1
			continue
		}
		for n != root && n.NextSibling() == nil {
			n, depth = n.Parent(), depth-1
		}
		if n == root {
			return nil
		}
		n = n.NextSibling()
	}
	return nil
}

// depth checks the tree, and takes it away if what walks it would come to no end.
func (l *Lesson) depth() fault.List {
	n := deep(l.Body)
	if n == nil {
		return nil
	}
	at := 0
	for m := n; m != nil && at <= 0; m = m.Parent() {
		if m.Kind() != ast.KindDocument {
			at = m.Pos()
		}
	}
	l.Body = ast.NewDocument()
	return fault.List{l.At(Span{max(at, 0), max(at, 0)}, "nested", "things stand in each other too deeply here", "take some of them out")}
}
