package page

import (
	"html/template"
	"strings"

	"github.com/yuin/goldmark/util"
)

// What stands on a page many times over is written here: a template takes a microsecond for every value, and the stops
// of the strip and the cells of tables are most of a page's values. A theme may still range over Strip and Rows.

// Stops are the items of the strip.
func (f *frame) Stops() template.HTML {
	var b strings.Builder
	for i, s := range f.Strip {
		b.WriteString("<li")
		if s.Far {
			b.WriteString(` class="far-off"`)
		}
		title := escape(s.Title)
		write(&b, `><a href="`, address(f.To(s.Path)), `" title="`, title, `"`)
		if s.Here {
			b.WriteString(` aria-current="page"`)
		}
		write(&b, `><span aria-hidden="true">`, escape(f.Ordinal(i)), `</span><span class="aside">`, title, "</span></a></li>")
	}
	return template.HTML(b.String())
}

// Lines are the rows of a table.
func (g grid) Lines() template.HTML {
	var b strings.Builder
	for _, row := range g.Rows {
		b.WriteString("<tr>")
		for _, cell := range row {
			write(&b, "<td>", escape(cell), "</td>")
		}
		b.WriteString("</tr>")
	}
	return template.HTML(b.String())
}

func write(b *strings.Builder, parts ...string) {
	for _, p := range parts {
		b.WriteString(p)
	}
}

// address writes a path of the site as an attribute.
func address(path string) string {
	return escape(string(util.URLEscape([]byte(path), false)))
}
