package lesson

import (
	"bufio"
	"bytes"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/ast"
	extast "github.com/yuin/goldmark/extension/ast"
	"github.com/yuin/goldmark/renderer"
	"github.com/yuin/goldmark/renderer/html"
	"github.com/yuin/goldmark/util"

	"example.org/gripleaf/cmd/internal/locale"
)

// Pieces writes what goldmark does not know.
type Pieces interface {
	// Piece writes a piece: what stands before its children and, when it is left, what stands behind them. Those whose
	// children a page does not show are only entered.
	Piece(w util.BufWriter, n ast.Node, entering bool) error

	// Table writes what stands around a table that Markdown makes.
	Table(w util.BufWriter, entering bool) error

	// Text writes a text that has a number in it. It is HTML without tags by then.
	Text(w util.BufWriter, n *ast.Text, html string) error

	// Heading writes what stands behind a heading's words, within its element.
	Heading(w util.BufWriter, h *Heading) error
}

// Renderer writes lessons as HTML. It may be used by one goroutine at a time if its Pieces may.
type Renderer struct{ renderer renderer.Renderer }

// NewRenderer makes a Renderer. Raw HTML is written as the reader of the lesson left it: whole, or cleaned where a site
// has several hands.
func NewRenderer(p Pieces, several bool) *Renderer {
	m := goldmark.New(goldmark.WithExtensions(extensions(locale.Quotes{})...))
	if several {
		m.Renderer().AddOptions(renderer.WithNodeRenderers(util.Prioritized(cleaned{}, 90)))
	} else {
		m.Renderer().AddOptions(html.WithUnsafe())
	}
	var escaped bytes.Buffer
	m.Renderer().AddOptions(renderer.WithNodeRenderers(util.Prioritized(pieces{p, &escaped, bufio.NewWriter(&escaped)}, 100)))
	return &Renderer{m.Renderer()}
}

// Render writes the whole body of a lesson. Where it becomes more than any page may hold, the error is a fault at the
// place that is too much.
func (r *Renderer) Render(page *bytes.Buffer, l *Lesson) error {
	out := bufio.NewWriter(page)
	for n := l.Body.FirstChild(); n != nil; n = n.NextSibling() {
		if err := r.renderer.Render(out, l.Source.Text, n); err != nil {
			return err
		}
		if page.Len() > mostWritten {
			at := max(n.Pos(), 0)
			text := fmt.Sprintf("up to here the lesson becomes a page of more than %d MB", mostWritten>>20)
			return l.At(Span{at, at}, "large-page", text, "make several lessons of it")
		}
	}
	return nil
}

// pieces registers a Pieces with goldmark's renderer.
type pieces struct {
	Pieces
	escaped *bytes.Buffer // a text on its way
	writer  *bufio.Writer // into it
}

// RegisterFuncs implements renderer.NodeRenderer.
func (p pieces) RegisterFuncs(r renderer.NodeRendererFuncRegisterer) {
	r.Register(KindPiece, func(w util.BufWriter, _ []byte, n ast.Node, entering bool) (ast.WalkStatus, error) {
		if _, alone := n.(wordless); !alone {
			return ast.WalkContinue, p.Piece(w, n, entering)
		}
		if !entering {
			return ast.WalkContinue, nil
		}
		return ast.WalkSkipChildren, p.Piece(w, n, true)
	})
	r.Register(ast.KindHeading, p.heading)
	r.Register(ast.KindText, p.text)
	r.Register(extast.KindTable, p.table)
}

func (p pieces) table(w util.BufWriter, _ []byte, _ ast.Node, entering bool) (ast.WalkStatus, error) {
	if entering {
		if err := p.Pieces.Table(w, true); err != nil {
			return ast.WalkStop, err
		}
		_, err := w.WriteString("<table>\n")
		return ast.WalkContinue, err
	}
	_, _ = w.WriteString("</table>")
	if err := p.Pieces.Table(w, false); err != nil {
		return ast.WalkStop, err
	}
	return ast.WalkContinue, w.WriteByte('\n')
}

// text writes a text as goldmark does. One that has a number in it is made first and then handed on; the text of nodes
// that follow each other without a gap is written together.
func (p pieces) text(w util.BufWriter, source []byte, node ast.Node, entering bool) (ast.WalkStatus, error) {
	n := node.(*ast.Text)
	if !entering || continues(n.PreviousSibling(), n) {
		return ast.WalkContinue, nil
	}
	last := n
	for next, ok := n.NextSibling().(*ast.Text); ok && continues(last, next); next, ok = next.NextSibling().(*ast.Text) {
		last = next
	}
	if hasDigit(source[n.Segment.Start:last.Segment.Stop]) {
		p.escaped.Reset()
		escape(p.writer, source, n, last)
		if err := p.writer.Flush(); err != nil {
			return ast.WalkStop, err
		}
		if err := p.Pieces.Text(w, n, p.escaped.String()); err != nil {
			return ast.WalkStop, err
		}
	} else {
		escape(w, source, n, last)
	}
	end := ""
	switch {
	case last.HardLineBreak():
		end = "<br>\n"
	case last.SoftLineBreak():
		end = "\n"
	}
	_, err := w.WriteString(end)
	return ast.WalkContinue, err
}

// escape writes the texts from one node to another.
func escape(w util.BufWriter, source []byte, from, to *ast.Text) {
	for n := from; ; n = n.NextSibling().(*ast.Text) {
		if n.IsRaw() {
			html.DefaultWriter.RawWrite(w, n.Segment.Value(source))
		} else {
			html.DefaultWriter.Write(w, n.Segment.Value(source))
		}
		if n == to {
			return
		}
	}
}

// hasDigit reports whether a text has a digit of any script.
func hasDigit(text []byte) bool {
	for _, b := range text {
		switch {
		case '0' <= b && b <= '9':
			return true
		case b >= utf8.RuneSelf:
			return bytes.ContainsFunc(text, unicode.IsDigit)
		}
	}
	return false
}

// continues reports whether a text goes on where the node before it ends.
func continues(before ast.Node, n *ast.Text) bool {
	t, ok := before.(*ast.Text)
	return ok && t.Segment.Stop == n.Segment.Start && !t.SoftLineBreak() && !t.HardLineBreak()
}

// inlineMarkdown is CommonMark as it is, for texts in YAML.
var inlineMarkdown = goldmark.New()

// Inline renders a sentence or two of inline Markdown, such as a glossary's definition.
func Inline(markdown string) string {
	var b strings.Builder
	if err := inlineMarkdown.Convert([]byte(markdown), &b); err != nil {
		return ""
	}
	text := strings.TrimSpace(b.String())
	if inner, ok := strings.CutPrefix(text, "<p>"); ok && strings.Count(text, "<p>") == 1 {
		return strings.TrimSuffix(inner, "</p>")
	}
	return text
}
