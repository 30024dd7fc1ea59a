package page

import (
	"cmp"
	"errors"
	"html/template"
	"strconv"
	"strings"
	"time"

	"github.com/yuin/goldmark/util"

	"example.org/gripleaf/cmd/internal/course"
)

// What stands on a page many times over, and on every page, is written here: a template takes a microsecond or two for
// every value. A theme may still range over Strip, Rows, Stops and Others.

// Head is a page up to the start tag of its body.
func (f *frame) Head() (template.HTML, error) {
	begin, err := f.Once("head-begin")
	same, e := f.Once("head-same")
	if err = errors.Join(err, e); err != nil {
		return "", err
	}
	title := f.Title
	if site := f.SiteTitle(); title != site {
		title += " – " + site
	}
	var b strings.Builder
	b.Grow(2<<10 + len(begin) + len(same) + len(f.Facts))
	write(&b, string(begin), `<meta http-equiv="Content-Security-Policy" content="`, f.policy(), "\">\n<title>", escape(title), "</title>\n",
		`<meta name="description" content="`, escape(f.About), "\">\n", string(same))
	f.tags(&b)
	b.WriteString("</head>\n<body")
	if f.Embedded {
		b.WriteString(` class="embed"`)
	}
	if f.Lesson != "" {
		write(&b, ` data-lesson="`, escape(f.Lesson), `"`)
	}
	b.WriteString(">\n")
	return template.HTML(b.String()), nil
}

// tags are the parts of a page's head that are its own, besides its title: how it looks where its address is shared
// (Open Graph protocol), its address, the same page in other languages, and its facts.
func (f *frame) tags(b *strings.Builder) {
	property := func(name, content string) {
		write(b, `<meta property="`, name, `" content="`, escape(content), "\">\n")
	}
	property("og:title", f.Title)
	property("og:description", f.About)
	property("og:type", f.Kind)
	if full := f.Full(f.Path); full != "" {
		property("og:url", full)
		write(b, `<link rel="canonical" href="`, address(full), "\">\n")
	}
	if picture := f.Picture(); picture != "" {
		property("og:image", picture)
		property("og:image:type", "image/png")
		property("og:image:width", strconv.Itoa(f.Social.Width))
		property("og:image:height", strconv.Itoa(f.Social.Height))
		property("og:image:alt", f.Social.Alt)
	}
	for _, o := range f.Others {
		write(b, `<link rel="alternate" hreflang="`, escape(o.Tag), `" href="`, address(cmp.Or(f.Full(o.Path), f.To(o.Path))), "\">\n")
	}
	if f.Facts != "" {
		write(b, `<script type="application/ld+json">`, string(f.Facts), "</script>\n")
	}
}

// Top is what stands above a page's content: the site's name, the ways to other languages, the road.
func (f *frame) Top() (template.HTML, error) {
	begin, err := f.Once("top-begin")
	if err != nil {
		return "", err
	}
	var b strings.Builder
	b.Grow(1<<10 + len(begin) + 256*len(f.Strip))
	b.WriteString(string(begin))
	f.tongues(&b)
	b.WriteString("\n</div>\n</div>\n")
	f.road(&b)
	b.WriteString("\n</header>\n<main id=\"content\">\n")
	return template.HTML(b.String()), nil
}

// tongues are the ways to the same page in other languages.
func (f *frame) tongues(b *strings.Builder) {
	if len(f.Others) < 2 {
		return
	}
	write(b, `<details class="tongue"><summary class="press"><span class="aside">`, escape(f.Say("Language")), ": </span>", escape(f.Language.Name), "</summary><ul>")
	for _, o := range f.Others {
		here := ""
		if o.Here {
			here = ` aria-current="true"`
		}
		write(b, `<li><a href="`, address(f.To(o.Path)), `" lang="`, escape(o.Tag), `" hreflang="`, escape(o.Tag), `"`, here, ">", escape(o.Name), "</a></li>")
	}
	b.WriteString("</ul></details>")
}

