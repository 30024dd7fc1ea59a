package lesson_test

import (
	"bytes"
	"testing"

	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/util"

	"example.org/gripleaf/cmd/internal/lesson"
)

// silent writes no pieces: the lessons of these tests have none.
type silent struct{ lesson.Pieces }

func (silent) Piece(util.BufWriter, ast.Node, bool) error    { return nil }
func (silent) Table(util.BufWriter, bool) error              { return nil }
func (silent) Heading(util.BufWriter, *lesson.Heading) error { return nil }

func (silent) Text(w util.BufWriter, _ *ast.Text, html string) error {
	_, err := w.WriteString(html)
	return err
}

// rendered is a lesson of several hands as HTML.
func rendered(t testing.TB, text string) string {
	t.Helper()
	l, _ := read(newReader(t), text)
	var b bytes.Buffer
	if err := lesson.NewRenderer(silent{}, true).Render(&b, l); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestRawHTMLOfSeveralHands(t *testing.T) {
	for text, want := range map[string]string{
		"a <b>bold</b> word":              "<p>a <b>bold</b> word</p>\n",
		"H<sub>2</sub>O<br>x":             "<p>H<sub>2</sub>O<br>x</p>\n",
		"<abbr title=\"anti\">ABS</abbr>": "<p><abbr title=\"anti\">ABS</abbr></p>\n",
		"a <b onclick=\"x()\" id=\"y\" class=\"z\" style=\"color:red\">b</b>": "<p>a <b>b</b></p>\n",
		"a <script>alert(1)</script> b":                                       "<p>a alert(1) b</p>\n",
		"<script>alert(1)</script>":                                           "",
		"<script>\n\nalert(1)\n\n</script>\n":                                 "",
		"<style>*{display:none}</style>":                                      "",
		"<iframe src=\"https://a.example\">":                                  "",
		"a <img src=x onerror=alert(1)> b":                                    "<p>a  b</p>\n",
		"a <!-- b --> c":                                                      "<p>a  c</p>\n",
		"<div>a <i>b</i></div>":                                               "<p>a <i>b</i></p>\n",
		"<div><i>a</div>":                                                     "<p>a</p>\n",
		"a <b>not closed":                                                     "<p>a not closed</p>\n",
		"a</b></main></div> b":                                                "<p>a b</p>\n",
		"<b>a <i>b</b> c</i>":                                                 "<p>a <i>b c</i></p>\n",
		"*<b>a*</b>":                                                          "<p><em><b>a</em></b></p>\n",
		"<b>one\n\ntwo</b>":                                                   "<p>one</p>\n<p>two</p>\n",
		"> <s>a\n\nb":                                                         "<blockquote>\n<p>a</p>\n</blockquote>\n<p>b</p>\n",
		"<details>\n\na\n\n</details>":                                        "<p>a</p>\n",
		"<svg><script>alert(1)</script></svg>":                                "<p>alert(1)</p>\n",
		"a <a href=\"javascript:x()\">b</a>":                                  "<p>a b</p>\n",
	} {
		if got := rendered(t, text); got != want {
			t.Errorf("%q\n got %q\nwant %q", text, got, want)
		}
	}
}

// Addresses that are programs are faults whoever wrote the lesson, however they are spelt; those that lead nowhere are
// where there are several hands.
func TestSchemes(t *testing.T) {
	reader := newReader(t)
	for _, text := range []string{
		"[a](javascript:alert(1))", "[a](JaVaScRiPt:alert(1))", "[a](java&#115;cript:alert(1))", "[a](java&Tab;script:alert(1))",
		"[a](&#1;javascript:alert(1))", "[a](<  javascript:alert(1)>)", "[a]\n\n[a]: javascript:alert(1)", "<javascript:alert(1)>", "<data:text/html,x>",
		"[a](vbscript:x)", "[a](data:text/html;base64,PHNjcmlwdD4=)", "[a](file:///etc/passwd)", "[a](intent:x)", "<steam:x>",
		"![a](javascript:x)", "![a](data:image/svg+xml,x)", "![a](https://a.example/x.png)", "![a](//a.example/x.png)",
	} {
		if _, faults := read(reader, text); len(faults) != 1 || faults[0].Code != "wrong-address" && faults[0].Code != "outside-picture" {
			t.Errorf("%s: %v", text, faults)
		}
	}
	for _, text := range []string{"[a](https://a.example/)", "<https://a.example/>", "<a@a.example>", "[a](mailto:a@a.example)", "[a](tel:+1)", "[a](#b)", "[a](c/d:e)", "[a](//a.example/)"} {
		if _, faults := read(reader, text); len(faults) > 0 {
			t.Errorf("%s: %v", text, faults)
		}
	}
}
