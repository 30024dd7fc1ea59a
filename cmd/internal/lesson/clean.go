package lesson

import (
	"bytes"
	"slices"
	"sync"

	"github.com/microcosm-cc/bluemonday"
	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/renderer"
	"github.com/yuin/goldmark/util"
	"golang.org/x/net/html"
)

// policy is what stays of raw HTML where a site has several hands: elements that say something of the words within
// them. None can hold a script, load a file, or have an id that a script looks for.
var policy = sync.OnceValue(func() *bluemonday.Policy {
	p := bluemonday.NewPolicy()
	p.AllowElements("abbr", "b", "bdi", "br", "cite", "code", "del", "dfn", "em", "i", "ins", "kbd", "mark", "q", "rp", "rt", "ruby",
		"s", "samp", "small", "span", "strong", "sub", "sup", "time", "u", "var", "wbr")
	p.AllowAttrs("title").OnElements("abbr", "dfn")
	p.AllowAttrs("dir").Matching(bluemonday.Direction).Globally()
	p.AllowAttrs("lang").Globally()
	p.AllowAttrs("datetime").OnElements("time")
	return p
})

// cleanAttribute is where a node of raw HTML keeps what stays of it.
const cleanAttribute = "clean"

// clean settles what stays of all raw HTML below a node. Tags are kept only in pairs and within one block: one that is
// not closed would reach into the rest of the page.
func (l *Lesson) clean(root ast.Node) {
	var inline []ast.Node
	flush := func() {
		l.keep(inline)
		inline = nil
	}
	_ = ast.Walk(root, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		switch n.(type) {
		case *ast.RawHTML:
			if entering {
				inline = append(inline, n)
			}
		case *ast.HTMLBlock:
			if entering {
				flush()
				l.keep([]ast.Node{n})
			}
		default:
			if n.Type() == ast.TypeBlock {
				flush()
			}
		}
		return ast.WalkContinue, nil
	})
	flush()
}

// keep cleans nodes that stand in one block.
func (l *Lesson) keep(nodes []ast.Node) {
	parts := make([][]byte, len(nodes))
	for i, n := range nodes {
		parts[i] = policy().SanitizeBytes(rawText(n, l.Source.Text))
	}
	kept, alone := paired(parts)
	for _, t := range alone {
		s := segments(nodes[t.part])
		l.note(Span{s[0].Start, s[len(s)-1].End}, "<"+t.name+"> has no partner in its paragraph, and is left out",
			"close it in the paragraph in which it begins")
	}
	for i, part := range kept {
		if _, block := nodes[i].(*ast.HTMLBlock); block {
			part = bytes.TrimSpace(part)
			if len(part) > 0 {
				part = []byte("<p>" + string(part) + "</p>\n")
			}
		}
		nodes[i].SetAttributeString(cleanAttribute, part)
	}
}

// rawText is raw HTML as it stands in the source.
func rawText(n ast.Node, source []byte) (text []byte) {
	for _, s := range segments(n) {
		text = append(text, source[s.Start:s.End]...)
	}
	return text
}

// tag is one tag in clean HTML.
type tag struct {
	name    string
	closing bool
	part    int
	at      Span
	stays   bool
}

// paired takes the tags out that have no partner, and those whose partner stands beyond the end of another element. It
// gives what is kept, and those of them that open something.
func paired(parts [][]byte) (kept [][]byte, alone []tag) {
	var all []tag
	for i, part := range parts {
		for t, at := range tags(part) {
			all = append(all, tag{name: t.Data, closing: t.Type == html.EndTagToken, part: i, at: at})
		}
	}
	var open []*tag
	for i := range all {
		t := &all[i]
		switch {
		case t.name == "br" || t.name == "wbr":
			t.stays = !t.closing
		case !t.closing:
			open = append(open, t)
		case len(open) > 0 && open[len(open)-1].name == t.name:
			t.stays, open[len(open)-1].stays = true, true
			open = open[:len(open)-1]
		}
	}
	kept = make([][]byte, len(parts))
	from := make([]int, len(parts))
	for _, t := range all {
		kept[t.part] = append(kept[t.part], parts[t.part][from[t.part]:t.at.Start]...)
		if from[t.part] = t.at.End; t.stays {
			kept[t.part] = append(kept[t.part], parts[t.part][t.at.Start:t.at.End]...)
		} else if !t.closing {
			alone = append(alone, t)
		}
	}
	for i := range parts {
		kept[i] = append(kept[i], parts[i][from[i]:]...)
	}
	return kept, alone
}

// handsHint says what to do about HTML that is not taken.
const handsHint = "write it in Markdown, or write hands: one into site.yaml if you trust everybody who can write here"

// leftOut tells of a tag that cleaning takes out, or of those of its attributes that it takes out.
func (l *Lesson) leftOut(t html.Token, at Span) {
	clean := html.NewTokenizer(bytes.NewReader(policy().SanitizeBytes(l.Source.Text[at.Start:at.End])))
	if clean.Next() == html.ErrorToken {
		l.note(at, "<"+t.Data+"> is left out where lessons come from several hands", handsHint)
		return
	}
	kept := clean.Token().Attr
	for _, a := range t.Attr {
		if !slices.ContainsFunc(kept, func(k html.Attribute) bool { return k.Key == a.Key }) {
			l.note(at, "the attribute "+a.Key+" is left out where lessons come from several hands", handsHint)
		}
	}
}

// note tells of something that a page leaves out.
func (l *Lesson) note(at Span, text, hint string) {
	l.LeftOut.Add(l.At(at, "left-out", text, hint))
}

// cleaned renders what was kept of raw HTML.
type cleaned struct{}

// RegisterFuncs implements renderer.NodeRenderer.
func (cleaned) RegisterFuncs(r renderer.NodeRendererFuncRegisterer) {
	write := func(w util.BufWriter, _ []byte, n ast.Node, entering bool) (ast.WalkStatus, error) {
		if kept, ok := n.AttributeString(cleanAttribute); ok && entering {
			if _, err := w.Write(kept.([]byte)); err != nil {
				return ast.WalkStop, err
			}
		}
		return ast.WalkSkipChildren, nil
	}
	r.Register(ast.KindRawHTML, write)
	r.Register(ast.KindHTMLBlock, write)
}