// road is the strip of road with the stops around a lesson.
func (f *frame) road(b *strings.Builder) {
	if len(f.Strip) == 0 {
		return
	}
	many := ""
	if len(f.Strip) > 9 {
		many = " many"
	}
	write(b, `<nav class="strip" aria-label="`, escape(f.Say("The stops of this course")), `"><ol class="column`, many, `">`)
	for _, s := range f.Strip {
		b.WriteString("<li")
		if s.Far {
			b.WriteString(` class="far-off"`)
		}
		title := escape(s.Title)
		write(b, `><a href="`, address(f.To(s.Path)), `" title="`, title, `"`)
		if s.Here {
			b.WriteString(` aria-current="page"`)
		}
		write(b, `><span aria-hidden="true">`, escape(f.Ordinal(s.Index)), `</span><span class="aside">`, title, "</span></a></li>")
	}
	b.WriteString("</ol></nav>")
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

// place says where on the road a lesson is, how long it takes, what it builds on, and where its video is.
func (v *lessonPage) place() template.HTML {
	var b strings.Builder
	write(&b, "<span>", escape(v.Say("Stop {} of {}", v.Ordinal(v.Entry.Index), v.Count(len(v.Language.Lessons)))), "</span>",
		"<span>", escape(v.Say("{} min to read", v.Count(v.Minutes))), "</span>")
	if len(v.Entry.Before) > 0 {
		write(&b, "<span>", escape(v.Say("builds on")), " ", string(v.Named(v.Entry.Before)), "</span>")
	}
	if v.Entry.Video != nil {
		write(&b, `<a href="`, web(v.Entry.Video.AddressAt(0)), `">`, escape(v.Say("Watch the video")), "</a>")
	}
	return template.HTML(b.String())
}

// onward are the ways to the lessons before and after this one.
func (v *lessonPage) onward() template.HTML {
	var b strings.Builder
	b.Grow(1 << 10)
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

// stretches are links to the parts of a lesson, if it has several.
func (v *lessonPage) stretches() template.HTML {
	if len(v.Moments) < 2 {
		return ""
	}
	var b strings.Builder
	b.Grow(128 * (1 + len(v.Moments)))
	write(&b, `<nav aria-label="`, escape(v.Say("In this lesson")), `"><ul class="stretches">`)
	for _, m := range v.Moments {
		write(&b, `<li><a class="press" href="#`, address(m.ID), `">`, escape(m.Text), "</a></li>")
	}
	b.WriteString("</ul></nav>")
	return template.HTML(b.String())
}

// after is what follows a lesson: its sources, and what was corrected in it.
func (v *lessonPage) after() template.HTML {
	var b strings.Builder
	if len(v.Cited) > 0 {
		write(&b, `<section class="afterwards" aria-labelledby="cited"><h2 id="cited">`, escape(v.Say("Sources")), "</h2><ol>")
		for i := range v.Cited {
			v.citation(&b, &v.Cited[i])
		}
		b.WriteString("</ol></section>\n")
	}
	if len(v.Entry.Corrected) > 0 {
		write(&b, `<section class="afterwards" aria-labelledby="corrected"><h2 id="corrected">`, escape(v.Say("Corrected")), "</h2><ul>")
		for _, c := range v.Entry.Corrected {
			day := c.Date.Format(time.DateOnly)
			write(&b, `<li><time datetime="`, day, `">`, day, "</time>: ", escape(c.Note), "</li>")
		}
		b.WriteString("</ul></section>\n")
	}
	return template.HTML(b.String())
}

// citation is one source of a lesson.
func (v *lessonPage) citation(b *strings.Builder, c *cited) {
	write(b, `<li id="source-`, strconv.Itoa(c.Number), `">`)
	if c.By != "" {
		write(b, escape(c.By), ": ")
	}
	write(b, "<cite>", escape(c.Title), "</cite>")
	for _, part := range []string{c.In, c.Year} {
		if part != "" {
			write(b, ", ", escape(part))
		}
	}
	b.WriteByte('.')
	if c.Note != "" {
		write(b, " ", escape(c.Note))
	}
	if c.Address != "" {
		write(b, ` <a href="`, web(c.Address), `" rel="external">`, escape(v.Say("Read it")), "</a>")
	}
	b.WriteString("</li>")
}

// Halts are the stops on a sheet of the map, with the road.
func (v *mapView) Halts() template.HTML {
	var b strings.Builder
	b.Grow(1 << 10 * len(v.Stops))
	for i := range v.Stops {
		h := &v.Stops[i]
		write(&b, `<li class="reach-`, strconv.Itoa(h.Reach), `" data-stop="`, escape(h.Name), "\">\n", `<div class="stretch">`, string(h.Road),
			`<span class="halt" aria-hidden="true">`, escape(v.Count(h.Number)), "</span>")
		if len(h.Before) > 0 {
			b.WriteString(`<span class="joins" aria-hidden="true">`)
			for _, s := range h.Before {
				write(&b, "<span>", escape(v.Count(s.Number)), "</span>")
			}
			b.WriteString("</span>")
		}
		b.WriteString("</div>\n")
		v.sign(&b, h)
		b.WriteString("</li>\n")
	}
	return template.HTML(b.String())
}

// sign is what stands beside the road at a stop.
func (v *mapView) sign(b *strings.Builder, h *halt) {
	post := v.Say("the road begins")
	if h.From > 0 {
		post = v.Say("after {} min", v.Count(h.From))
	}
	write(b, `<div class="sign"><p class="post">`, escape(post), "</p>\n", `<h2><a href="`, address(v.To(h.Address)), `">`, escape(h.Title), "</a></h2>\n")
	if h.Question != "" {
		write(b, `<p class="ask">`, escape(h.Question), "</p>\n")
	}
	write(b, `<p class="facts"><span>`, escape(v.Say("{} min to read", v.Count(h.Minutes))), "</span>")
	if h.Unfinished {
		write(b, "<span>", escape(v.Say("unfinished")), "</span>")
	}
	write(b, `<span class="been">`, escape(v.Say("read")), "</span></p>\n")
	if len(h.Before) > 0 {
		write(b, `<p class="facts"><span><span class="need-key">`, escape(v.Say("builds on")), "</span> ")
		for i, s := range h.Before {
			if i > 0 {
				b.WriteString(", ")
			}
			write(b, `<a href="`, address(v.To(s.Path)), `">`, escape(v.Count(s.Number)), " ", escape(s.Title), "</a>")
		}
		b.WriteString("</span></p>\n")
	}
	b.WriteString("</div>")
}

// sheetLinks are the ways to the sheets of the map, on one of them.
func (v *mapView) sheetLinks(sheets []sheet, at int) template.HTML {
	if len(sheets) < 2 {
		return ""
	}
	var b strings.Builder
	b.Grow(128 * (len(sheets) + 1))
	write(&b, `<nav class="sheets" aria-label="`, escape(v.Say("Sheets of this map")), `"><ul class="stretches">`)
	for i, s := range sheets {
		here := ""
		if i == at {
			here = ` aria-current="page"`
		}
		write(&b, `<li><a class="press" href="`, address(v.To(s.Path)), `"`, here, ">", escape(v.Say("Stops {} to {}", v.Count(s.From), v.Count(s.To))), "</a></li>")
	}
	b.WriteString("</ul></nav>")
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
