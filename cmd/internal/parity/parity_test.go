package parity_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/andybalholm/brotli"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/calculators/standard"
	"example.org/gripleaf/calculators/standard/closed"
)

// budget is what a reader may have to load, in bytes: 500 KB.
const budget = 500_000

func TestSize(t *testing.T) {
	weigh(t, shipped)
	weigh(t, rides)
}

// The module for logs, as compressed as it is published.
func TestSizeOfLogs(t *testing.T) { weigh(t, logged) }

func weigh(t *testing.T, compile func() ([]byte, error)) {
	t.Helper()
	module, err := compile()
	if err != nil {
		t.Fatal(err)
	}
	var packed bytes.Buffer
	w := brotli.NewWriterOptions(&packed, brotli.WriterOptions{Quality: brotli.BestCompression, LGWin: 24})
	if _, err := w.Write(module); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	t.Logf("the module has %d bytes, %d in brotli, of %d", len(module), packed.Len(), budget)
	if packed.Len() > budget {
		t.Errorf("%d bytes in brotli are over the budget of %d", packed.Len(), budget)
	}
}

// readers are those that the answers are compared for.
var readers = map[string]string{
	"metric English":  "",
	"imperial German": "system=imperial\ndecimal=,\ngroup=.\n\nYou come to a stop after {}.\tSie stehen nach {}.\nDistance\tWeg\n",
	"metric Arabic":   "decimal=٫\ngroup=٬\nzero=٠\n\nDistance\tالمسافة\nSpeed\tالسرعة\nyes\tنعم\n",
}

// native answers as the module does.
func native(query string, r *quantity.Reader) string {
	set := closed.Set
	if ridden(query) {
		set = standard.Set
	}
	w, err := set.Work(query)
	if err != nil {
		return string(kit.AppendFaults(nil, err, r))
	}
	return string(kit.AppendAnswer(nil, w.Answer(r, nil)))
}

func TestSameAnswers(t *testing.T) {
	h := open(t)
	for name, text := range readers {
		r := kit.ParseReader(text)
		if got := h.ask("reader", text); got != "{}" {
			t.Fatalf("%s: the module replies %s", name, got)
		}
		asked := queries()
		if name != "metric English" {
			asked = standard.Set.IDs()[:5] // the numbers are the same for everybody; the words are not
		}
		for _, query := range asked {
			got, want := h.ask("work", query+"\n*"), native(query, &r)
			if got != want {
				compare(t, name+": "+query, got, want)
			}
		}
	}
}

// queries are states of every calculator: its default, each choice, drawn values, and what is refused.
func queries() []string {
	r := rand.New(rand.NewPCG(11, 4))
	list := []string{"nosuch?x=1", "stop?speed=9999km/h&grip=x", "stop?grip=0.1&grade=-20%", "wheel?fitted=abc", "cycle?channels=none", ""}
	for _, c := range standard.Set {
		base := c.ID
		switch c.ID { // a stop is ridden many times over
		case "rider":
			base += "?riders=10&speed=50km/h"
		case "cycle":
			base += "?rates=50"
		}
		list = append(list, base)
		if c.Long {
			continue
		}
		for _, in := range c.Inputs {
			for _, choice := range in.Choices {
				list = append(list, c.ID+"?"+in.Name+"="+choice.Value)
			}
		}
		for range 6 {
			list = append(list, drawn(c, r))
		}
	}
	return append(list, "squeeze?surface=wet-asphalt&rise=0.1s", "rider?riders=12&surface=wet-asphalt&skill=20%&seed=9",
		"antilock?patch=gravel&patch-start=10m&speed=100km/h", "antilock?lean=25deg&bike=sport&grade=-5%", "heat?stops=50&interval=20s")
}

// drawn is a state with a few inputs anywhere in their range.
func drawn(c *kit.Calculator, r *rand.Rand) string {
	var pairs []string
	for _, in := range c.Inputs {
		if in.IsWord() || in.Shown.Kind == quantity.Whole || r.IntN(3) > 0 {
			continue
		}
		u, _ := in.Shown.In(quantity.Metric)
		si := in.Min + (in.Max-in.Min)*(0.2+0.4*r.Float64())
		pairs = append(pairs, in.Name+"="+strconv.FormatFloat(u.From(si), 'g', 5, 64)+u.Symbol)
	}
	return c.ID + "?" + strings.Join(pairs, "&")
}

// compare lets two answers differ only in the last digits of raw numbers: every text, and so every printed digit and
// every figure, has to be the same.
func compare(t *testing.T, what, got, want string) {
	t.Helper()
	var a, b any
	if json.Unmarshal([]byte(got), &a) != nil || json.Unmarshal([]byte(want), &b) != nil {
		t.Errorf("%s: one is no JSON:\n%s\n%s", what, got, want)
		return
	}
	if where := differs("", a, b); where != "" {
		t.Errorf("%s: %s", what, where)
	}
}

