package lesson

import (
	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/util"
)

// silent writes no piece, and lets goldmark write what is in them.
type silent struct{}

func (silent) Number(util.BufWriter, *Number) error                 { return nil }
func (silent) Step(util.BufWriter, *Step) error                     { return nil }
func (silent) Drawn(util.BufWriter, *Drawn) error                   { return nil }
func (silent) Image(util.BufWriter, *Image) error                   { return nil }
func (silent) Claim(util.BufWriter, *Claim, bool) error             { return nil }
func (silent) Explorer(util.BufWriter, *Explorer, bool) error       { return nil }
func (silent) Figure(util.BufWriter, *Figure, bool) error           { return nil }
func (silent) Term(util.BufWriter, *Term, bool) error               { return nil }
func (silent) Citation(util.BufWriter, *Citation, bool) error       { return nil }
func (silent) Caution(util.BufWriter, *Caution, bool) error         { return nil }
func (silent) Question(util.BufWriter, *Question, bool) error       { return nil }
func (silent) Choices(util.BufWriter, *Choices, bool) error         { return nil }
func (silent) Choice(util.BufWriter, *Choice, bool) error           { return nil }
func (silent) Reason(util.BufWriter, *Reason, bool) error           { return nil }
func (silent) Explanation(util.BufWriter, *Explanation, bool) error { return nil }
func (silent) Link(util.BufWriter, *Link, bool) error               { return nil }
func (silent) Table(util.BufWriter, bool) error                     { return nil }
func (silent) Heading(util.BufWriter, *Heading) error               { return nil }

func (silent) Text(w util.BufWriter, _ *ast.Text, html string) error {
	_, err := w.WriteString(html)
	return err
}

// Silent is silent for the tests from outside.
var Silent Pieces = silent{}
