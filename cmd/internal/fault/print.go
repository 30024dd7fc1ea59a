package fault

import (
	"bufio"
	"fmt"
	"io"
	"os"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/rivo/uniseg"
	"golang.org/x/term"
)

// How a terminal is told about weight and colour (ECMA-48, SGR).
const (
	bold  = "\x1b[1m"
	red   = "\x1b[1;31m"
	green = "\x1b[32m"
	reset = "\x1b[m"
)

// Coloured reports whether colours may be written to f: it is a terminal that knows them and the reader has not asked
// for none (https://no-color.org).
func Coloured(f *os.File) bool {
	return os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb" && term.IsTerminal(int(f.Fd()))
}

// Print writes every fault with its excerpt, hint and notes.
func (l List) Print(w io.Writer, colour bool) error {
	b := bufio.NewWriter(w)
	for _, f := range l {
		f.print(b, colour)
	}
	return b.Flush()
}

func (f Fault) print(b *bufio.Writer, colour bool) {
	paint := func(style, s string) string {
		if !colour || s == "" {
			return s
		}
		return style + s + reset
	}
	place := visible(located(f.File, f.Line, f.Column, ""))
	fmt.Fprintf(b, "%s%s\n", paint(bold, place), indent(f.Text, "  "))
	if f.Line > 0 && f.Column > 0 {
		line, pad, under := f.underlined()
		if line != "" {
			fmt.Fprintf(b, "    %s\n    %s%s\n", line, pad, paint(red, under))
		}
	}
	if f.Hint != "" {
		fmt.Fprintf(b, "  %s\n", paint(green, indent(f.Hint, "  ")))
	}
	for _, n := range f.Notes {
		fmt.Fprintf(b, "  %s\n", indent(n.String(), "    "))
	}
}

// indent makes text visible and puts prefix before all of its lines but the first.
func indent(text, prefix string) string {
	lines := strings.Split(strings.TrimRight(text, "\n"), "\n")
	for i := range lines {
		lines[i] = visible(lines[i])
	}
	return strings.Join(lines, "\n"+prefix)
}

const (
	tabWidth  = 4
	lineWidth = 96 // columns of an excerpt
	before    = 32 // columns kept before the span of an excerpt that is cut
)

// A cell is what is printed for one character as a reader sees it (a grapheme cluster, Unicode Standard Annex 29).
type cell struct {
	text  string
	width int
	bad   bool // within the span of the fault
}

// underlined returns the excerpt as it is printed, the space before its span, and the carets under the span.
func (f Fault) underlined() (line, pad, under string) {
	cells := cut(f.cells())
	var text strings.Builder
	before, width, seen := 0, 0, false
	for _, c := range cells {
		text.WriteString(c.text)
		switch {
		case c.bad:
			width, seen = width+c.width, true
		case !seen:
			before += c.width
		}
	}
	line = strings.TrimRight(text.String(), " ")
	return line, strings.Repeat(" ", before), strings.Repeat("^", max(width, 1))
}

// cells splits the excerpt into cells and ends it with an empty one, which is at fault if the place of the fault is the
// end of the line.
func (f Fault) cells() []cell {
	first := f.Column - 1
	last := first + max(f.Length, 1) // the character after the span
	var cells []cell
	rest, state, char, column := f.Excerpt, -1, 0, 0
	for rest != "" {
		var text string
		var width int
		text, rest, width, state = uniseg.FirstGraphemeClusterInString(rest, state)
		next := char + utf8.RuneCountInString(text)
		shown := visible(text)
		switch {
		case text == "\t":
			width = tabWidth - column%tabWidth
			shown = strings.Repeat(" ", width)
		case shown != text:
			width = uniseg.StringWidth(shown)
		}
		cells = append(cells, cell{shown, width, char < last && next > first})
		char, column = next, column+width
	}
	return append(cells, cell{bad: first >= char})
}

// cut shortens a line that is too long to the part around its span.
func cut(cells []cell) []cell {
	if width(cells) <= lineWidth {
		return cells
	}
	span := 0
	for !cells[span].bad && span < len(cells)-1 {
		span++
	}
	from := span
	for kept := 0; from > 0 && kept+cells[from-1].width <= before; from-- {
		kept += cells[from-1].width
	}
	to := from
	for kept := 0; to < len(cells) && kept+cells[to].width <= lineWidth; to++ {
		kept += cells[to].width
	}
	for kept := width(cells[from:to]); from > 0 && kept+cells[from-1].width <= lineWidth; from-- {
		kept += cells[from-1].width
	}
	part := cells[from:to:to]
	if to < len(cells) {
		part = append(part, cell{text: "…", width: 1})
	}
	if from > 0 {
		part = append([]cell{{text: "…", width: 1}}, part...)
	}
	return part
}

func width(cells []cell) (n int) {
	for _, c := range cells {
		n += c.width
	}
	return n
}

// visible returns s with the characters that a terminal would obey, or that would show the text in another order than
// it is in, made visible. Tabs stay.
func visible(s string) string {
	if strings.IndexFunc(s, hidden) < 0 && utf8.ValidString(s) {
		return s
	}
	var b strings.Builder
	for i, r := range s {
		switch {
		case r == utf8.RuneError && !strings.HasPrefix(s[i:], string(utf8.RuneError)):
			fmt.Fprintf(&b, "<%02X>", s[i])
		case !hidden(r):
			b.WriteRune(r)
		case r < 0x20:
			b.WriteRune('␀' + r) // control pictures
		case r == 0x7F:
			b.WriteRune('␡')
		default:
			fmt.Fprintf(&b, "<U+%04X>", r)
		}
	}
	return b.String()
}

// hidden reports whether r has no shape of its own: a control or a format character. The joiners are spared, since
// scripts and emoji need them.
func hidden(r rune) bool {
	const nonJoiner, joiner = '\u200c', '\u200d'
	if r == '\t' || r == nonJoiner || r == joiner {
		return false
	}
	return unicode.In(r, unicode.Cc, unicode.Cf, unicode.Zl, unicode.Zp)
}
