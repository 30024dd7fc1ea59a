package pack

import (
	"bytes"
	"fmt"
	"strings"

	"golang.org/x/net/html"
	"golang.org/x/net/html/atom"
)

// Pieces of pages are written as HTML, which may hold HTML of a lesson's author. E-books want XML: what a browser would
// make of the text is taken as the truth and written as XML.

// fragment reads HTML as the content of an article.
func fragment(text string) (*html.Node, error) {
	root := &html.Node{Type: html.ElementNode, Data: "article", DataAtom: atom.Article}
	nodes, err := html.ParseFragment(strings.NewReader(text), root)
	if err != nil {
		return nil, err
	}
	for _, n := range nodes {
		root.AppendChild(n)
	}
	return root, nil
}

// spaces are the namespaces of what may stand in a page, by the parser's names.
var spaces = map[string]string{"": "http://www.w3.org/1999/xhtml", "svg": "http://www.w3.org/2000/svg", "math": "http://www.w3.org/1998/Math/MathML"}

// xmlWriter writes nodes as XML.
type xmlWriter struct{ b *bytes.Buffer }

// asXML gives a document as XML.
func asXML(root *html.Node) []byte {
	x := xmlWriter{new(bytes.Buffer)}
	x.node(root, "none") // so that the outermost element names its namespace
	return x.b.Bytes()
}

func (x xmlWriter) node(n *html.Node, outside string) {
	switch n.Type {
	case html.TextNode:
		x.b.WriteString(xmlText(n.Data))
	case html.ElementNode:
		x.element(n, outside)
	case html.DocumentNode:
		x.children(n, outside)
	}
}

func (x xmlWriter) children(n *html.Node, outside string) {
	for c := n.FirstChild; c != nil; c = c.NextSibling {
		x.node(c, outside)
	}
}

func (x xmlWriter) element(n *html.Node, outside string) {
	if !isName(n.Data) || n.DataAtom == atom.Script {
		return
	}
	fmt.Fprintf(x.b, "<%s", n.Data)
	if n.Namespace != outside {
		fmt.Fprintf(x.b, ` xmlns="%s"`, spaces[n.Namespace])
	}
	for _, a := range n.Attr {
		if name := attributeName(a); name != "" && name != "xmlns" {
			fmt.Fprintf(x.b, ` %s="%s"`, name, xmlText(a.Val))
		}
	}
	if n.FirstChild == nil && (n.Namespace != "" || isVoid(n.DataAtom)) {
		x.b.WriteString("/>")
		return
	}
	x.b.WriteByte('>')
	x.children(n, n.Namespace)
	fmt.Fprintf(x.b, "</%s>", n.Data)
}

// attributeName is an attribute's name in XML; empty for one that is not to be written.
func attributeName(a html.Attribute) string {
	switch {
	case a.Namespace == "xml":
		return "xml:" + a.Key
	case a.Key == "xml:lang":
		return a.Key
	case a.Namespace != "" || strings.HasPrefix(a.Key, "on") || !isName(a.Key):
		return "" // links of SVG 1.1 and scripts do not travel
	}
	return a.Key
}

// isVoid says which elements of HTML never have content (HTML, 13.1.2).
func isVoid(a atom.Atom) bool {
	switch a {
	case atom.Area, atom.Base, atom.Br, atom.Col, atom.Embed, atom.Hr, atom.Img, atom.Input, atom.Link, atom.Meta, atom.Source, atom.Track, atom.Wbr:
		return true
	}
	return false
}

// isName reports whether a name of HTML is one of XML without a colon; letters beyond ASCII are not used by either
// vocabulary.
func isName(s string) bool {
	for i, r := range s {
		letter := 'a' <= r && r <= 'z' || 'A' <= r && r <= 'Z' || r == '_'
		if !letter && (i == 0 || !('0' <= r && r <= '9' || r == '-' || r == '.')) {
			return false
		}
	}
	return s != ""
}

// xmlText escapes a text and leaves out what XML cannot hold (XML 1.0, 2.2).
func xmlText(s string) string {
	return html.EscapeString(strings.Map(func(r rune) rune {
		if r < ' ' && r != '\t' && r != '\n' && r != '\r' || r == 0xFFFE || r == 0xFFFF {
			return -1
		}
		return r
	}, s))
}

// attribute gives an attribute's value.
func attribute(n *html.Node, key string) string {
	for _, a := range n.Attr {
		if a.Key == key {
			return a.Val
		}
	}
	return ""
}

func setAttribute(n *html.Node, key, value string) {
	for i := range n.Attr {
		if n.Attr[i].Key == key {
			n.Attr[i].Val = value
			return
		}
	}
	n.Attr = append(n.Attr, html.Attribute{Key: key, Val: value})
}

// hasClass reports whether an element has a class.
func hasClass(n *html.Node, class string) bool {
	return n.Type == html.ElementNode && strings.Contains(" "+attribute(n, "class")+" ", " "+class+" ")
}

// withClass lists the elements below n that have a class, in order.
func withClass(n *html.Node, class string) []*html.Node {
	var list []*html.Node
	for d := range n.Descendants() {
		if hasClass(d, class) {
			list = append(list, d)
		}
	}
	return list
}

// element makes an element with a class and a text.
func element(a atom.Atom, class, text string) *html.Node {
	n := &html.Node{Type: html.ElementNode, DataAtom: a, Data: a.String()}
	if class != "" {
		setAttribute(n, "class", class)
	}
	if text != "" {
		n.AppendChild(&html.Node{Type: html.TextNode, Data: text})
	}
	return n
}

// detach takes a node out of where it stands.
func detach(n *html.Node) *html.Node {
	if n.Parent != nil {
		n.Parent.RemoveChild(n)
	}
	return n
}

// textOf is the text in a node.
func textOf(n *html.Node) string {
	var b strings.Builder
	for d := range n.Descendants() {
		if d.Type == html.TextNode {
			b.WriteString(d.Data)
		}
	}
	return b.String()
}
