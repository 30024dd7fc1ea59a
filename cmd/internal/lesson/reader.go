package lesson

import (
	"bytes"
	"unicode/utf8"

	"github.com/yuin/goldmark"
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
}

// NewReader makes a Reader. With several hands, raw HTML and addresses that run scripts are faults.
func NewReader(l *locale.Locale, several bool) *Reader {
	r := &Reader{markdown: goldmark.New(goldmark.WithExtensions(extensions(l.Quotes)...)), several: several}
	r.markdown.Parser().AddOptions(
		parser.WithHeadingAttribute(),
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
	l := &Lesson{Source: source, Meta: meta}
	faults.Add(l.notText()...)
	l.Body = r.markdown.Parser().Parse(after(source.Text, body))
	c := collector{lesson: l, several: r.several, faults: faults}
	c.run()
	return l, c.faults
}

// after reads text from an offset on, so that places in the tree are places in the file.
func after(source []byte, offset int) text.Reader {
	r := text.NewReader(source)
	if offset > 0 {
		_, next := lineAt(source, offset)
		r.SetPosition(0, text.NewSegment(offset, next))
	}
	return r
}

// notText points at the first byte that cannot be in a text.
func (l *Lesson) notText() fault.List {
	text := l.Source.Text
	at := bytes.IndexByte(text, 0)
	if at < 0 && !utf8.Valid(text) {
		for at = 0; at < len(text); {
			r, size := utf8.DecodeRune(text[at:])
			if r == utf8.RuneError && size == 1 {
				break
			}
			at += size
		}
	}
	if at < 0 {
		return nil
	}
	return fault.List{l.At(Span{at, at + 1}, "not-text", "this byte is not text", "save the file as UTF-8")}
}
