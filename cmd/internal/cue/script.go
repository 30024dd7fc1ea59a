package cue

import (
	_ "embed"
	htmltemplate "html/template"
	"io"
	"math"
	"strings"
	"text/template"
	"time"

	"example.org/gripleaf/cmd/internal/lesson"
)

//go:embed script.html
var scriptHTML string

//go:embed script.md
var scriptMarkdown string

//go:embed script.txt
var scriptText string

// functions are what the script's templates call.
func (q *Cue) functions() map[string]any {
	return map[string]any{
		"say":   q.language.Say,
		"time":  lesson.FormatMoment,
		"room":  func(m Moment) string { return lasts((m.End - m.At).Seconds()) },
		"need":  func(m Moment) string { return lasts(m.Seconds()) },
		"took":  lasts,
		"full":  func(m Moment) bool { return m.Seconds() > (m.End - m.At).Seconds() },
		"kind":  q.kindName,
		"lang":  q.language.Tag.String,
		"dir":   q.language.Direction,
		"plain": plainMarkdown.Replace,
		"wrap":  func(text string) []string { return wrap(text, 76) },
		"line":  Source.line,
	}
}

// lasts is a time in seconds as minutes and seconds.
func lasts(s float64) string {
	return lesson.FormatMoment(time.Duration(math.Round(s)) * time.Second)
}

// kindName says what a passage is that is not plain text.
func (q *Cue) kindName(k Kind) string {
	return q.language.Say(map[Kind]string{OnScreen: "On the screen", Caution: "Caution", Question: "Question", Answer: "Answer"}[k])
}

// plainMarkdown takes the meaning from the signs that Markdown would read as its own in running text.
var plainMarkdown = strings.NewReplacer(`\`, `\\`, "*", `\*`, "_", `\_`, "`", "\\`", "[", `\[`, "]", `\]`, "<", `\<`, ">", `\>`, "|", `\|`, "#", `\#`)

// WriteScriptHTML writes the script as a page to print or to read from a tablet; it needs nothing besides itself.
func (q *Cue) WriteScriptHTML(w io.Writer) error {
	return htmltemplate.Must(htmltemplate.New("").Funcs(q.functions()).Parse(scriptHTML)).Execute(w, q)
}

// WriteScriptMarkdown writes the script as Markdown.
func (q *Cue) WriteScriptMarkdown(w io.Writer) error {
	return template.Must(template.New("").Funcs(q.functions()).Parse(scriptMarkdown)).Execute(w, q)
}

// WriteScriptText writes the script as plain text.
func (q *Cue) WriteScriptText(w io.Writer) error {
	return template.Must(template.New("").Funcs(q.functions()).Parse(scriptText)).Execute(w, q)
}
