//go:build unix

package lesson_test

import (
	"bytes"
	"runtime"
	"strings"
	"testing"
	"time"

	"example.org/gripleaf/cmd/internal/lesson"
)

// cost reads and renders a text. It gives the processor time, the bytes that were allocated, and those of the page.
func cost(r *lesson.Reader, w *lesson.Renderer, text string) (took time.Duration, allocated, written int) {
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	start := used()
	l, _ := read(r, text)
	var page bytes.Buffer
	_ = w.Render(&page, l) // what is too large is a fault
	took = used() - start
	runtime.ReadMemStats(&after)
	return took, int(after.TotalAlloc - before.TotalAlloc), page.Len()
}

// costly are small texts that once took minutes or gigabytes.
var costly = map[string]string{
	"wide table":          strings.Repeat("|a", 4000) + "|\n" + strings.Repeat("|-", 4000) + "|\n" + strings.Repeat("|\n", 4000),
	"long definition":     "[a]: https://a.example/" + strings.Repeat("x", 15_000) + "\n\n" + strings.Repeat(strings.Repeat("[a] ", 360)+"\n", 100),
	"stars in lines":      strings.Repeat(strings.Repeat("*a **b ", 2500)+"\n", 100),
	"strikes in lines":    strings.Repeat(strings.Repeat("~a ~~b ", 2500)+"\n", 100),
	"numbered stars":      "a\n" + strings.Repeat("2. "+strings.Repeat("*a **b ", 2000)+"\n", 100),
	"one footnote":        strings.Repeat(strings.Repeat("[^1] ", 1800)+"\n", 100) + "\n[^1]: a\n",
	"underscores":         strings.Repeat(strings.Repeat("_a ", 5000)+"\n", 100),
	"brackets in lines":   strings.Repeat(strings.Repeat("[", 10_000)+"\n", 50),
	"images of one place": "[a]: b \"" + strings.Repeat("x", 15_000) + "\"\n\n" + strings.Repeat(strings.Repeat("![c][a] ", 900)+"\n", 40),
}

// A small text ends within a second of processor time and 300 MB, whatever it says, or is a fault.
func TestCost(t *testing.T) {
	r, w := newReader(t), lesson.NewRenderer(lesson.Silent, true)
	for name, text := range costly {
		took, allocated, written := cost(r, w, text)
		if took > time.Second || allocated > 300_000_000 || written > 20_000_000 {
			t.Errorf("%s: %d bytes took %v, %d MB, and became %d bytes", name, len(text), took, allocated/1_000_000, written)
		}
	}
}

// FuzzCost repeats a text, as who wants to hurt would, and measures time and output by the bytes of the whole.
func FuzzCost(f *testing.F) {
	for _, make := range hostile {
		if text := make(16); len(text) < 200 {
			f.Add(text, "\n", uint16(500))
		}
	}
	for _, text := range []string{"|a|b|\n|-|-|\n|\n", "[a]: b\n\n[a]", "*a **b", "[^1]\n\n[^1]: a\n", "[](calc:stop#x)", "<b>", "&amp;", "$a$"} {
		f.Add(text, " ", uint16(2000))
	}
	r, w := newReader(f), lesson.NewRenderer(lesson.Silent, true)
	f.Fuzz(func(t *testing.T, text, between string, n uint16) {
		whole := strings.Repeat(text+between, int(n))
		if len(whole) > 200_000 {
			whole = whole[:200_000]
		}
		took, allocated, written := cost(r, w, whole)
		if limit := time.Second + time.Duration(len(whole))*20*time.Microsecond; took > limit {
			t.Errorf("%d bytes of %q took %v", len(whole), text, took)
		}
		if allocated > 300_000_000 || written > 1_000_000+200*len(whole) {
			t.Errorf("%d bytes of %q took %d MB and became %d bytes", len(whole), text, allocated/1_000_000, written)
		}
	})
}
