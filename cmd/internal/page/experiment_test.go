package page_test

import (
	"context"
	"math"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"example.org/gripleaf/cmd/internal/build"
	"example.org/gripleaf/cmd/internal/cache"
)

// experiment is a site with a bet before its explorer, and with two states beside each other.
var experiment = map[string]string{
	"site.yaml":        "title: Test yard\nsummary: One stop.\nlanguages: [en]\nlessons: [bet]\n",
	"sources.yaml":     "{}\n",
	"en/glossary.yaml": "{}\n",
	"en/bet.md": "---\ntitle: A bet\nsummary: Twice the speed.\n---\nFirst guess.\n\n```question\nHow far from 60 km/h on a good road?\n\n" +
		"[](calc:stop?speed=60km/h&grip=0.8#stopping-distance;within;5%)\n***\nReaction and braking.\n```\n\n" +
		"![Move the speed](calc:stop?speed=60km/h&grip=0.8)\n\n## Two\n\n" +
		"![With the controller and without](calc:antilock?surface=gravel&channels=both&speed=50km/h)\n![Without](calc:antilock?surface=gravel&channels=none&speed=50km/h)\n\n## Three\n\nDone.\n",
}

func experimentSite(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range experiment {
		file := filepath.Join(dir, "site", name)
		if err := os.MkdirAll(filepath.Dir(file), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	b := &build.Builder{Site: filepath.Join(dir, "site"), Out: filepath.Join(dir, "built"), Cache: cache.Open()}
	defer b.Close()
	if _, err := b.Build(context.Background()); err != nil {
		t.Fatal(err)
	}
	server := httptest.NewServer(http.FileServer(http.Dir(b.Out)))
	t.Cleanup(server.Close)
	return server.URL + "/"
}

const stopText = `document.querySelector("#stop .findings-main").textContent`

// Who bets sees the explorer open with the bet in its figures, and again after coming back; a press skips it.
func TestBet(t *testing.T) {
	site := experimentSite(t)
	b := open(t)
	b.do(chromedp.Navigate(site + "bet.html"))
	b.until(`document.querySelector("#stop").closed`)
	b.run(`document.querySelector(".answer input").value = "100 ft"; document.querySelector("[data-do=check]").click()`)
	b.until(`!document.querySelector("#stop").closed`)
	b.until(`document.querySelector("#stop .plate[data-figure=road] svg").textContent.includes("your bet 30")`) // 100 ft are 30.48 m
	if got := value[string](b, `document.querySelector(".verdict").textContent`); !strings.Contains(got, "30.5\u00a0m") || !strings.Contains(got, "34.4\u00a0m") {
		t.Errorf("bet and answer do not stand beside each other: %q", got)
	}
	b.do(chromedp.Reload())
	b.until(`document.querySelector("#stop .plate[data-figure=road] svg").textContent.includes("your bet 30")`)
	b.run(`localStorage.clear()`)
	b.do(chromedp.Reload())
	b.until(`document.querySelector("#stop").closed`)
	b.run(`document.querySelector("[data-do=skip]").click()`)
	b.until(`!document.querySelector("#stop").closed`)
	b.quiet(site)
}

// The cone of a bet on a place of the road is set by keys and says the same as the field; the bike rides to where it stops.
// Its explorer takes no room before, and all that stands above it stays where it is.
func TestConeOnTheRoad(t *testing.T) {
	site := experimentSite(t)
	b := open(t)
	b.do(chromedp.Navigate(site + "bet.html"))
	b.until(`document.querySelector("#stop").closed`)
	if high := value[float64](b, `document.querySelector("#stop").getBoundingClientRect().height`); high > 240 {
		t.Errorf("before the bet the explorer is %g px high", high)
	}
	b.run(`document.querySelector(".guess-cone").focus()`)
	for range 4 {
		b.do(chromedp.KeyEvent(kb.ArrowRight))
	}
	const field, cone = `document.querySelector(".answer input").value`, `document.querySelector(".guess-cone")`
	if got := value[string](b, field+` + "|" + `+cone+`.getAttribute("aria-valuetext")`); got != "2.0|2.0\u00a0m" { // the road is 60 m long, a step of it half a metre
		t.Errorf("the cone says %q", got)
	}
	b.run(`document.querySelector(".answer input").value = "20"; document.querySelector(".answer input").dispatchEvent(new Event("input", { bubbles: true }))`)
	if got := value[string](b, cone+`.value`); got != "20" {
		t.Errorf("the cone stands at %q", got)
	}
	const above = `document.querySelector(".guess").getBoundingClientRect().top`
	before := value[float64](b, above)
	b.run(`document.querySelector("[data-do=check]").click()`)
	b.until(`Math.abs(Number(document.querySelector(".guess").style.getPropertyValue("--at")) - 34.37 / 60) < 0.001`)
	if after := value[float64](b, above); after != before {
		t.Errorf("the picture has moved from %g to %g", before, after)
	}
	b.quiet(site)
}

// A bet that was made in feet is the same one after coming back, in feet and in metres.
func TestBetInFeet(t *testing.T) {
	site := experimentSite(t)
	b := open(t)
	b.do(chromedp.Navigate(site + "bet.html"))
	b.run(`document.querySelector("[data-system=imperial]").click(); document.querySelector(".answer input").value = "100"; document.querySelector("[data-do=check]").click()`)
	b.do(chromedp.Reload())
	b.until(`document.querySelector("#stop .plate[data-figure=road] svg").textContent.includes("your bet 100")`)
	if got := value[string](b, `document.querySelector(".answer input").value`); got != "100" {
		t.Errorf("the field says %q", got)
	}
	b.run(`document.querySelector("[data-system=metric]").click()`)
	b.until(`document.querySelector("#stop .plate[data-figure=road] svg").textContent.includes("your bet 30") && document.querySelector(".answer input").value === "30.5"`)
	b.quiet(site)
}

// Without a script the question, its answer, and both states stand in the page.
func TestBetAndPairWithoutScript(t *testing.T) {
	site := experimentSite(t)
	b := open(t)
	call(b, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
	b.do(chromedp.Navigate(site + "bet.html"))
	if got := value[string](b, `document.querySelector(".question").textContent`); !strings.Contains(got, "What do you expect?") || !strings.Contains(got, "34.4\u00a0m") {
		t.Errorf("the question says %q", got)
	}
	if got := value[string](b, `document.querySelector("#antilock .compare").textContent`); !strings.Contains(got, "Stopping distance") || !strings.Contains(got, "front and rear") || !strings.Contains(got, "none") {
		t.Errorf("the states beside each other: %q", got)
	}
	if value[bool](b, `getComputedStyle(document.querySelector("#stop .explorer-floor")).display === "none" || document.querySelectorAll("#antilock .plate[data-figure=road] .line.dashed.r-speed").length !== 1`) {
		t.Error("the explorer is closed, or the second stop has no line")
	}
	b.quiet(site)
}

// Three states are kept through a reload, the link names them all, and each can be let go of.
func TestKeptStates(t *testing.T) {
	site := experimentSite(t)
	b := open(t)
	b.do(chromedp.Navigate(site + "bet.html"))
	b.run(`document.querySelector("[data-do=skip]").click()`)
	b.run(`document.querySelector("#stop").whole().then(() => { document.querySelector("#stop [data-do=keep]").click(); document.querySelector("#stop").nudge("speed", 20) })`)
	b.until(stopText + `.includes("53.7")`) // 80 km/h: 22.22 m + (80/3.6)²/(2·0.8·9.80665) = 31.47 m
	b.run(`document.querySelector("#stop [data-do=keep]").click(); document.querySelector("#stop").nudge("speed", 20)`)
	const heads = `[...document.querySelectorAll("#stop .compare thead th")].map(h => h.textContent.replace("×", "").trim()).join("|")`
	b.until(heads + ` === "100\u00a0km/h|60\u00a0km/h|80\u00a0km/h"`)
	link := value[string](b, `new Promise(done => setTimeout(() => done(document.querySelector("#stop").link), 400))`)
	if strings.Count(link, "stop?") != 3 {
		t.Errorf("the link is %s", link)
	}
	b.do(chromedp.Reload())
	b.until(heads + ` === "100\u00a0km/h|60\u00a0km/h|80\u00a0km/h"`)
	b.until(`document.querySelectorAll("#stop .plate[data-figure=road] .line.dashed.r-speed").length === 2`)
	other := open(t) // who is sent the link
	other.do(chromedp.Navigate(link))
	other.until(heads + ` === "100\u00a0km/h|60\u00a0km/h|80\u00a0km/h"`)
	other.until(`document.querySelectorAll("#stop .plate[data-figure=road] .line.dashed.r-speed").length === 2 && !document.querySelector("#stop").closed`)
	other.quiet(site)
	b.run(`document.querySelector("#stop .compare [data-do=drop]").click()`)
	b.until(heads + ` === "100\u00a0km/h|80\u00a0km/h|Difference"`)
	b.quiet(site)
}

// A mark behind which an input stands is dragged with the pointer, and moved by keys.
func TestDragInThePicture(t *testing.T) {
	site := experimentSite(t)
	b := open(t)
	b.do(chromedp.Navigate(site + "bet.html"))
	b.run(`document.querySelector("[data-do=skip]").click()`)
	const handle = `document.querySelector('#stop .plate[data-figure="road"] .handle[data-moves="speed"]')`
	const box = `document.querySelector('#stop .dial[data-input="speed"] .dial-field input').value`
	b.until(handle + ` !== null`)
	if size := value[float64](b, handle+`.getBoundingClientRect().width`); size < 44 {
		t.Errorf("the handle is %g px wide", size)
	}
	b.run(handle + `.focus()`)
	b.do(chromedp.KeyEvent(kb.ArrowUp))
	b.until(box + ` === "61"`)
	b.until(stopText + `.includes("35.2")`) // 61 km/h: 16.94 m + 18.30 m
	if said := value[string](b, handle+`.getAttribute("aria-valuetext")`); said != "61\u00a0km/h" {
		t.Errorf("the handle says %q", said)
	}
	drag := func(kind string, up float64) {
		b.run(`{ const h = ` + handle + `, r = h.getBoundingClientRect(); h.setPointerCapture = () => {};
			h.dispatchEvent(new PointerEvent("` + kind + `", { bubbles: true, cancelable: true, pointerId: 7, buttons: 1, clientX: r.left + 22, clientY: r.top + 22 + ` + strconv.FormatFloat(up, 'f', 1, 64) + ` })) }`)
	}
	drag("pointerdown", 0)
	drag("pointermove", 60)
	drag("pointerup", 60)
	b.until(`Number(` + box + `) < 55`)
	b.quiet(site)
}

// One clock: wherever the reader points on a figure over time or distance, the bike is at that moment, and the figures, the
// picture and the numbers agree, at ten places.
func TestOneClock(t *testing.T) {
	site := experimentSite(t)
	b := open(t)
	b.do(chromedp.Navigate(site + "bet.html"))
	b.run(`document.querySelector("[data-do=skip]").click(); document.querySelector("#stop").whole()`)
	b.until(`document.querySelector("#stop").answer !== undefined`)
	for i := range 10 {
		at := 3 + 3.2*float64(i) // m along the road; the stop is 34.4 m long
		b.run(`document.querySelector("#stop").seek("distance", ` + strconv.FormatFloat(at, 'f', 3, 64) + `)`)
		want := 60 / 3.6
		time := at / want
		if braked := at - want; braked > 0 { // a second of reaction
			want = math.Sqrt(want*want - 2*0.8*9.80665*braked)
			time = 1 + (60/3.6-want)/(0.8*9.80665)
		}
		b.until(`Math.abs(Number(document.querySelector("#stop .replay-slider").value) - ` + strconv.FormatFloat(time, 'f', 4, 64) + `) < 0.02`)
		said := strconv.Itoa(int(math.Round(want*3.6))) + "\u00a0km/h"
		b.until(`document.querySelector("#stop .replay-drawing").textContent.includes("` + said + `")`)
		b.until(`document.querySelector('#stop .plate[data-figure="road"] .cursor-says')?.textContent.includes("` + said + `")`)
	}
	b.quiet(site)
}
