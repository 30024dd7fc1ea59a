package lesson_test

import (
	"fmt"
	"io"
	"strings"
	"syscall"
	"testing"
	"time"

	"golang.org/x/text/language"

	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/lesson"
	"example.org/gripleaf/cmd/internal/locale"
)

// hostile are texts of any size that make readers of Markdown slow: every one is a pattern whose cost can grow with the
// square of its length.
var hostile = map[string]func(n int) string{
	"links":            func(n int) string { return strings.Repeat("[a](b) ", n) },
	"links of courses": func(n int) string { return strings.Repeat("[a](b.md#c) ", n) },
	"numbers":          func(n int) string { return strings.Repeat("[1 m](calc:stop?speed=60km/h#braking-distance) ", n/4) },
	"explorers":        func(n int) string { return strings.Repeat("![a](calc:stop?speed=60km/h)\n\n", n/4) },
	"terms":            func(n int) string { return strings.Repeat("[a](term:b) [c](source:d) ", n/4) },
	"addresses":        func(n int) string { return strings.Repeat("http://a.b ", n) },
	"colons":           func(n int) string { return strings.Repeat("a: b\n", n) },
	"definitions":      func(n int) string { return strings.Repeat("a\n: b\n\n", n/2) },
	"open brackets":    func(n int) string { return strings.Repeat("[", n) },
	"nested links":     func(n int) string { return strings.Repeat("[", n) + "a" + strings.Repeat("](b)", n) },
	"nested images":    func(n int) string { return strings.Repeat("![", n) + "a" + strings.Repeat("](b)", n) },
	"closed brackets":  func(n int) string { return strings.Repeat("[a]", n) },
	"half links":       func(n int) string { return strings.Repeat("[a](", n) },
	"references":       func(n int) string { return definitions(n/4) + strings.Repeat("[1][2]", n) },
	"stars":            func(n int) string { return strings.Repeat("*a **a ", n) },
	"open stars":       func(n int) string { return strings.Repeat("a**b", n) + strings.Repeat("c* ", n) },
	"one run of stars": func(n int) string { return strings.Repeat("*", n) + "a" + strings.Repeat("*", n) },
	"underscores":      func(n int) string { return strings.Repeat("_a ", n) + strings.Repeat("b_ ", n) },
	"strikes":          func(n int) string { return strings.Repeat("~~a ~", n) },
	"quotes":           func(n int) string { return strings.Repeat(`"a' `, n) },
	"backticks":        func(n int) string { return runs("`", n) },
	"dollars":          func(n int) string { return strings.Repeat("$a ", n) },
	"dollar ticks":     func(n int) string { return strings.Repeat("$` ", n) },
	"formulas":         func(n int) string { return strings.Repeat("$v^2$ ", n/4) },
	"nested formula":   func(n int) string { return "$" + strings.Repeat("{", n) + strings.Repeat("}", n) + "$" },
	"tags":             func(n int) string { return strings.Repeat("<a ", n) },
	"comments":         func(n int) string { return strings.Repeat("a <!-- ", n) },
	"instructions":     func(n int) string { return strings.Repeat("a <? ", n) },
	"data sections":    func(n int) string { return strings.Repeat("a <![CDATA[ ", n) },
	"entities":         func(n int) string { return strings.Repeat("&amp", n) },
	"backslashes":      func(n int) string { return strings.Repeat("\\", n) + "[a](b)" },
	"quoted blocks":    func(n int) string { return strings.Repeat(">", n/16) + "a" },
	"alternate quotes": func(n int) string { return strings.Repeat("> a\nb\n", n) },
	"deep lists":       func(n int) string { return staircase(n / 128) },
	"lists":            func(n int) string { return strings.Repeat("- a\n\n", n) },
	"check boxes":      func(n int) string { return strings.Repeat("- [ ] a\n", n) },
	"headings":         func(n int) string { return strings.Repeat("# a\n\n", n/2) },
	"attributes":       func(n int) string { return strings.Repeat("# a {#b at=\"0:01\"}\n\n", n/4) },
	"rules":            func(n int) string { return strings.Repeat("---\n\n", n) },
	"footnotes":        func(n int) string { return strings.Repeat("[^1] ", n/4) + "\n\n[^1]: a\n" },
	"many footnotes":   func(n int) string { return footnotes(n / 8) },
	"wide table":       func(n int) string { return "|" + strings.Repeat("a|", n/4) + "\n|" + strings.Repeat("-|", n/4) + "\n" },
	"long table":       func(n int) string { return "|a|b|\n|-|-|\n" + strings.Repeat("|a|b|\n", n/2) },
	"fences":           func(n int) string { return fences("caution", n/64) },
	"questions":        func(n int) string { return fences("question", n/64) },
	"paragraph":        func(n int) string { return strings.Repeat("a\n", n) },
	"spaces":           func(n int) string { return strings.Repeat(" ", n) + "a" },
	"tabs":             func(n int) string { return strings.Repeat("\t", n) + "a" },
}

func definitions(n int) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, "[%d]: a\n", i)
	}
	return b.String() + "\n"
}

func footnotes(n int) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, "a[^%d]\n\n[^%d]: b\n\n", i, i)
	}
	return b.String()
}

// runs are runs of one mark, each one longer, together about n marks.
func runs(mark string, n int) string {
	var b strings.Builder
	for i := 1; b.Len() < n; i++ {
		b.WriteString(strings.Repeat(mark, i) + " ")
	}
	return b.String()
}

func staircase(n int) string {
	var b strings.Builder
	for i := range n {
		b.WriteString(strings.Repeat("  ", i) + "- a\n")
	}
	return b.String()
}

func fences(name string, n int) string {
	var b strings.Builder
	for i := range n {
		b.WriteString(strings.Repeat("`", n-i+3) + " " + name + "\n")
	}
	return b.String()
}

// spent is the processor time that this program has taken. Unlike a clock it does not count what others take.
func spent() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		panic(err)
	}
	return time.Duration(u.Utime.Nano())
}

func TestTimeGrowsWithTheText(t *testing.T) {
	words, err := locale.New("en", nil)
	if err != nil {
		t.Fatal(err)
	}
	_ = language.English
	reader := lesson.NewReader(words, true)
	read := func(text string) time.Duration {
		before := spent()
		reader.Read(&fault.Source{File: "a.md", Text: []byte("---\ntitle: a\n---\n\n" + text)})
		return spent() - before
	}
	_ = io.Discard
	for name, make := range hostile {
		t.Run(name, func(t *testing.T) {
			n := 100
			for len(make(n)) < 200_000 { n = n*5/4}
			m := n
			for len(make(m)) < 800_000 { m = m*5/4}
			A,B:=make(n),make(m)
			a, b := read(A), read(B)
			t.Logf("%v %v %.1f", a, b, float64(b)/float64(a)*float64(len(A))/float64(len(B))*4)
		})
	}
}
