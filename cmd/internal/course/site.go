package course

import (
	"io/fs"
	"path"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"golang.org/x/image/colornames"

	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/lesson"
	"example.org/gripleaf/cmd/internal/yaml"
)

// site reads site.yaml.
func (r *reader) site(source *fault.Source) {
	r.siteFile = source
	s := &r.course.Site
	v := yaml.Parse(source, 0, len(source.Text), &r.faults)
	broken := len(r.faults) > 0
	var social yaml.Value
	v.Each(map[string]func(yaml.Value){
		"title":     func(v yaml.Value) { s.Title = r.said("title", v) },
		"summary":   func(v yaml.Value) { s.Summary = r.said("summary", v) },
		"address":   func(v yaml.Value) { s.Address = r.siteAddress(v) },
		"publisher": func(v yaml.Value) { s.Publisher = v.Text() },
		"languages": func(v yaml.Value) { s.Languages, r.foldersAt = r.each(v, "language") },
		"lessons":   func(v yaml.Value) { s.Lessons, r.lessonsAt = r.each(v, "lesson") },
		"look":      func(v yaml.Value) { r.look(v) },
		"budget": func(v yaml.Value) {
			v.Each(map[string]func(yaml.Value){
				"page":   func(v yaml.Value) { s.Budget.Page = bytes(v) },
				"module": func(v yaml.Value) { s.Budget.Module = bytes(v) },
			})
		},
		"units": func(v yaml.Value) {
			switch units := v.Text(); units {
			case "metric":
			case "imperial":
				s.Units = quantity.Imperial
			default:
				v.Fault(yaml.Shape, "units are metric or imperial", fault.Meant(units, []string{"metric", "imperial"}))
			}
		},
		"social": func(v yaml.Value) { s.Social, social = v.Flag(), v },
		"hands": func(v yaml.Value) {
			hands := v.Text()
			s.Several = hands != one
			if hands != one && hands != "several" {
				v.Fault(yaml.Shape, "hands are one or several", fault.Meant(hands, []string{one, "several"}))
			}
		},
	})
	if broken {
		return
	}
	s.Title, s.Summary = r.inFirst("title", s.Title), r.inFirst("summary", s.Summary)
	s.Look.Footer = r.inFirst("footer", s.Look.Footer)
	if s.Title == "" {
		v.Fault("no-title", "the site has no title", "write title: …")
	}
	if s.Social && s.Address == "" {
		social.Fault("no-address", "social pictures are found by their whole addresses, and the site has none",
			"write address: https://… and the folder it stands in")
	}
	if len(s.Languages) == 0 {
		v.Fault("no-language", "the site has no language", "write languages: [en], and put the lessons into a folder en")
	}
}

// said reads a text of the site: one for all languages, or one for each under the name of its folder.
func (r *reader) said(name string, v yaml.Value) string {
	if !v.Keyed() {
		return lesson.Words(v)
	}
	if r.texts == nil {
		r.texts = make(map[string][]yaml.Field)
	}
	r.texts[name] = v.Fields()
	return ""
}

// inFirst gives a text of the site in its first language, and says which languages the site does not have.
func (r *reader) inFirst(name, all string) string {
	for _, f := range r.texts[name] {
		if !slices.Contains(r.course.Site.Languages, f.Name) {
			f.Key.Fault("language", "the site has no language "+quote(f.Name), fault.Meant(f.Name, r.course.Site.Languages))
		}
	}
	if len(r.course.Site.Languages) == 0 {
		return all
	}
	return r.in(r.course.Site.Languages[0], name, all)
}

// in gives a text of the site in the language of a folder, if it has one there.
func (r *reader) in(folder, name, otherwise string) string {
	for _, f := range r.texts[name] {
		if f.Name == folder {
			return lesson.Words(f.Value)
		}
	}
	return otherwise
}