func differs(path string, a, b any) string {
	switch b := b.(type) {
	case map[string]any:
		for k := range b {
			if where := differs(path+"."+k, a.(map[string]any)[k], b[k]); where != "" {
				return where
			}
		}
	case []any:
		list := a.([]any)
		if len(list) != len(b) {
			return fmt.Sprintf("%s: %d against %d", path, len(list), len(b))
		}
		for i := range b {
			if where := differs(fmt.Sprintf("%s[%d]", path, i), list[i], b[i]); where != "" {
				return where
			}
		}
	case float64:
		if v := a.(float64); math.Abs(v-b) > 1e-9*math.Max(math.Abs(b), 1e-6) {
			return fmt.Sprintf("%s: %v in WebAssembly, %v natively", path, v, b)
		}
	default:
		if a != b {
			return fmt.Sprintf("%s: %.300v in WebAssembly, %.300v natively", path, a, b)
		}
	}
	return ""
}

func TestProgressAndStop(t *testing.T) {
	h := open(t)
	var done []int32
	h.partial = func(d, total int32, reply []byte) bool {
		if total != 9 || !json.Valid(reply) {
			t.Errorf("%d of %d: %.100s", d, total, reply)
		}
		done = append(done, d)
		return d < 3
	}
	reply := h.ask("work", "cycle?surface=wet-asphalt\n*")
	var page struct{ Series []struct{ Rows [][]string } }
	if err := json.Unmarshal([]byte(reply), &page); err != nil || len(done) != 3 {
		t.Fatalf("%v after %v", err, done)
	}
	if len(page.Series) != 1 || len(page.Series[0].Rows) != 3 {
		t.Errorf("a stopped calculation shows what it has: %+v", page.Series)
	}
}

// A host that is wrong or hostile gets an answer, or a trap that it can catch, and the next right request works.
func TestWildHost(t *testing.T) {
	h := open(t)
	for _, n := range []uint64{0, 1, 1 << 20, 1<<20 + 1, 1<<31 - 1, 0xffffffff, 0x80000000} {
		h.call("room", n)
		for _, export := range []string{"work", "reader"} {
			for _, length := range []uint64{0, 1, 7, 1 << 20, 1<<20 + 1, 1<<31 - 1, 0xffffffff} {
				if reply := h.reply(h.call(export, length)); !json.Valid([]byte(reply)) {
					t.Errorf("room %d, %s %d: %.100q", n, export, length, reply)
				}
			}
		}
	}
	for _, request := range []string{"\xff\xfe", "stop\n\n\n\n", "\x00", "stop?speed=\xc3", strings.Repeat("a", 1<<20), "stop?" + strings.Repeat("&x=1", 5000), "stop\n" + strings.Repeat("road ", 1000)} {
		if reply := h.ask("work", request); !json.Valid([]byte(reply)) {
			t.Errorf("%.20q: %.100q", request, reply)
		}
	}
	want := native("stop", &quantity.Reader{})
	h.ask("reader", "")
	if got := h.ask("work", "stop\n*"); got != want {
		t.Errorf("afterwards the module answers %.100s", got)
	}
}

// What one request leaves behind does not change the next one's answer.
func TestNoMemoryOfRequests(t *testing.T) {
	h := open(t)
	first := h.ask("work", "antilock\n*")
	for _, other := range []string{"stop?speed=1km/h\nroad", "nosuch\n*", "antilock?bike=sport\n*", "rider?riders=10&speed=40km/h\n*"} {
		h.ask("work", other)
	}
	if again := h.ask("work", "antilock\n*"); again != first {
		t.Error("the same request is answered differently the second time")
	}
}

var benchmarked = []string{"stop", "antilock?speed=100km/h", "rider?riders=100&surface=wet-asphalt"}

// forget lets the module work out other states between two of the same: it keeps its last calculations.
func (h *host) forget(query string) {
	id, _, _ := strings.Cut(query, "?")
	for i := range 5 {
		h.ask("work", id+"?speed="+strconv.Itoa(11+i)+"km/h\n")
	}
}

func BenchmarkNative(b *testing.B) {
	for _, query := range benchmarked {
		b.Run(query, func(b *testing.B) {
			for b.Loop() {
				if _, err := standard.Set.Work(query); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkWebAssembly(b *testing.B) {
	h := open(b)
	for _, query := range benchmarked {
		b.Run(query, func(b *testing.B) {
			for b.Loop() {
				h.ask("work", query+"\n")
				b.StopTimer()
				h.forget(query)
				b.StartTimer()
			}
		})
	}
}

// BenchmarkRatio reports how much longer a calculation takes in WebAssembly than natively.
func BenchmarkRatio(b *testing.B) {
	h := open(b)
	for _, query := range benchmarked {
		b.Run(query, func(b *testing.B) {
			var there, here float64
			for b.Loop() {
				here += seconds(func() { _, _ = standard.Set.Work(query) })
				there += seconds(func() { h.ask("work", query+"\n") })
				h.forget(query)
			}
			b.ReportMetric(there/here, "wasm/native")
		})
	}
}

func seconds(do func()) float64 {
	start := time.Now()
	do()
	return time.Since(start).Seconds()
}
