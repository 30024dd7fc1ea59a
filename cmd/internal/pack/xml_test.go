package pack

import (
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"

	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/locale"
)

// wellFormed reads XML to its end.
func wellFormed(text string) error {
	d := xml.NewDecoder(strings.NewReader(text))
	d.Entity = nil
	for {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			return nil
		} else if err != nil {
			return err
		}
	}
}

func TestAsXML(t *testing.T) {
	for html, want := range map[string]string{
		`<p>a<br>b`:                                `<p>a<br/>b</p>`,
		`<p title='"&<'>&nbsp;&lt;`:                "<p title=\"&#34;&amp;&lt;\">\u00a0&lt;</p>",
		`<svg viewbox="0 0 1 1"><path d=M0></svg>`: `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 1 1"><path d="M0"/></svg>`,
		`<math><mi>x</mi></math>y`:                 `<math xmlns="http://www.w3.org/1998/Math/MathML"><mi>x</mi></math>y`,
		`<svg><foreignObject><p>x`:                 `<svg xmlns="http://www.w3.org/2000/svg"><foreignObject><p xmlns="http://www.w3.org/1999/xhtml">x</p></foreignObject></svg>`,
		`<p onclick="x()" a"b=1>x`:                 `<p>x</p>`,
		`<script>x<y</script><b>z</b>`:             `<b>z</b>`,
		`<!-- a -- b --><i></i>`:                   `<i></i>`,
		"a\x00\x0b\ufffeb":                         "ab",
		`<table><tr><td>1</table>`:                 `<table><tbody><tr><td>1</td></tr></tbody></table>`,
	} {
		root, err := fragment(html)
		if err != nil {
			t.Fatal(err)
		}
		want = `<article xmlns="http://www.w3.org/1999/xhtml">` + want + `</article>`
		if got := string(asXML(root)); got != want {
			t.Errorf("%s: got %s, want %s", html, got, want)
		}
	}
}

// Whatever an author writes, an e-book stays XML.
func FuzzAsXML(f *testing.F) {
	for _, seed := range []string{`<p>a<br>b`, `<svg><title>x<foreignObject><p>`, `<math><annotation-xml encoding="text/html"><p>x`, "<a:b c:d=1>\x00", `<table><b>x</table>`, `<p xmlns="x" xml:lang=en>`} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, html string) {
		root, err := fragment(html)
		if err != nil {
			return
		}
		if text := string(asXML(root)); wellFormed(text) != nil {
			t.Errorf("%q became %q: %v", html, text, wellFormed(text))
		}
	})
}

// A title is a text of the style sheet, whatever is in it (CSS Syntax 3, 4.3.7).
func TestTitleInStyle(t *testing.T) {
	b := &Book{Course: new(course.Course), Language: &course.Language{Locale: new(locale.Locale), Title: "a\"b\\c</style>\n"}}
	p := b.printed("")
	var page strings.Builder
	if err := b.pages().ExecuteTemplate(&page, "top", &p); err != nil {
		t.Fatal(err)
	}
	if want := `content: "a\22 b\\c\3c\2fstyle\3e \a "`; !strings.Contains(page.String(), want) || strings.Count(page.String(), "</style>") != 1 {
		t.Errorf("%s is not in %s", want, page.String()[strings.Index(page.String(), "@page { size"):])
	}
}