// each reads a list of names, every one of which stands once.
func (r *reader) each(v yaml.Value, what string) (names []string, spans []lesson.Span) {
	seen := make(map[string]bool)
	for _, item := range v.List() {
		name := strings.TrimSuffix(item.Text(), ".md")
		why, hint := unfit(name)
		switch {
		case why != "":
			item.Fault(yaml.Shape, why+" cannot be that of a "+what, hint)
			continue
		case seen[sameOnSomeDisks(name)]:
			item.Fault("listed-twice", "the "+what+" "+quote(name)+" is listed twice", "keep one of them")
			continue
		case what == "lesson" && slices.Contains(taken, strings.ToLower(name)):
			item.Fault(yaml.Shape, "every site has a page "+name+".html already", "give the lesson another name")
			continue
		}
		seen[sameOnSomeDisks(name)] = true
		start, end := item.Span()
		names, spans = append(names, name), append(spans, lesson.Span{Start: start, End: end})
	}
	return names, spans
}

func (r *reader) siteAddress(v yaml.Value) string {
	text := webAddress(v)
	if text == "" {
		return ""
	}
	if strings.ContainsAny(text, "?#") {
		v.Fault("wrong-address", "the site's address has more than a folder", "write https://… and the folder it stands in")
	}
	return strings.TrimSuffix(text, "/") + "/"
}

func (r *reader) look(v yaml.Value) {
	look := &r.course.Site.Look
	v.Each(map[string]func(yaml.Value){
		"colours": func(v yaml.Value) { look.Colours = r.tokens(v, true) },
		"fonts":   func(v yaml.Value) { look.Fonts = r.tokens(v, false) },
		"footer":  func(v yaml.Value) { look.Footer = r.said("footer", v) },
		"logo": func(v yaml.Value) {
			look.Logo = path.Clean(v.Text())
			if _, err := fs.Stat(r.course.Files, look.Logo); err != nil {
				v.Fault("missing-file", "there is no file "+quote(look.Logo),
					"name a picture of the site, such as pictures/logo.svg")
				look.Logo = ""
			}
		},
	})
}

// tokens are values of the theme's tokens by name. What would end a CSS declaration is a fault.
func (r *reader) tokens(v yaml.Value, colours bool) map[string]string {
	all := make(map[string]string)
	for _, f := range v.Fields() {
		text := f.Value.Text()
		switch {
		case r.Tokens != nil && !slices.Contains(r.Tokens, f.Name):
			f.Key.Fault("unknown-token", "the theme has no colour or font "+quote(f.Name), fault.Meant(f.Name, r.Tokens))
		case strings.ContainsAny(text, ";{}<>\\") || strings.Contains(text, "url("):
			f.Value.Fault(yaml.Shape, "this is more than one CSS value", "write a colour such as #7a1f1f, or a list of fonts")
		case colours && !colour(text):
			f.Value.Fault(yaml.Shape, quote(text)+" is no colour of CSS",
				"write one such as #7a1f1f, between quotes, or its name in English")
		default:
			all[f.Name] = text
		}
	}
	return all
}

// hexadecimal is a colour in digits, CSS Color 4, 5.2.
var hexadecimal = regexp.MustCompile(`^#([0-9a-fA-F]{3,4}|[0-9a-fA-F]{6}|[0-9a-fA-F]{8})$`)

// colour reports whether a text may be a colour: its digits or its name are right, CSS Color 4, 6.1. What is neither,
// such as a function or a share, is for the browser to read.
func colour(text string) bool {
	if strings.HasPrefix(text, "#") {
		return hexadecimal.MatchString(text)
	}
	if strings.ContainsFunc(text, func(r rune) bool { return !unicode.IsLetter(r) }) {
		return true
	}
	name := strings.ToLower(text)
	return slices.Contains(colornames.Names, name) || slices.Contains(furtherNames, name)
}

// furtherNames are colours that have a name in CSS and none in SVG 1.1.
var furtherNames = []string{
	"transparent", "currentcolor", "rebeccapurple", "canvas", "canvastext", "linktext", "graytext",
}

// bytes reads a size: 70KB, 500 KB, 1MB.
func bytes(v yaml.Value) int {
	text := strings.TrimSpace(v.Text())
	scale := 1
	for _, u := range []struct {
		name  string
		scale int
	}{{"KB", 1000}, {"MB", 1000 * 1000}, {"B", 1}} {
		if number, ok := strings.CutSuffix(text, u.name); ok {
			text, scale = strings.TrimSpace(number), u.scale
			break
		}
	}
	n, err := strconv.Atoi(text)
	if err != nil || n <= 0 {
		v.Fault(yaml.Shape, "this is not a size", "write kilobytes, such as 70KB")
		return 0
	}
	return n * scale
}
