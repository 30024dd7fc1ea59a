package inspection

import (
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"slices"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// slowed is how many times slower than this machine the browser's main thread is while speed is measured.
const slowed = 4

// Bounds on a reader's waits at that slowdown. They hold a test only with INSPECTION_SPEED, on a machine that does
// nothing else; otherwise what was measured is only told, and from few samples.
const (
	largestPaint    = time.Second
	algebraicPaint  = 50 * time.Millisecond
	simulationPaint = 100 * time.Millisecond
)

var timed = os.Getenv("INSPECTION_SPEED") != ""

// samples is how often something is measured.
func samples() int {
	if timed {
		return 12
	}
	return 2
}

// judgeTimes tells what was measured, and holds its 75th percentile against a bound where times count.
func judgeTimes(t *testing.T, what string, times []float64, bound time.Duration) {
	t.Helper()
	slices.Sort(times)
	middle, late := times[len(times)/2], times[len(times)*3/4]
	t.Logf("%-28s median %4.0f ms, 75th percentile %4.0f ms, bound %d ms, %d samples", what, middle, late, bound.Milliseconds(), len(times))
	if timed && late > float64(bound.Milliseconds()) {
		t.Errorf("%s takes %.0f ms", what, late)
	}
}

// slowTab opens a tab whose main thread is slowed, at a page.
func slowTab(t *testing.T, address string) context.Context {
	t.Helper()
	ctx := tab(t)
	_, err := chromedp.Call(ctx, emulation.SetCPUThrottlingRate, emulation.SetCPUThrottlingRateParams{Rate: slowed})
	if err == nil {
		err = chromedp.Do(ctx, chromedp.Navigate(address))
	}
	if err != nil {
		t.Fatal(err)
	}
	return ctx
}

// atEase takes the slowing away: the browser keeps a core busy with it, for as long as the tab is open.
func atEase(ctx context.Context) {
	_, _ = chromedp.Call(ctx, emulation.SetCPUThrottlingRate, emulation.SetCPUThrottlingRateParams{Rate: 1})
}

// said is what an expression of the page gives or promises.
func said[T any](t *testing.T, ctx context.Context, expression string) T {
	t.Helper()
	within, end := context.WithTimeout(ctx, time.Minute)
	defer end()
	v, err := chromedp.Run(within, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	if err != nil {
		t.Fatalf("%s: %v", expression, err)
	}
	return v
}

// awaited is a promise that a condition of the page holds.
func awaited(condition string) string {
	return "new Promise(done => { const look = () => (" + condition + ") ? done(true) : setTimeout(look, 20); look() })"
}

// TestLargestPaintIsSoon asks the browser when the largest element of a lesson was painted (Largest Contentful Paint).
func TestLargestPaintIsSoon(t *testing.T) {
	server := httptest.NewServer(compressed(http.Dir(built(t))))
	defer server.Close()
	for _, page := range []string{"how-a-stop-is-made.html", "release-hold-rebuild.html"} {
		var times []float64
		for range (samples() + 1) / 2 {
			ctx := slowTab(t, server.URL+"/"+page)
			times = append(times, said[float64](t, ctx, `new Promise(done => new PerformanceObserver(l => done(l.getEntries().at(-1).startTime)).observe({type: "largest-contentful-paint", buffered: true}))`))
			atEase(ctx)
		}
		judgeTimes(t, page, times, largestPaint)
	}
}

// TestPaintSoonAfterInput moves a slider by the keyboard as a reader does, and asks the browser how long it took from
// the key to the next paint (Event Timing: the longest event of each interaction, in steps of 8 ms; what took less than
// 16 ms is not told and counts as 16).
func TestPaintSoonAfterInput(t *testing.T) {
	server := httptest.NewServer(compressed(http.Dir(built(t))))
	defer server.Close()
	calculators := []string{"stop", "antilock"}
	if timed {
		calculators = []string{"stop", "gap", "transfer", "slip", "lean", "wheel", "lever", "heat", "test", "squeeze", "antilock"}
	}
	for _, name := range calculators {
		bound := algebraicPaint
		if name == "antilock" {
			bound = simulationPaint
		}
		t.Run(name, func(t *testing.T) {
			judgeTimes(t, name, interactions(t, server.URL+"/calculators/"+name+".html", name), bound)
		})
	}
	t.Run("lesson", func(t *testing.T) {
		judgeTimes(t, "stop in its lesson", interactions(t, server.URL+"/how-a-stop-is-made.html", "stop"), algebraicPaint)
	})
}

func interactions(t *testing.T, address, id string) []float64 {
	t.Helper()
	ctx := slowTab(t, address)
	defer atEase(ctx)
	explorer := fmt.Sprintf("document.getElementById(%q)", id)
	said[bool](t, ctx, awaited(`document.documentElement.classList.contains("script")`))
	said[bool](t, ctx, explorer+`.scrollIntoView(), `+explorer+`.restore(undefined), `+explorer+`.whole().then(() => true)`)
	// A reader who skips the bet.
	said[bool](t, ctx, `document.querySelectorAll("[data-do=skip]").forEach(b => b.click()), true`)
	if err := chromedp.Do(ctx, chromedp.Focus("#"+id+" .dial-slider:not(.replay-slider)")); err != nil {
		t.Fatal(err)
	}
	said[bool](t, ctx, `window.told = new Map(), window.watch = new PerformanceObserver(l => l.getEntries().forEach(e => e.interactionId && told.set(e.interactionId, Math.max(told.get(e.interactionId) ?? 16, e.duration)))), watch.observe({type: "event", durationThreshold: 16}), true`)
	before := said[int](t, ctx, `performance.eventCounts.get("keyup")`)
	n := samples()
	for i := range n {
		key := kb.ArrowRight
		if i%2 == 1 {
			key = kb.ArrowLeft
		}
		if err := chromedp.Do(ctx, chromedp.KeyEvent(key)); err != nil {
			t.Fatal(err)
		}
		// The next key comes when this one is answered and painted, and what could wait has followed.
		said[bool](t, ctx, awaited(fmt.Sprintf(`performance.eventCounts.get("keyup") >= %d && %s.answer.query === %[2]s.query`, before+i+1, explorer))+`.then(() => `+explorer+`.whole()).then(() => new Promise(done => requestIdleCallback(() => done(true))))`)
	}
	times := said[[]float64](t, ctx, `[...told.values()]`)
	for len(times) < n {
		times = append(times, 16)
	}
	return times
}
