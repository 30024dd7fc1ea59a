package formula

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"reflect"
	"runtime"
	"strings"
	"testing"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/extension"
	"github.com/yuin/goldmark/parser"
	"github.com/yuin/goldmark/text"
)

func markdown(with ...goldmark.Extender) goldmark.Markdown {
	return goldmark.New(goldmark.WithExtensions(append(with, extension.Table, extension.TaskList, extension.Footnote)...),
		goldmark.WithParserOptions(parser.WithAttribute()))
}

func render(t *testing.T, m goldmark.Markdown, source string) string {
	t.Helper()
	var b bytes.Buffer
	if err := m.Convert([]byte(source), &b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// formulas returns the formulas of a text in order, blocks marked by $$.
func formulas(source string) []string {
	var found []string
	root := markdown(Extension).Parser().Parse(text.NewReader([]byte(source)))
	_ = ast.Walk(root, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		if !entering {
			return ast.WalkContinue, nil
		}
		fault := func(mistakes []Mistake) (text string) {
			for _, m := range mistakes {
				text += " !" + m.Text
			}
			return text
		}
		switch n := n.(type) {
		case *Inline:
			found = append(found, n.TeX+fault(n.Mistakes))
		case *Block:
			found = append(found, "$$"+strings.TrimSpace(n.TeX)+fault(n.Mistakes))
		}
		return ast.WalkContinue, nil
	})
	return found
}

func TestFound(t *testing.T) {
	const midst = " !a formula between $$ stands in the midst of a paragraph"
	tests := []struct {
		source string
		want   []string
	}{
		{`Braking takes $s = v^2$, so $s$ grows.`, []string{`s = v^2`, `s`}},
		{`the $n$th stop`, []string{`n`}},
		{`(-$x$-)`, []string{`x`}},
		{"$a +\nb$", []string{"a +\nb"}},
		{`*$x*y$ z*`, []string{`x*y`}},
		{`[$x$](https://example.org)`, []string{`x`}},
		{`# Speed $v$`, []string{`v`}},
		{"| a |\n|---|\n| $x$ |", []string{`x`}},
		{`$\$5$`, []string{`\$5`}},
		{`\\$x$`, []string{`x`}},
		{"$a\\`b$ `c`", []string{"a\\`b !there is no command \\`"}},
		{"`$` and $x$", []string{"x"}},
		{`$\foo$`, []string{`\foo !there is no command \foo`}},

		// prices and other dollars
		{`$5 and $6`, nil},
		{`5 $ and 6 $`, nil},
		{`$5–$6`, nil},
		{`\$x$`, nil},
		{`$x\$`, nil},
		{`$ x$`, nil},
		{`$x $`, nil},
		{`$`, nil},
		{`$$`, nil},
		{`$$$x$$$`, nil},
		{`$$ to $$$`, nil},

		// code wins
		{"`$x$`", nil},
		{"$a `b$` c", nil},
		{"$a `b` c$", nil},
		{"$5 ``and ` $x`` 6$", nil},
		{"    $x$", nil},
		{"```\n$$\nx\n$$\n```", nil},

		// blocks
		{`$$v = 3$$`, []string{`$$v = 3`}},
		{"$$\nv\n= 3\n$$", []string{"$$v\n= 3"}},
		{"$$\nx\n- y\n# z\n$$", []string{"$$x\n- y\n# z !# means nothing in a formula"}},
		{"so\n$$\nx\n$$\nand $y$", []string{"$$x", "y"}},
		{"> $$\n> x\n> $$\n> $y$", []string{"$$x", "y"}},
		{"- a\n\n  $$x$$\n- $y$", []string{"$$x", "y"}},
		{"$$\r\nx\r\n$$\r\n", []string{"$$x"}},
		{"$$a$$\n$$b$$", []string{"$$a", "$$b"}},
		{"$$\n$$", []string{"$$ !the formula is empty"}},
		{"$$ is slang", nil},
		{"$$\nx\n\n$$", nil},
		{"$$x$$ follows", []string{"x" + midst}},
		{"so $$x$$ and $y$", []string{"x" + midst, "y"}},
		{"- $$\n  x\n$$", []string{"$$x !this $$ is never closed"}},
	}
	for _, tt := range tests {
		if got := formulas(tt.source); !reflect.DeepEqual(got, tt.want) {
			t.Errorf("%q\n got %q\nwant %q", tt.source, got, tt.want)
		}
	}
}

// A mistake keeps its place in the file, whatever the file puts before lines.
func TestOffset(t *testing.T) {
	for _, source := range []string{
		`Grip $\nu + \grip$ is`,
		"> so $a +\n> \\grip$ is",
		"- $$\n  a \\grip\n  $$",
		"1. x\n\n   > $$a\n   > + \\grip$$",
		"# $a \\grip$",
		"| a |\n|---|\n| $\\grip$ |",
		"ä $ä\\grip$",
	} {
		root := markdown(Extension).Parser().Parse(text.NewReader([]byte(source)))
		count := 0
		_ = ast.Walk(root, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
			f := sourceOf(n)
			if f == nil || !entering {
				return ast.WalkContinue, nil
			}
			for _, e := range f.Mistakes {
				count++
				start := f.Offset(e.Offset)
				if got := source[start : start+e.Length]; got != `\grip` {
					t.Errorf("%q: the mistake is said to be at %q", source, got)
				}
			}
			return ast.WalkContinue, nil
		})
		if count != 1 {
			t.Errorf("%q: %d mistakes, want 1", source, count)
		}
	}
}

