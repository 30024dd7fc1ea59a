package inspection

import (
	"context"
	"encoding/base64"
	"flag"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

var draw = flag.Bool("pictures", false, "take the pictures of README.md anew")

const pictures = "../../../testdata/readme/"

// heaviest is what a picture of README.md may weigh, in bytes.
const heaviest = 150_000

// shot is one view of a page: at a width, in a light, after something was done there.
type shot struct {
	page  string
	width int64
	light string
	does  string // a promise
}

const (
	squeezes = "squeeze.html#squeeze?bike=scooter&speed=80km/h&surface=dry-asphalt&demand=90%25&rise=0.28s;squeeze?bike=scooter&speed=80km/h&surface=dry-asphalt&demand=90%25&rise=0.30s"
	gravels  = "antilock.html#antilock?speed=50km/h&surface=gravel&channels=both;antilock?speed=50km/h&surface=gravel&channels=none"
	cycles   = "calculators/antilock.html#antilock?speed=80km/h&surface=wet-asphalt&channels=both"
	twice    = "how-a-stop-is-made.html"
)

// series are the pictures, each of several views beside each other.
var series = map[string][]shot{
	"squeeze.webp": {{"calculators/" + squeezes, 1280, "light", late("squeeze")}, {"calculators/" + squeezes, 360, "dark", late("squeeze")}},
	"gravel.webp":  {{"calculators/" + gravels, 1280, "dark", late("antilock")}, {"ar/calculators/" + gravels, 360, "light", late("antilock")}},
	"bet.webp":     {{twice, 360, "light", asked(false)}, {twice, 360, "light", asked(true)}, {"ar/" + twice, 360, "dark", asked(true)}},
	"cycle.webp":   {{cycles, 360, "light", quarter(0)}, {cycles, 360, "light", quarter(1)}, {cycles, 360, "dark", quarter(2)}, {cycles, 360, "dark", quarter(3)}},
}

// ready is an explorer that has answered, as e.
const ready = `const e = document.getElementById(%q); await e.whole(); const wait = ms => new Promise(done => setTimeout(done, ms));
	const frame = async at => { e.seek("time", at); await wait(800) };`

// late brings an explorer to two thirds of its stop.
func late(id string) string {
	return fmt.Sprintf(`(async () => { `+ready+` await frame(e.querySelector(".replay-slider").max * 2 / 3); e.scrollIntoView(); await wait(300) })()`, id)
}

// quarter brings a stop to a quarter of the controller's cycle at half a second.
func quarter(i int) string {
	return fmt.Sprintf(`(async () => { `+ready+` const { cycle } = JSON.parse(await e.about("frame", "\ntime", 0.5));
		await frame(cycle.from + (cycle.to - cycle.from) * %d / 4); e.scrollIntoView(); await wait(300) })()`, "antilock", i)
}

// asked shows the bet on twice the speed, and perhaps makes it.
func asked(made bool) string {
	return fmt.Sprintf(`(async () => { `+ready+` const q = document.querySelectorAll(".question[data-bets]")[1]; const made = %t;
		if (made) q.querySelector("input").click(); await wait(600); q.scrollIntoView(); await wait(300) })()`, "stop-2", made)
}

// TestPicturesOfTheReadme holds that README.md names each picture and none besides, and that they are light. With
// -pictures they are taken anew:
// go test -run Pictures ./cmd/internal/inspection -pictures
func TestPicturesOfTheReadme(t *testing.T) {
	if *draw {
		server := httptest.NewServer(http.FileServer(http.Dir(built(t))))
		defer server.Close()
		for name, shots := range series {
			take(t, server.URL+"/", name, shots)
		}
	}
	text, err := os.ReadFile("../../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	named := regexp.MustCompile(`!\[[^\]]{20,}\]\(testdata/readme/([^)]+)\)`).FindAllSubmatch(text, -1)
	for _, n := range named {
		file, err := os.Stat(pictures + string(n[1]))
		if err != nil || file.Size() > heaviest || len(series[string(n[1])]) == 0 {
			t.Errorf("%s: %v, %d bytes", n[1], err, file.Size())
		}
	}
	if there, _ := filepath.Glob(pictures + "*"); len(named) != len(series) || len(there) != len(series) {
		t.Errorf("README.md names %d pictures with words for who does not see them, %d are in %s, and %d are taken", len(named), len(there), pictures, len(series))
	}
}

// take puts views beside each other, all equally high.
func take(t *testing.T, site, name string, shots []shot) {
	t.Helper()
	const high = 620
	var views strings.Builder
	for _, s := range shots {
		ctx := tab(t)
		see(t, ctx, s.width, s.light)
		if s.width < 500 {
			phone := emulation.SetDeviceMetricsOverrideParams{Width: s.width, Height: 700, DeviceScaleFactor: 1.5, Mobile: true}
			if _, err := chromedp.Call(ctx, emulation.SetDeviceMetricsOverride, phone); err != nil {
				t.Fatal(err)
			}
			on := emulation.SetTouchEmulationEnabledParams{Enabled: true}
			if _, err := chromedp.Call(ctx, emulation.SetTouchEmulationEnabled, on); err != nil {
				t.Fatal(err)
			}
		}
		if err := chromedp.Do(ctx, chromedp.Navigate(site+s.page)); err != nil {
			t.Fatal(err)
		}
		said[any](t, ctx, s.does)
		fmt.Fprintf(&views, `<img src="data:image/webp;base64,%s" style="height: %dpx; border-radius: 8px; box-shadow: 0 0 0 1px #8885">`, captured(t, ctx, nil, 95), high)
	}
	together := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		fmt.Fprintf(w, `<!doctype html><body style="display: flex; gap: 14px; padding: 1px; margin: 0; width: max-content">%s`, views.String())
	}))
	defer together.Close()
	ctx := tab(t)
	if err := chromedp.Do(ctx, chromedp.Navigate(together.URL)); err != nil {
		t.Fatal(err)
	}
	wide := said[float64](t, ctx, `document.body.getBoundingClientRect().width`)
	data, err := base64.StdEncoding.DecodeString(captured(t, ctx, &page.Viewport{Width: wide, Height: high + 2, Scale: 1}, 80))
	if err == nil {
		err = os.WriteFile(pictures+name, data, 0o666)
	}
	if err != nil {
		t.Fatal(err)
	}
}

// captured is a picture of what a tab shows, as WebP in base64.
func captured(t *testing.T, ctx context.Context, clip *page.Viewport, quality int64) string {
	t.Helper()
	beyond := clip != nil
	shot, err := chromedp.Call(ctx, page.CaptureScreenshot, page.CaptureScreenshotParams{Format: "webp", Quality: &quality, Clip: clip, CaptureBeyondViewport: &beyond})
	if err != nil {
		t.Fatal(err)
	}
	return base64.StdEncoding.EncodeToString(shot.Data)
}
