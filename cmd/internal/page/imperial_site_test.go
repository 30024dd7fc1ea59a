package page_test

import (
	"context"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"

	"example.org/gripleaf/cmd/internal/build"
	"example.org/gripleaf/cmd/internal/cache"
)

// A site whose readers think in miles opens so, without a script's work, and who chooses the other units keeps them.
// The braking distance from 60 km/h with grip 0.8 is 17.703 m or 58.08 ft; 60 km/h are 37.3 mph.
func TestImperialSite(t *testing.T) {
	site, out := t.TempDir(), t.TempDir()
	for name, text := range map[string]string{
		"site.yaml": "title: Test yard\nlanguages: [en]\nlessons: [stop]\nunits: imperial\n",
		"en/stop.md": "---\ntitle: A stop\n---\nFrom 37 mph the brakes need [](calc:stop?speed=60km/h&grip=0.8#braking-distance).\n\n" +
			"![A stop](calc:stop?speed=60km/h&grip=0.8)\n",
	} {
		if err := os.MkdirAll(filepath.Dir(filepath.Join(site, name)), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(site, name), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	b := build.Builder{Site: site, Out: filepath.Join(out, "built"), Cache: cache.Open()}
	defer b.Close()
	if _, err := b.Build(context.Background()); err != nil {
		t.Fatal(err)
	}
	server := httptest.NewServer(http.FileServer(http.Dir(b.Out)))
	defer server.Close()
	page := open(t)
	page.do(chromedp.Navigate(server.URL + "/stop.html"))
	page.until(findings + `.includes("58\u00a0ft")`)
	prose := `document.querySelector("p .checked").textContent`
	if got := value[string](page, prose); got != "58\u00a0ft" {
		t.Errorf("the number in the prose says %q", got)
	}
	page.do(chromedp.Click(`[data-system=metric]`))
	page.until(findings + `.includes("17.7\u00a0m")`)
	if got := value[string](page, prose); got != "17.7\u00a0m" {
		t.Errorf("to who chose metres the prose says %q", got)
	}
	page.do(chromedp.Navigate(server.URL + "/stop.html"))
	page.until(findings + `.includes("17.7\u00a0m")`)
	if got := value[string](page, `document.querySelector("[data-system=metric]").getAttribute("aria-pressed")`); got != "true" {
		t.Errorf("the switch says %s", got)
	}
	page.quiet(server.URL)
}
