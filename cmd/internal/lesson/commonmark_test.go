package lesson

import (
	"bytes"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/util"

	"example.org/gripleaf/cmd/internal/fault"
)

// plainPieces writes links and pictures as goldmark does; the specification has no other pieces.
type plainPieces struct{ silent }

func (plainPieces) Piece(w util.BufWriter, n ast.Node, entering bool) error {
	text := ""
	switch n := n.(type) {
	case *Image:
		text = `<img src="` + escaped(n.Destination) + `" alt="` + string(util.EscapeHTML([]byte(n.Alt))) + `"` + title(n.Title) + ` />`
	case *Link:
		text = "</a>"
		if entering {
			text = `<a href="` + escaped(n.Destination) + `"` + title(n.Title) + `>`
		}
	}
	_, err := w.WriteString(text)
	return err
}

func escaped(address string) string {
	return string(util.EscapeHTML(util.URLEscape([]byte(address), false)))
}

func title(text string) string {
	if text == "" {
		return ""
	}
	return ` title="` + string(util.EscapeHTML([]byte(text))) + `"`
}

// straight takes back what lessons add to CommonMark: ids of headings, and typographic quotes, dashes and dots. No example has
// those signs itself where it matters.
var straight = strings.NewReplacer("“", "&quot;", "”", "&quot;", "‘", "'", "’", "'", "–", "--", "—", "---", "…", "...")

var headingID = regexp.MustCompile(`<(h[1-6]) id="[^"]*">`)

// Every example of the CommonMark specification 0.31.2, as goldmark's module carries it, renders as the specification
// says.
func TestCommonMark(t *testing.T) {
	r := NewReader(english, false)
	w := NewRenderer(plainPieces{}, false)
	for _, example := range specification(t) {
		l, _ := r.Read(&fault.Source{File: "example.md", Text: []byte("---\ntitle: An example\n---\n" + example.Markdown)})
		var got bytes.Buffer
		if err := w.Render(&got, l); err != nil {
			t.Fatal(err)
		}
		is := normal(headingID.ReplaceAllString(straight.Replace(got.String()), "<$1>"))
		if diff := cmp.Diff(normal(example.HTML), is); diff != "" {
			t.Errorf("example %d, %s: %q\n%s", example.Example, example.Section, example.Markdown, diff)
		}
	}
}

// normal leaves out the differences between XHTML and HTML in void elements, and between &quot; and ".
func normal(html string) string {
	html = strings.ReplaceAll(html, " />", ">")
	return strings.ReplaceAll(html, "&quot;", `"`)
}

type specExample struct {
	Example                 int
	Markdown, HTML, Section string
}

func specification(t *testing.T) []specExample {
	dir, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", "github.com/yuin/goldmark").Output()
	if err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile(filepath.Join(strings.TrimSpace(string(dir)), "_test", "spec.json"))
	if err != nil {
		t.Fatal(err)
	}
	var examples []specExample
	if err := json.Unmarshal(text, &examples); err != nil {
		t.Fatal(err)
	}
	if len(examples) < 600 {
		t.Fatalf("only %d examples", len(examples))
	}
	return examples
}
