//go:build unix

package build

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"

	"example.org/gripleaf/cmd/internal/cache"
	"example.org/gripleaf/cmd/internal/judge"
	"example.org/gripleaf/cmd/internal/preview"
	"example.org/gripleaf/cmd/internal/watch"
	"example.org/gripleaf/testdata/courses"
)

// From a save to the new pixels: the lesson is open in a browser, and the clock stops after the frame that shows what
// was written.
func BenchmarkSaveToPixels(b *testing.B) {
	site, out := filepath.Join(b.TempDir(), "site"), filepath.Join(b.TempDir(), "built")
	if err := courses.Make(site, *lessons, 1); err != nil {
		b.Fatal(err)
	}
	builder := &Builder{Site: site, Out: out, Cache: cache.Open()}
	defer builder.Close()
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	ready, built, done := make(chan string, 1), make(chan struct{}, 1), make(chan error, 1)
	go func() {
		done <- preview.Serve(ctx, preview.Options{
			Dir: out, Addr: "127.0.0.1:0", Watch: watch.Watcher{Roots: []string{site}},
			Ready: func(url string) { ready <- url },
			Build: func(ctx context.Context, changed []string, s *preview.Server) (preview.Report, error) {
				builder.Viewer = s
				builder.Glance(ctx, changed)
				r, err := builder.Build(ctx)
				if err != nil && ctx.Err() == nil {
					b.Error(err)
				}
				if err != nil {
					return preview.Report{}, err
				}
				var report preview.Report
				for _, c := range r.Report.Changes {
					report.Changed = append(report.Changed, c.Path)
				}
				built <- struct{}{}
				return report, nil
			},
		})
	}()
	url := <-ready
	<-built
	tab := judge.Tab(b)
	if err := chromedp.Do(tab, chromedp.Navigate(url+"lesson-000007.html")); err != nil {
		b.Fatal(err)
	}
	name := filepath.Join(site, "en", "lesson-000007.md")
	for i := 0; b.Loop(); i++ {
		mark := fmt.Sprintf("Saved for the %dth time.", i+1)
		b.StopTimer()
		awaitPage(b, tab, "document.readyState === 'complete'")
		b.StartTimer()
		f, err := os.OpenFile(name, os.O_APPEND|os.O_WRONLY, 0)
		if err != nil {
			b.Fatal(err)
		}
		if _, err := io.WriteString(f, "\n"+mark+"\n"); err != nil {
			b.Fatal(err)
		}
		f.Close()
		awaitPage(b, tab, fmt.Sprintf("document.querySelector('main')?.textContent.includes(%q) && new Promise(r => requestAnimationFrame(() => requestAnimationFrame(() => r(true))))", mark))
		b.StopTimer()
		<-built
		b.StartTimer()
	}
	stop()
	if err := <-done; err != nil {
		b.Fatal(err)
	}
}

// awaitPage asks a page until it says yes; an error is a page on its way.
func awaitPage(b *testing.B, tab context.Context, script string) {
	b.Helper()
	for tab.Err() == nil {
		yes, err := chromedp.Run(tab, chromedp.Evaluate[bool](script, chromedp.EvalAwaitPromise))
		if err == nil && yes {
			return
		}
	}
	b.Fatalf("waited in vain: %s", script)
}
