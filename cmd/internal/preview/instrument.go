package preview

import (
	"bytes"
	"fmt"
	"slices"
	"strings"

	"golang.org/x/net/html"
	"golang.org/x/net/html/atom"
)

// instrument returns a page with the preview's script in its head, and with a content security policy that lets the
// script run and hear of events. All else stays as it is, byte for byte.
func instrument(page []byte, edition string) []byte {
	tag := fmt.Sprintf(`<script src="%s" data-edition="%s" defer></script>`, scriptPath, html.EscapeString(edition))
	var out bytes.Buffer
	out.Grow(len(page) + len(tag) + 64)
	done := false
	z := html.NewTokenizer(bytes.NewReader(page))
	for z.Next() != html.ErrorToken {
		raw := slices.Clone(z.Raw())
		token := z.Token()
		head := token.Type == html.EndTagToken && token.DataAtom == atom.Head
		body := token.Type == html.StartTagToken && token.DataAtom == atom.Body
		if (head || body) && !done {
			out.WriteString(tag)
			done = true
		}
		if !done && token.DataAtom == atom.Meta && loosen(token.Attr) {
			raw = []byte(token.String())
		}
		out.Write(raw)
	}
	out.Write(z.Raw())
	if !done {
		out.WriteString(tag)
	}
	return out.Bytes()
}

// loosen changes the policy in the attributes of a meta element, and reports whether it holds one.
func loosen(attrs []html.Attribute) bool {
	is := func(a html.Attribute) bool {
		return a.Key == "http-equiv" && strings.EqualFold(strings.TrimSpace(a.Val), "Content-Security-Policy")
	}
	if !slices.ContainsFunc(attrs, is) {
		return false
	}
	for i := range attrs {
		if attrs[i].Key == "content" {
			attrs[i].Val = allowSelf(allowSelf(attrs[i].Val, "script-src"), "connect-src")
		}
	}
	return true
}

// allowSelf returns a policy in which a directive allows what is of the same origin (Content Security Policy Level 3).
// A policy that does not restrict it stays as it is.
func allowSelf(policy, directive string) string {
	parts := strings.Split(policy, ";")
	find := func(name string) int {
		return slices.IndexFunc(parts, func(part string) bool {
			words := strings.Fields(part)
			return len(words) > 0 && strings.EqualFold(words[0], name)
		})
	}
	at := find(directive)
	if at < 0 {
		fallback := find("default-src")
		if fallback < 0 {
			return policy
		}
		sources := strings.Fields(parts[fallback])[1:]
		parts = append(parts, " "+directive+" "+strings.Join(sources, " "))
		at = len(parts) - 1
	}
	words := strings.Fields(parts[at])
	words = slices.DeleteFunc(words, func(word string) bool { return strings.EqualFold(word, "'none'") })
	if !slices.ContainsFunc(words, func(word string) bool { return strings.EqualFold(word, "'self'") }) {
		words = append(words, "'self'")
	}
	parts[at] = strings.Join(words, " ")
	if at > 0 {
		parts[at] = " " + parts[at]
	}
	return strings.Join(parts, ";")
}
