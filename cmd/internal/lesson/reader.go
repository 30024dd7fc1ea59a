package lesson

import (
	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/extension"
	"github.com/yuin/goldmark/parser"
	"github.com/yuin/goldmark/text"
	"github.com/yuin/goldmark/util"

	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/formula"
	"example.org/gripleaf/cmd/internal/locale"
)

// Reader reads lessons of one language. Any number of goroutines may use it at once.
type Reader struct {
	markdown goldmark.Markdown
	several  bool
	base     string // the language, without region or script
}

// NewReader makes a Reader. With several hands, raw HTML is cleaned, and links lead only where readers can follow.
func NewReader(l *locale.Locale, several bool) *Reader {
	base, _ := l.Tag.Base()
	r := &Reader{markdown: goldmark.New(goldmark.WithExtensions(extensions(l.Quotes)...)), several: several, base: base.String()}
	r.markdown.Parser().AddOptions(
		parser.WithBlockParsers(util.Prioritized(fenceParser{}, 650)), // before goldmark's fenced code, 700
	)
	return r
}

func extensions(q locale.Quotes) []goldmark.Extender {
	return []goldmark.Extender{
		extension.Table, extension.Strikethrough, extension.TaskList, extension.DefinitionList,
		extension.NewFootnote(), formula.Extension,
		extension.NewTypographer(extension.WithTypographicSubstitutions(map[extension.TypographicPunctuation]string{
			extension.LeftDoubleQuote: q.Open, extension.RightDoubleQuote: q.Close,
			extension.LeftSingleQuote: q.OpenInner, extension.RightSingleQuote: q.CloseInner,
			extension.Apostrophe: q.Apostrophe, extension.EnDash: "–", extension.EmDash: "—", extension.Ellipsis: "…",
			extension.LeftAngleQuote: "«", extension.RightAngleQuote: "»",
		})),
	}
}

// Read reads a whole file. The lesson is never nil; with faults, the pieces that have them may be incomplete.
func (r *Reader) Read(source *fault.Source) (*Lesson, fault.List) {
	meta, body, faults := ReadMeta(source)
	return r.read(source, meta, body, faults)
}

// ReadBody is Read for a file whose metadata is known, and has no faults.
func (r *Reader) ReadBody(source *fault.Source, meta Meta) (*Lesson, fault.List) {
	_, _, body, _ := head(source.Text)
	return r.read(source, meta, body, nil)
}

func (r *Reader) read(source *fault.Source, meta Meta, body int, faults fault.List) (*Lesson, fault.List) {
	l := &Lesson{Source: source, Meta: meta}
	faults.Add(source.NotText(body, len(source.Text))...)
	if over := l.bounds(); len(over) > 0 {
		faults.Add(over...)
		l.Body = ast.NewDocument()
	} else {
		l.Body = r.markdown.Parser().Parse(after(source.Text, body))
		faults.Add(l.tree()...)
	}
	c := collector{lesson: l, body: body, several: r.several, base: r.base, faults: faults}
	c.run()
	return l, c.faults
}

// after reads text from a line on, so that places in the tree are places in the file.
func after(source []byte, offset int) text.Reader {
	r := text.NewReader(source)
	if offset > 0 {
		r.SetPosition(0, text.NewSegment(offset, offset))
		r.AdvanceLine()
	}
	return r
}
