package parity_test

import (
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/chromedp/chromedp"

	"example.org/gripleaf/cmd/internal/judge"
)

// bareHost starts the module with the least of a host that it needs, and asks it.
const bareHost = `<!doctype html><title>module</title><script>
const memory = () => new DataView(instance.exports.memory.buffer);
const none = (a, b) => { memory().setUint32(a, 0, true); memory().setUint32(b, 0, true); return 0; };
const wasi = new Proxy({
  args_sizes_get: none, environ_sizes_get: none, args_get: () => 0, environ_get: () => 0, sched_yield: () => 0,
  clock_time_get: (id, precision, at) => { memory().setBigUint64(at, BigInt(Math.round(performance.now() * 1e6)), true); return 0; },
  random_get: (at, n) => { crypto.getRandomValues(new Uint8Array(memory().buffer, at, n)); return 0; },
}, { get: (has, name) => has[name] ?? (() => 52), has: () => true });
let instance;
async function start() {
  const response = fetch("module.wasm");
  ({ instance } = await WebAssembly.instantiateStreaming(response, { wasi_snapshot_preview1: wasi, gripleaf: { partial: () => 1 } }));
  instance.exports._initialize();
}
function ask(request) {
  const bytes = new TextEncoder().encode(request), e = instance.exports;
  new Uint8Array(e.memory.buffer).set(bytes, e.room(bytes.length) >>> 0);
  const n = e.work(bytes.length);
  return new TextDecoder().decode(new Uint8Array(e.memory.buffer, e.address() >>> 0, n));
}
function time(request) {
  const begin = performance.now();
  ask(request);
  const took = performance.now() - begin;
  for (let i = 1; i < 6; i++) ask(request.split(/[?\n]/)[0] + "?speed=1" + i + "km/h\n"); // the module keeps its last calculations
  return took;
}
</script>`

// browser opens a module that readers get in a headless Chromium.
func browser(tb testing.TB, compile func() ([]byte, error)) context.Context {
	tb.Helper()
	module, err := compile()
	if err != nil {
		tb.Fatal(err)
	}
	return browserWith(tb, module)
}

// browserWith opens a module in a headless Chromium.
func browserWith(tb testing.TB, module []byte) context.Context {
	tb.Helper()
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path == "/module.wasm" {
			w.Header().Set("Content-Type", "application/wasm")
			_, _ = w.Write(module)
			return
		}
		w.Header().Set("Content-Type", "text/html")
		_, _ = w.Write([]byte(bareHost))
	}))
	tb.Cleanup(server.Close)
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(judge.Browser(tb)), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true), chromedp.UserDataDir(tb.TempDir()))
	ctx, stop := chromedp.NewExecAllocator(context.Background(), options...)
	tb.Cleanup(stop)
	ctx, cancel := chromedp.NewContext(ctx)
	tb.Cleanup(func() {
		_ = chromedp.Cancel(ctx)
		cancel()
	})
	if err := chromedp.Do(ctx, chromedp.Navigate(server.URL)); err != nil {
		tb.Fatal(err)
	}
	value[chromedp.Void](tb, ctx, "start()")
	return ctx
}

// value is what an expression of the page gives, or promises.
func value[T any](tb testing.TB, ctx context.Context, expression string) T {
	tb.Helper()
	v, err := chromedp.Run(ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	if err != nil {
		tb.Fatalf("%s: %v", expression, err)
	}
	return v
}

// BenchmarkBrowser is what a reader with a fast computer waits for, in Chromium: one stop, and a thousand riders.
func BenchmarkBrowser(b *testing.B) {
	formulas, simulated := browser(b, shipped), browser(b, rides)
	for _, query := range []string{"stop", "antilock?speed=100km/h", "rider"} {
		b.Run(query, func(b *testing.B) {
			ctx := formulas
			if ridden(query) {
				ctx = simulated
			}
			request := strconv.Quote(query + "\n")
			value[float64](b, ctx, "time("+request+")") // the browser compiles hot code better once it has run
			total, n := 0.0, 0
			for b.Loop() {
				total += value[float64](b, ctx, "time("+request+")")
				n++
			}
			b.ReportMetric(total/float64(n), "ms/answer")
		})
	}
}

// BenchmarkBrowserStop is one stop from 100 km/h in Chromium, without the answer about it.
func BenchmarkBrowserStop(b *testing.B) {
	name := filepath.Join(b.TempDir(), "ridden.wasm")
	build := exec.Command("go", "build", "-buildmode=c-shared", "-o", name, "./testdata/ridden")
	build.Env = append(os.Environ(), "GOOS=wasip1", "GOARCH=wasm")
	if out, err := build.CombinedOutput(); err != nil {
		b.Fatalf("%v\n%s", err, out)
	}
	module, err := os.ReadFile(name)
	if err != nil {
		b.Fatal(err)
	}
	ctx := browserWith(b, module)
	for controlled, what := range []string{"plain", "antilock"} {
		b.Run(what, func(b *testing.B) {
			call := func(n int) float64 {
				return value[float64](b, ctx, fmt.Sprintf("{ const begin = performance.now(); instance.exports.stops(%d, %d); performance.now() - begin }", n, controlled))
			}
			call(50) // the browser compiles hot code better once it has run
			const each = 100
			total, n := 0.0, 0
			for b.Loop() {
				total += call(each)
				n += each
			}
			b.ReportMetric(total/float64(n), "ms/stop")
		})
	}
}

// A browser's WebAssembly answers as wazero's does.
func TestBrowserAnswers(t *testing.T) {
	formulas, simulated := browser(t, shipped), browser(t, rides)
	h := open(t)
	for _, query := range []string{"stop", "antilock?surface=wet-asphalt", "cycle?rates=10,50", "nosuch"} {
		ctx := formulas
		if ridden(query) {
			ctx = simulated
		}
		got := value[string](t, ctx, "ask("+strconv.Quote(query+"\n*")+")")
		if want := h.ask("work", query+"\n*"); got != want {
			compare(t, query, got, want)
		}
	}
}
