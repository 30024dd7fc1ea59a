package cue

import (
	_ "embed"
	htmltemplate "html/template"
	"io"
	"strings"
	"text/template"
	"time"

	"example.org/gripleaf/cmd/internal/lesson"
)

//go:embed sheet.html
var sheetHTML string

//go:embed sheet.md
var sheetMarkdown string

//go:embed sheet.txt
var sheetText string

// functions are what the sheet's templates call.
func (q *Cue) functions() map[string]any {
	return map[string]any{
		"say":  func(english string, arguments ...string) string { return q.language.Say(english, arguments...) },
		"time": func(d time.Duration) string { return lesson.FormatMoment(d) },
		"lang": func() string { return q.language.Tag.String() },
		"dir": func() string {
			if q.language.RightToLeft {
				return "rtl"
			}
			return "ltr"
		},
		"plain": plainMarkdown,
	}
}

// plainMarkdown takes the meaning from the signs that Markdown would read as
// its own in running text.
func plainMarkdown(text string) string { return markdownEscapes.Replace(text) }

var markdownEscapes = strings.NewReplacer(`\`, `\\`, "*", `\*`, "_", `\_`, "`", "\\`", "[", `\[`, "]", `\]`, "<", `\<`, "|", `\|`, "#", `\#`)

// WriteSheetHTML writes the script sheet as a page to print or to read from a
// tablet; it needs nothing besides itself.
func (q *Cue) WriteSheetHTML(w io.Writer) error {
	return htmltemplate.Must(htmltemplate.New("").Funcs(q.functions()).Parse(sheetHTML)).Execute(w, q)
}

// WriteSheetMarkdown writes the script sheet as Markdown.
func (q *Cue) WriteSheetMarkdown(w io.Writer) error {
	return template.Must(template.New("").Funcs(q.functions()).Parse(sheetMarkdown)).Execute(w, q)
}

// WriteSheetText writes the script sheet as plain text.
func (q *Cue) WriteSheetText(w io.Writer) error {
	return template.Must(template.New("").Funcs(q.functions()).Parse(sheetText)).Execute(w, q)
}
