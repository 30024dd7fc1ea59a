package lesson

import (
	"strings"
	"testing"
)

// Whatever stands in raw HTML of several hands, what is kept of it has none but allowed elements, all of them closed in
// their order.
func FuzzRawHTML(f *testing.F) {
	for _, text := range []string{"<b>a", "</b>a<i>", "<script>a</script>", "<b><i></b></i>", "<abbr title='a>b'>c</abbr>", "<!-- a --><u>b</u>", "<b\n>a</b>", "a<br/>b", "<svg><b>a", "&lt;b>&#60;", "<time datetime=1>x</time>", "<q lang=\"a\" dir=ltr>x</q>", "<span/>"} {
		f.Add(text)
	}
	allowed := map[string]bool{}
	for _, name := range strings.Fields("abbr b bdi br cite code del dfn em i ins kbd mark q rp rt ruby s samp small span strong sub sup time u var wbr") {
		allowed[name] = true
	}
	f.Fuzz(func(t *testing.T, text string) {
		parts, _ := paired([][]byte{policy().SanitizeBytes([]byte(text))})
		kept := string(parts[0])
		var open []string
		for rest := kept; ; {
			_, after, found := strings.Cut(rest, "<")
			if !found {
				break
			}
			tag, after, found := strings.Cut(after, ">")
			if !found {
				t.Fatalf("%q: a tag that does not end in %q", text, kept)
			}
			rest = after
			name, attributes, _ := strings.Cut(strings.TrimSuffix(tag, "/"), " ")
			name, closing := strings.CutPrefix(name, "/")
			if !allowed[name] {
				t.Fatalf("%q: <%s> in %q", text, tag, kept)
			}
			for _, bad := range []string{"on", "href", "src", "style", "id=", "class"} {
				if strings.HasPrefix(attributes, bad) {
					t.Fatalf("%q: %s in %q", text, attributes, kept)
				}
			}
			switch {
			case name == "br" || name == "wbr":
			case !closing:
				open = append(open, name)
			case len(open) == 0 || open[len(open)-1] != name:
				t.Fatalf("%q: </%s> closes nothing in %q", text, name, kept)
			default:
				open = open[:len(open)-1]
			}
		}
		if len(open) > 0 {
			t.Fatalf("%q: %v stay open in %q", text, open, kept)
		}
	})
}