func sourceOf(n ast.Node) *Source {
	switch n := n.(type) {
	case *Inline:
		return &n.Source
	case *Block:
		return &n.Source
	}
	return nil
}

func TestRendered(t *testing.T) {
	const x = `<math xmlns="http://www.w3.org/1998/Math/MathML"><semantics><mi>x</mi><annotation encoding="application/x-tex">x</annotation></semantics></math>`
	block := strings.Replace(x, `MathML">`, `MathML" display="block">`, 1)
	for source, want := range map[string]string{
		"an $x$":        "<p>an " + x + "</p>\n",
		"$$x$$":         `<div class="formula-block">` + block + "</div>\n",
		`$a<\foo$`:      `<p><code class="formula-fault">a&lt;\foo</code></p>` + "\n",
		"$$\n\\foo\n$$": `<div class="formula-block"><code class="formula-fault">\foo</code></div>` + "\n",
		`so $$x$$ is`:   `<p>so <code class="formula-fault">x</code> is</p>` + "\n",
	} {
		if got := render(t, markdown(Extension), source); got != want {
			t.Errorf("%q\n got %s\nwant %s", source, got, want)
		}
	}
}

// plainTexts have no formula by the rules, though some have dollars.
var plainTexts = []string{
	"# Stopping\n\nFrom 60 km/h, *brake* and **stop**.\n\n- one\n- two\n  - three\n\n1. a\n2. b\n",
	"Tickets are $5 and $6, 7 $ at the gate; \\$8 9.\n\nUS$ 10, $11–$12.",
	"`$a$` and ``$b` $`` and <https://example.org/?a=$b&c=$> and [x](https://example.org/$y$ \"$z\")",
	"```sh\necho $HOME $$\n```\n\n    $$\n    x\n    $$\n",
	"<div>\n$$\nx\n$$\n</div>\n\nan <b title=\"$ x $\">x</b>",
	"| a | b |\n|---|--:|\n| $5 | $6 |\n\n- [x] $5\n- [ ] $6\n\nnote[^1]\n\n[^1]: of $5",
	"> $$ means dear\n> and $$$ dearer\n\n***\n\nTitle $\n=======\n\n$ \n$$ \n$$$\n",
	"[$5]: /five\n\n[$5] ![$6 $](x.png) a\\\nb  \nc &dollar; &#36;x&#36;",
	"$5 `$` $6 `` ` `` $7",
	"\t$$\n\tx\n\t$$\n\n* * *\n\n+ $ a\n\n\n+ b $\n",
	"", "$", "$$", "$\n", "\\$", "$$\n\n$$\n", "x $", "$ x",
}

func TestLeavesTextAlone(t *testing.T) {
	for _, source := range plainTexts {
		if got, want := render(t, markdown(Extension), source), render(t, markdown(), source); got != want {
			t.Errorf("%q\n got %s\nwant %s", source, got, want)
		}
	}
}

// The examples of the CommonMark specification (https://spec.commonmark.org), as goldmark carries them, render with the
// extension as they do without.
func TestCommonMark(t *testing.T) {
	var examples []struct {
		Markdown string
		Example  int
	}
	pc := reflect.ValueOf(goldmark.New).Pointer()
	file, _ := runtime.FuncForPC(pc).FileLine(pc)
	data, err := os.ReadFile(filepath.Join(filepath.Dir(file), "_test", "spec.json"))
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(data, &examples); err != nil || len(examples) < 600 {
		t.Fatalf("%d examples, %v", len(examples), err)
	}
	for _, e := range examples {
		if got, want := render(t, markdown(Extension), e.Markdown), render(t, markdown(), e.Markdown); got != want {
			t.Errorf("example %d: %q\n got %s\nwant %s", e.Example, e.Markdown, got, want)
		}
	}
}

// FuzzMarkdown asks of any text: no panic, formulas within it, and without a formula the same HTML as without the
// extension.
func FuzzMarkdown(f *testing.F) {
	for _, s := range plainTexts {
		f.Add(s)
	}
	f.Add("> $$a\n> $b$ `c$\n\n$$\n\t$$ $d\n e$5$")
	f.Fuzz(func(t *testing.T, source string) {
		root := markdown(Extension).Parser().Parse(text.NewReader([]byte(source)))
		found := false
		_ = ast.Walk(root, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
			if s := sourceOf(n); s != nil && entering {
				found = true
				for i := 0; i <= len(s.TeX); i++ {
					at := s.Offset(i)
					if at < 0 || at > len(source) || i < len(s.TeX) && source[at] != s.TeX[i] {
						t.Fatalf("byte %d of %q is not at %d of %q", i, s.TeX, at, source)
					}
				}
			}
			return ast.WalkContinue, nil
		})
		got := render(t, markdown(Extension), source)
		if want := render(t, markdown(), source); !found && got != want {
			t.Fatalf("%q\n got %s\nwant %s", source, got, want)
		}
	})
}

// BenchmarkPrices reads a paragraph of dollars that begin no formula; the time a byte stays the same from one length to
// the next.
func BenchmarkPrices(b *testing.B) {
	for _, n := range []int{1000, 10000} {
		source := []byte(strings.Repeat("$a `b ", n))
		p := markdown(Extension).Parser()
		b.Run(map[int]string{1000: "thousand", 10000: "ten thousand"}[n], func(b *testing.B) {
			b.SetBytes(int64(len(source)))
			for b.Loop() {
				p.Parse(text.NewReader(source))
			}
		})
	}
}
