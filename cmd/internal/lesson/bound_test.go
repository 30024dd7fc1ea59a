//go:build unix

package lesson_test

import (
	"fmt"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"

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
	"attributes":       func(n int) string { return strings.Repeat("# [a](moment:0:01#b)\n\n", n/4) },
	"rules":            func(n int) string { return strings.Repeat("---\n\n", n) },
	"footnotes":        func(n int) string { return strings.Repeat("[^1] ", n/4) + "\n\n[^1]: a\n" },
	"many footnotes":   func(n int) string { return footnotes(n / 8) },
	"wide table":       func(n int) string { return "|" + strings.Repeat("a|", n/4) + "\n|" + strings.Repeat("-|", n/4) + "\n" },
	"filled table": func(n int) string {
		return "|" + strings.Repeat("a|", 40) + "\n|" + strings.Repeat("-|", 40) + "\n" + strings.Repeat("|a|\n", n)
	},
	"long table": func(n int) string { return "|a|b|\n|-|-|\n" + strings.Repeat("|a|b|\n", n/2) },
	"fences":     func(n int) string { return fences("caution", n/64) },
	"questions":  func(n int) string { return fences("question", n/64) },
	"paragraph":  func(n int) string { return strings.Repeat("a\n", n) },
	"spaces":     func(n int) string { return strings.Repeat(" ", n) + "a" },
	"tabs":       func(n int) string { return strings.Repeat("\t", n) + "a" },
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

// size makes a text of at least so many bytes.
func size(make func(n int) string, bytes int) string {
	n := 16
	for len(make(n)) < bytes {
		n = n * 5 / 4
	}
	return make(n)
}

func newReader(t testing.TB) *lesson.Reader {
	t.Helper()
	words, err := locale.New("en", nil)
	if err != nil {
		t.Fatal(err)
	}
	return lesson.NewReader(words, true)
}

func read(r *lesson.Reader, text string) (*lesson.Lesson, fault.List) {
	return r.Read(&fault.Source{File: "a.md", Text: []byte("---\ntitle: a\n---\n\n" + text)})
}

// spent is the processor time that a function takes, without what other programs take. It is called as often as the
// clock needs to tell: processor time is counted in ticks of milliseconds.
func spent(f func()) time.Duration {
	runtime.GC()
	for n := 1; ; n *= 2 {
		before := used()
		for range n {
			f()
		}
		if took := used() - before; took >= 40*time.Millisecond {
			return took / time.Duration(n)
		}
	}
}

// used is the processor time that this program has used.
func used() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		panic(err)
	}
	return time.Duration(u.Utime.Nano())
}

// Whatever the text, a lesson cannot hold up a build: 16 times the text takes nowhere near 256 times as long, as it
// would if the time grew with the square. Texts out of bounds take no time at all.
func TestTimeGrowsWithTheText(t *testing.T) {
	reader := newReader(t)
	for name, make := range hostile {
		t.Run(name, func(t *testing.T) {
			short, long := size(make, 16_000), size(make, 256_000)
			a := spent(func() { read(reader, short) })
			b := spent(func() { read(reader, long) })
			if ratio, times := float64(b)/float64(a), float64(len(long))/float64(len(short)); ratio > 5*times {
				t.Errorf("%.0f times the text took %.0f times as long: %v, %v", times, ratio, a, b)
			}
		})
	}
}

// Texts that ask too much are answered by a fault at the place that asks, and not read.
func TestBounds(t *testing.T) {
	reader := newReader(t)
	for _, test := range []struct{ name, text, code, place string }{
		{"line", "a\n\n" + strings.Repeat("a ", 20_000), "long-line", "a.md:7:1"},
		{"links", strings.Repeat("[a](b)", 1_001), "many-links", "a.md:5:1"},
		{"half links", strings.Repeat("[a](", 4_000), "many-links", "a.md:5:1"},
		{"million links", strings.Repeat("[a](b) ", 1_000_000), "many-links", "a.md:5:1"},
		{"quotes", "a\n\n" + strings.Repeat("> ", 101) + "a", "nested", "a.md:7:1"},
		{"lists", strings.Repeat("- ", 101) + "a", "nested", "a.md:5:1"},
		{"numbered", strings.Repeat("1. ", 101) + "a", "nested", "a.md:5:1"},
		{"staircase", staircase(500), "nested", "a.md"},
		{"emphasis", strings.Repeat("*", 3_000) + "a" + strings.Repeat("*", 3_000), "nested", "a.md:5:"},
		{"images", strings.Repeat("![", 900) + "a" + strings.Repeat("](b)", 900), "nested", "a.md:5:"},
		{"footnotes", footnotes(2_001), "many-notes", "a.md:8007:1"},
		{"references to footnotes", strings.Repeat(strings.Repeat("[^1] ", 1000)+"\n", 11) + "\n[^1]: a\n", "many-notes", "a.md:15:1"},
		{"bare rows", strings.Repeat("|a", 4_000) + "|\n" + strings.Repeat("|-", 4_000) + "|\n" + strings.Repeat("|\n", 100), "many-cells", "a.md:32:1"},
		{"marks", strings.Repeat(strings.Repeat("*a **b ", 500)+"\n", 10), "many-marks", "a.md:10:1"},
		{"copies", "[a]: b " + "\"" + strings.Repeat("x", 10_000) + "\"\n\n" + strings.Repeat("[a]\n", 200), "much-copied", "a.md:106:1"},
		{"cells", strings.Repeat("|a", 2_000) + "|\n" + strings.Repeat("|-", 2_000) + "|\n" + strings.Repeat("|a|\n", 1_000), "many-cells", "a.md:57:1"},
	} {
		t.Run(test.name, func(t *testing.T) {
			l, faults := read(reader, test.text)
			for _, f := range faults {
				if f.Code == test.code && strings.HasPrefix(f.Error(), test.place) {
					if l.Body.HasChildren() {
						t.Error("its tree is kept")
					}
					return
				}
			}
			t.Errorf("%d faults, none %s at %s: %.300v", len(faults), test.code, test.place, faults)
		})
	}
	for name, text := range map[string]string{
		"line of a paragraph": strings.Repeat("word ", 3_000), "rule": strings.Repeat("-", 300), "spaced rule": strings.Repeat("* ", 40),
		"deep list": staircase(20), "list of words": strings.Repeat("- *a* **b** _c_\n", 2000), "rows of words": "|a|\n|-|\n" + strings.Repeat("|*a* **b**|\n", 2000), "quotes": strings.Repeat("> ", 20) + "a", "links": strings.Repeat("[a](https://a.example/) ", 500),
	} {
		if _, faults := read(reader, text); len(faults) > 0 {
			t.Errorf("%s: %.300v", name, faults)
		}
	}
}

// Explorers are large as HTML: they are counted before any is rendered, and the first that is too many is told of.
func TestExplorersAreCounted(t *testing.T) {
	explorers := func(n int) string { return strings.Repeat("![a](calc:stop)\n\n![b](calc:slip#curve)\n\n", n/2) }
	if _, faults := read(newReader(t), explorers(200)); len(faults) > 0 {
		t.Errorf("200: %.300v", faults)
	}
	l, faults := read(newReader(t), explorers(20_000))
	if len(faults) != 1 || faults[0].Code != "many-explorers" || faults[0].Line != 405 || len(l.Explorers)+len(l.Figures) != 200 {
		t.Errorf("20,000: %d of them, %.300v", len(l.Explorers)+len(l.Figures), faults)
	}
}
