package page

import (
	"cmp"
	"html/template"
	"strconv"
	"strings"

	"github.com/yuin/goldmark/util"

	"example.org/gripleaf/cmd/internal/course"
)

// What stands on a page many times over, and on every page, is written here: a template takes a microsecond or two for
// every value. A theme may still range over Strip, Rows, Moments, Cited and Others.

// Stops are the items of the strip.
func (f *frame) Stops() template.HTML {
	var b strings.Builder
	for _, s := range f.Strip {
		b.WriteString("<li")
		if s.Far {
			b.WriteString(` class="far-off"`)
		}
		title := escape(s.Title)
		write(&b, `><a href="`, address(f.To(s.Path)), `" title="`, title, `"`)
		if s.Here {
			b.WriteString(` aria-current="page"`)
		}
		write(&b, `><span aria-hidden="true">`, escape(f.Ordinal(s.Index)), `</span><span class="aside">`, title, "</span></a></li>")
	}
	return template.HTML(b.String())
}

// Tags are the parts of a page's head that are its own, but for its title: how it looks where its address is shared
// (Open Graph protocol), its address, and the same page in other languages.
func (f *frame) Tags() template.HTML {
	var b strings.Builder
	property := func(name, content string) {
		write(&b, `<meta property="`, name, `" content="`, escape(content), "\">\n")
	}
	property("og:title", f.Title)
	property("og:description", f.About)
	property("og:type", f.Kind)
	if full := f.Full(f.Path); full != "" {
		property("og:url", full)
		write(&b, `<link rel="canonical" href="`, address(full), "\">\n")
	}
	if picture := f.Picture(); picture != "" {
		property("og:image", picture)
		property("og:image:type", "image/png")
		property("og:image:width", strconv.Itoa(f.Social.Width))
		property("og:image:height", strconv.Itoa(f.Social.Height))
		property("og:image:alt", f.Social.Alt)
	}
	for _, o := range f.Others {
		write(&b, `<link rel="alternate" hreflang="`, escape(o.Tag), `" href="`, address(cmp.Or(f.Full(o.Path), f.To(o.Path))), "\">\n")
	}
	return template.HTML(b.String())
}

// Named are links to lessons in a sentence. Of very many it says how many more there are.
func (f *frame) Named(list []*course.Entry) template.HTML {
	var b strings.Builder
	for i, e := range list[:min(mostNamed, len(list))] {
		if i > 0 {
			b.WriteString(", ")
		}
		write(&b, `<a href="`, address(f.To(e.Address)), `">`, escape(e.Title), "</a>")
	}
	if more := len(list) - mostNamed; more > 0 {
		write(&b, " ", escape(f.Say("and {} more", f.Count(more))))
	}
	return template.HTML(b.String())
}

// Place says where on the road a lesson is, how long it takes, and what it builds on.
func (v *lessonView) Place() template.HTML {
	var b strings.Builder
	write(&b, "<span>", escape(v.Say("Stop {} of {}", v.Ordinal(v.Entry.Index), v.Count(len(v.Language.Lessons)))), "</span>",
		"<span>", escape(v.Say("{} min to read", v.Count(v.Minutes))), "</span>")
	if len(v.Entry.Before) > 0 {
		write(&b, "<span>", escape(v.Say("builds on")), " ", string(v.Named(v.Entry.Before)), "</span>")
	}
	return template.HTML(b.String())
}

// Onward are the ways to the lessons before and after this one.
func (v *lessonView) Onward() template.HTML {
	var b strings.Builder
	way := func(to, rel, small, title string) {
		write(&b, `<a href="`, address(v.To(to)), `"`)
		if rel != "" {
			write(&b, ` rel="`, rel, `"`)
		}
		write(&b, "><small>", escape(small), "</small><b>", escape(title), "</b></a>")
	}
	write(&b, `<nav class="onward" aria-label="`, escape(v.Say("Along the road")), "\">\n<div>")
	if e := v.Entry.Previous; e != nil {
		way(e.Address, "prev", v.Say("The stop before"), e.Title)
	}
	b.WriteString("</div>\n<div class=\"onward-next\">")
	if e := v.Entry.Next; e != nil {
		way(e.Address, "next", v.Say("The next stop"), e.Title)
	} else {
		way(v.Home, "", v.Say("The road ends here"), v.Say("Map of the course"))
	}
	b.WriteString("</div>\n</nav>")
	return template.HTML(b.String())
}

// Stretches are links to the parts of a lesson.
func (v *lessonView) Stretches() template.HTML {
	var b strings.Builder
	for _, m := range v.Moments {
		write(&b, `<li><a class="press" href="#`, address(m.ID), `">`, escape(m.Text), "</a></li>")
	}
	return template.HTML(b.String())
}

// Citations are the sources of a lesson.
func (v *lessonView) Citations() template.HTML {
	var b strings.Builder
	for _, c := range v.Cited {
		write(&b, `<li id="source-`, strconv.Itoa(c.Number), `">`)
		if c.By != "" {
			write(&b, escape(c.By), ": ")
		}
		write(&b, "<cite>", escape(c.Title), "</cite>")
		for _, part := range []string{c.In, c.Year} {
			if part != "" {
				write(&b, ", ", escape(part))
			}
		}
		b.WriteByte('.')
		if c.Note != "" {
			write(&b, " ", escape(c.Note))
		}
		if c.Address != "" {
			write(&b, ` <a href="`, web(c.Address), `" rel="external">`, escape(v.Say("Read it")), "</a>")
		}
		b.WriteString("</li>")
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

// web writes an address out in the web as an attribute. One that would be more than an address leads nowhere.
func web(to string) string {
	if scheme, _, found := strings.Cut(to, ":"); found && !strings.ContainsAny(scheme, "/?#") {
		switch strings.ToLower(scheme) {
		case "http", "https", "mailto":
		default:
			return "#"
		}
	}
	return address(to)
}
