package page_test

// A built site is opened in a real browser, over HTTP and from the disk, with and without scripts.

import (
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"example.org/gripleaf/cmd/internal/build"
	"example.org/gripleaf/cmd/internal/cache"
	"example.org/gripleaf/cmd/internal/judge"
)

// lessonText is invented; its numbers are checked by the build.
const lessonText = `---
title: Two parts of a stop
question: How far until I have stopped?
summary: Reaction and braking.
date: 2026-01-02
video: {address: "https://video.example/stop?t={seconds}", length: "3:20", title: A stop}
---
From 60 km/h the brakes need [17.7 m](calc:stop?speed=60km/h&grip=0.8#braking-distance). See [grip](term:grip) and
[the rule](source:book).

![A stop on a good road](calc:stop?speed=60km/h&grip=0.8)

## [Faster](moment:1:05#faster)

![A stop on a wet road](calc:stop?speed=80km/h&surface=wet-asphalt)

` + "```question\nHow far do the brakes need from [60 km/h](calc:#speed)? [](calc:stop?speed=40..100:10km/h&grip=0.8#braking-distance;within;5%)\n***\nIt is the square.\n```\n" +
	"\n```question\nTwice the speed?\n\n- [ ] twice the road — that is the reaction\n- [x] four times the road — the square\n```\n" + `
![Ten thousand stops](calc:cycle?speed=50km/h)

![How slip makes grip](calc:slip?surface=ice#curve)
`

var siteFiles = map[string]string{
	"site.yaml":        "title: Test yard\nsummary: Two stops.\naddress: https://braking.example/\nlanguages: [en, de]\nlessons: [parts, second]\n",
	"sources.yaml":     "book: {title: The rule book, by: Ferndale, year: 2026}\n",
	"en/glossary.yaml": "grip: {term: Grip, means: \"How *hard* a tyre holds.\"}\n",
	"de/glossary.yaml": "grip: {term: Griffigkeit, means: \"Wie fest ein Reifen hält.\"}\n",
	"en/parts.md":      lessonText,
	"en/second.md":     "---\ntitle: The second stop\nneeds: [parts]\nsummary: More.\n---\nAs [before](parts.md#faster), with [grip](term:grip).\n",
	"de/parts.md":      "---\ntitle: Zwei Teile\nsummary: Reaktion und Bremsen.\n---\nAus 60 km/h brauchen die Bremsen [17,7 m](calc:stop?speed=60km/h&grip=0.8#braking-distance). [Griffigkeit](term:grip), [Buch](source:book).\n\n![Ein Halt](calc:stop?speed=60km/h&grip=0.8)\n",
}

// scratch is where the test site is, once it is built.
var scratch string

// built is the folder of the test site, made once for all tests.
var built = sync.OnceValues(func() (string, error) {
	site, err := os.MkdirTemp("", "gripleaf-page-")
	if err != nil {
		return "", err
	}
	scratch = site
	for name, text := range siteFiles {
		file := filepath.Join(site, "site", name)
		if err := os.MkdirAll(filepath.Dir(file), 0o777); err != nil {
			return "", err
		}
		if err := os.WriteFile(file, []byte(text), 0o666); err != nil {
			return "", err
		}
	}
	b := &build.Builder{Site: filepath.Join(site, "site"), Out: filepath.Join(site, "built"), Cache: cache.Open()}
	defer b.Close()
	_, err = b.Build(context.Background())
	return b.Out, err
})

func TestMain(m *testing.M) {
	code := m.Run()
	if theBrowser != nil {
		theBrowser.close()
	}
	os.RemoveAll(scratch)
	os.Exit(code)
}

func folder(t testing.TB) string {
	t.Helper()
	f, err := built()
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// tab is a browser's tab and what went wrong in it.
type tab struct {
	context.Context
	t        testing.TB
	mu       sync.Mutex
	requests []string
	said     []string
}

// browser is one browser with an empty profile, for all tests; its close waits until it has gone.
type browser struct {
	context.Context
	close func()
}

var theBrowser *browser

// start starts the browser for the first test that needs it.
func start(t testing.TB) *browser {
	t.Helper()
	if theBrowser != nil {
		return theBrowser
	}
	profile, err := os.MkdirTemp("", "gripleaf-profile-")
	if err != nil {
		t.Fatal(err)
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(judge.Browser(t)), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true), chromedp.WindowSize(1280, 900), chromedp.UserDataDir(profile))
	allocator, stop := chromedp.NewExecAllocator(context.Background(), options...)
	ctx, cancel := chromedp.NewContext(allocator)
	theBrowser = &browser{ctx, func() {
		_ = chromedp.Cancel(ctx)
		cancel()
		stop()
		os.RemoveAll(profile)
	}}
	if err := chromedp.Do(ctx); err != nil {
		t.Fatal(err)
	}
	return theBrowser
}

// open opens a tab.
func open(t testing.TB) *tab {
	t.Helper()
	ctx, cancel := chromedp.NewContext(start(t))
	b := &tab{Context: ctx, t: t}
	t.Cleanup(func() {
		_ = chromedp.Cancel(ctx)
		cancel()
	})
	if err := chromedp.Listen(ctx, b.hear); err != nil {
		t.Fatal(err)
	}
	call(b, network.Enable, network.EnableParams{})
	call(b, log.Enable, cdp.Empty{})
	call(b, runtime.Enable, cdp.Empty{})
	return b
}

// call runs a command of the browser's protocol.
func call[P, R any](b *tab, command cdp.Command[P, R], parameters P) R {
	b.t.Helper()
	r, err := chromedp.Call(b, command, parameters)
	if err != nil {
		b.t.Fatalf("%s: %v", command.Method, err)
	}
	return r
}

func (b *tab) hear(event any) {
	b.mu.Lock()
	defer b.mu.Unlock()
	switch e := event.(type) {
	case *network.EventRequestWillBeSent:
		b.requests = append(b.requests, e.Request.URL)
	case *log.EventEntryAdded:
		b.said = append(b.said, fmt.Sprint(e.Entry.Text))
	case *runtime.EventExceptionThrown:
		b.said = append(b.said, fmt.Sprint(e.ExceptionDetails))
	case *runtime.EventConsoleAPICalled:
		b.said = append(b.said, string(e.Type))
	}
}

func (b *tab) do(actions ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	within, end := context.WithTimeout(b, 30*time.Second)
	defer end()
	if err := chromedp.Do(within, actions...); err != nil {
		b.t.Fatalf("%v (the console says %q)", err, b.said)
	}
}

// value is what an expression of the page gives.
func value[T any](b *tab, expression string) T {
	b.t.Helper()
	within, end := context.WithTimeout(b, 30*time.Second)
	defer end()
	v, err := chromedp.Run(within, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	if err != nil {
		b.t.Fatalf("%s: %v (the console says %q)", expression, err, b.said)
	}
	return v
}

// run evaluates an expression of the page for what it does.
func (b *tab) run(expression string) { b.t.Helper(); value[chromedp.Void](b, expression) }

// until waits for an expression of the page to hold.
func (b *tab) until(expression string) {
	b.t.Helper()
	value[bool](b, "new Promise(done => { const look = () => ("+expression+") ? done(true) : setTimeout(look, 20); look() })")
}

// quiet fails if the console said anything, or a request went outside of the site.
func (b *tab) quiet(site string) {
	b.t.Helper()
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, text := range b.said {
		b.t.Errorf("the console says %q", text)
	}
	for _, url := range b.requests {
		if !strings.HasPrefix(url, site) && !strings.HasPrefix(url, "data:") && !strings.HasPrefix(url, "blob:") {
			b.t.Errorf("a request went out to %s", url)
		}
	}
}

// ways are how a site is opened: over HTTP and from the disk.
func ways(t *testing.T, test func(t *testing.T, site string)) {
	t.Run("http", func(t *testing.T) {
		server := httptest.NewServer(http.FileServer(http.Dir(folder(t))))
		defer server.Close()
		test(t, server.URL+"/")
	})
	t.Run("file", func(t *testing.T) { test(t, "file://"+folder(t)+"/") })
}

// findings are the results that an explorer shows.
const findings = `[...document.querySelectorAll("#stop .finding")].map(f => f.textContent).join("|")`

func TestModuleSaysWhatThePageSays(t *testing.T) {
	ways(t, func(t *testing.T, site string) {
		b := open(t)
		b.do(chromedp.Navigate(site + "parts.html"))
		const state = `[...document.querySelectorAll(".explorer:not([data-long])")].map(e => e.querySelector(".explorer-floor").innerHTML.replace(/ (style|aria-valuetext)="[^"]*"/g, "")).join("\n")`
		before := value[string](b, state)
		value[bool](b, `Promise.all([...document.querySelectorAll(".explorer:not([data-long])")].map(e => { e.restore(undefined); return e.whole() })).then(() => true)`)
		if after := value[string](b, state); after != before {
			t.Errorf("the module says\n%s\nand the page said\n%s", difference(after, before), difference(before, after))
		}
		b.quiet(site)
	})
}

// difference is the part of a text around the first place where another differs.
func difference(a, b string) string {
	i := 0
	for i < min(len(a), len(b)) && a[i] == b[i] {
		i++
	}
	return a[max(0, i-80):min(len(a), i+120)]
}

func TestSliderMovesEverything(t *testing.T) {
	ways(t, func(t *testing.T, site string) {
		b := open(t)
		b.do(chromedp.Navigate(site + "parts.html"))
		b.until(`document.querySelector("#stop").answer !== undefined || (document.querySelector("#stop").restore(undefined), false)`)
		svg := value[string](b, `document.querySelector("#stop .figure").outerHTML`)
		b.do(chromedp.Focus(`#stop .dial[data-input=speed] .dial-slider`), chromedp.KeyEvent(kb.ArrowRight)) // one step to the right
		b.until(findings + `.includes("18.3")`)                                                              // 61 km/h: (61/3.6)²/(2·0.8·9.80665) = 18.298 m
		b.until(`location.hash === "#stop?speed=61km/h&grip=0.8"`)
		if value[string](b, `document.querySelector("#stop .figure").outerHTML`) == svg {
			t.Error("the figure did not move")
		}
		b.until(`document.querySelector("#stop .explorer-speech").textContent.includes("18.3")`)
		b.run(`history.back()`)
		b.until(findings + `.includes("17.7")`)
		if got := value[string](b, `document.querySelector("#stop .dial[data-input=speed] input").value`); got != "60" {
			t.Errorf("going back left the speed at %s", got)
		}
		b.quiet(site)
	})
}

func TestAddressRestoresState(t *testing.T) {
	ways(t, func(t *testing.T, site string) {
		b := open(t)
		b.do(chromedp.Navigate(site + "parts.html#stop-2?speed=30mph;stop?speed=100km/h&grip=0.7&reaction=1s"))
		b.until(findings + `.includes("84.0")`) // 27.78 m + 56.20 m: reaction, then v²/(2·µ·g)
		b.until(`document.querySelector("#stop-2 .dial[data-input=speed] .dial-given").textContent === "48\u00a0km/h"`)
		b.quiet(site)
	})
}

func TestFieldTakesAnyUnit(t *testing.T) {
	server := httptest.NewServer(http.FileServer(http.Dir(folder(t))))
	defer server.Close()
	b := open(t)
	b.do(chromedp.Navigate(server.URL + "/parts.html"))
	const field = `#stop .dial[data-input=speed] .dial-field input`
	set := func(text string) {
		b.run(`{ const f = document.querySelector("` + field + `"); f.value = ` + strconv.Quote(text) + `; f.dispatchEvent(new Event("change", {bubbles: true})) }`)
	}
	set("37.3 mph")
	b.until(`document.querySelector("` + field + `").value === "60"`)
	set("60 furlongs")
	b.until(`document.querySelector("#stop .dial[data-input=speed] .dial-fault")?.textContent.includes("not a unit")`)
	if !value[bool](b, findings+`.includes("17.7")`) {
		t.Error("the last good result is gone")
	}
	set("17 m/s")
	b.until(`document.querySelector("#stop .dial-fault") === null && document.querySelector("` + field + `").value === "61"`)
	b.quiet(server.URL)
}

func TestUnitsSwitch(t *testing.T) {
	server := httptest.NewServer(http.FileServer(http.Dir(folder(t))))
	defer server.Close()
	b := open(t)
	b.do(chromedp.Navigate(server.URL+"/parts.html"), chromedp.Click(`[data-system=imperial]`))
	b.until(findings + `.includes("58\u00a0ft")`) // 17.71 m / 0.3048 = 58.1
	if got := value[string](b, `document.querySelector(".checked").textContent`); got != "58\u00a0ft" {
		t.Errorf("the number in the prose says %q", got)
	}
	b.do(chromedp.Navigate(server.URL + "/parts.html"))
	b.until(findings + `.includes("58\u00a0ft")`)
	b.quiet(server.URL)
}

func TestLongCalculationCanBeStopped(t *testing.T) {
	ways(t, func(t *testing.T, site string) {
		b := open(t)
		b.do(chromedp.Navigate(site + "parts.html#cycle?speed=90km/h"))
		b.until(`document.querySelector("#cycle .explorer-run progress").value > 0`)
		b.run(`document.querySelector("#cycle [data-do=stop]").click()`)
		b.until(`document.querySelector("#cycle .explorer-run").hidden && document.querySelector("#cycle .explorer-word").textContent !== ""`)
		b.run(`document.querySelector("#cycle").restore(["speed=20km/h&rates=10,50"])`)
		b.until(`document.querySelector("#cycle").answer !== undefined || document.querySelector("#cycle .dial-fault") !== null`)
		b.quiet(site)
	})
}

// A crowd of riders says how far it has come, and settles: nothing is under way any more, and the numbers stay.
func TestRidersShowProgressAndSettle(t *testing.T) {
	ways(t, func(t *testing.T, site string) {
		b := open(t)
		b.do(chromedp.Navigate(site + "calculators/rider.html"))
		b.until(`customElements.get("gripleaf-explorer") !== undefined`)
		b.run(`document.querySelector(".explorer").nudge("speed", 5)`)
		b.until(`(p => p.value > 0 && p.value < p.max)(document.querySelector(".explorer-run:not([hidden]) progress") ?? {})`)
		b.until(`(e => e.dataset.state === "shown" && e.answer?.whole && e.querySelector(".explorer-run").hidden)(document.querySelector(".explorer"))`)
		if busy := value[string](b, `document.querySelector(".explorer-frame").getAttribute("aria-busy")`); busy != "false" {
			t.Errorf("it is still busy: %s", busy)
		}
		b.quiet(site)
	})
}

func TestWithoutScript(t *testing.T) {
	ways(t, func(t *testing.T, site string) {
		b := open(t)
		call(b, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
		b.do(chromedp.Navigate(site + "parts.html"))
		text := value[string](b, `document.querySelector("#stop").innerText`)
		for _, want := range []string{"60 km/h", "0.80", "17.7 m", "34.4 m"} {
			if !strings.Contains(strings.ReplaceAll(text, "\u00a0", " "), want) {
				t.Errorf("without a script the explorer lacks %s in\n%s", want, text)
			}
		}
		for _, gone := range []string{".dial .dial-slider", ".tools", ".replay-keys", ".handle"} {
			if box := value[string](b, `(e => e ? getComputedStyle(e).display : "none")(document.querySelector("`+gone+`"))`); box != "none" {
				t.Errorf("%s shows without a script", gone)
			}
		}
		b.quiet(site)
	})
}

func TestNothingMovesAtUpgrade(t *testing.T) {
	ways(t, func(t *testing.T, site string) {
		b := open(t)
		call(b, emulation.SetCPUThrottlingRate, emulation.SetCPUThrottlingRateParams{Rate: 6}) // so that there is a paint before the script
		b.do(chromedp.Navigate(site + "parts.html"))
		b.until(`document.documentElement.classList.contains("script")`)
		b.run(`window.scrollTo(0, 900)`)
		b.until(`document.querySelector("#stop").answer !== undefined || (document.querySelector("#stop").restore(undefined), false)`)
		// Each shift with the elements that moved. A page may be painted when half a line of it has arrived, and the
		// rest of the line then moves it a little; what the script moves is far more.
		const little = 0.002
		type shift struct {
			By   float64
			What string
		}
		all := 0.0
		moved := value[[]shift](b, `new Promise(r => { const moved = []; new PerformanceObserver(l => l.getEntries().forEach(e => moved.push({By: e.value, What: e.sources.map(s => (s.node?.outerHTML ?? s.node?.parentElement?.outerHTML ?? "what is gone").slice(0, 80) + " " + [s.previousRect, s.currentRect].map(r => [r.x, r.y, r.width, r.height]).join(" to ")).join(", ")}))).observe({type: "layout-shift", buffered: true}); requestAnimationFrame(() => requestAnimationFrame(() => setTimeout(() => r(moved), 100))) })`)
		for _, m := range moved {
			all += m.By
		}
		if all > little {
			t.Errorf("the layout shifted by %g: %v", all, moved)
		}
	})
}

func TestSearchForgivesTypos(t *testing.T) {
	ways(t, func(t *testing.T, site string) {
		b := open(t)
		b.do(chromedp.Navigate(site + "parts.html"))
		b.until(`document.documentElement.classList.contains("script")`)
		for typed, want := range map[string]string{"reaction": "Two parts", "GRÍP": "Grip", "wett": "Two parts", "faster": "Faster", "tipping sloppe": ""} {
			b.run(`(document.querySelector(".seek[open]") || document.querySelector("[data-do=seek]").click(), (() => { const f = document.querySelector(".seek-field"); f.value = ` + quoted(typed) + `; f.dispatchEvent(new Event("input")) })())`)
			if want != "" {
				b.until(`[...document.querySelectorAll(".seek-title")].some(t => t.textContent.includes(` + quoted(want) + `))`)
			}
		}
		b.quiet(site)
	})
}

func quoted(s string) string { return `"` + strings.ReplaceAll(s, `"`, `\"`) + `"` }

func TestQuestionsAnswerAtOnce(t *testing.T) {
	ways(t, func(t *testing.T, site string) {
		b := open(t)
		b.do(chromedp.Navigate(site + "parts.html"))
		b.until(`document.documentElement.classList.contains("script")`)
		const answer = `(() => { document.querySelector("#question .answer input").value = %s; document.querySelector("#question [data-do=check]").click() })()`
		b.run(fmt.Sprintf(answer, `"17.5"`)) // within 5 % of 17.71 m
		b.until(`document.querySelector("#question .verdict").dataset.said === "right"`)
		b.run(fmt.Sprintf(answer, `"34"`))
		b.until(`document.querySelector("#question .verdict").dataset.said === "wrong"`)
		b.run(`(() => { const draws = Math.random; Math.random = () => 0.99; document.querySelector("#question [data-do=again]").click(); Math.random = draws })()`)
		b.until(`document.querySelector("#question [data-draw=speed]").textContent === "100\u00a0km/h"`)
		b.run(fmt.Sprintf(answer, `"49.2"`)) // (100/3.6)²/(2·0.8·9.80665) = 49.18 m
		b.until(`document.querySelector("#question .verdict").dataset.said === "right"`)
		b.run(`document.querySelectorAll("#question-2 .choice input")[1].click()`)
		b.until(`document.querySelector("#question-2 .verdict").dataset.said === "right"`)
		b.quiet(site)
	})
}

func TestTermExplainsItself(t *testing.T) {
	ways(t, func(t *testing.T, site string) {
		b := open(t)
		b.do(chromedp.Navigate(site + "parts.html"))
		b.until(`document.documentElement.classList.contains("script")`)
		b.run(`document.querySelector(".term").focus()`)
		b.until(`document.querySelector(".meaning")?.textContent.includes("How hard a tyre holds")`)
		b.do(chromedp.KeyEvent(kb.Escape))
		b.until(`document.querySelector(".meaning") === null`)
		b.quiet(site)
	})
}

func TestReplayFollowsItsClock(t *testing.T) {
	ways(t, func(t *testing.T, site string) {
		b := open(t)
		b.do(chromedp.Navigate(site + "parts.html"))
		b.until(`document.querySelector("#stop").answer !== undefined || (document.querySelector("#stop").restore(undefined), false)`)
		b.run(`(() => { const s = document.querySelector("#stop .replay-slider"); s.value = "0"; s.dispatchEvent(new Event("input", {bubbles: true})) })()`)
		b.until(`document.querySelector("#stop .replay-drawing").textContent.includes("60\u00a0km/h")`)
		b.run(`document.querySelector("#stop [data-do=play]").click()`)
		b.until(`Number(document.querySelector("#stop .replay-slider").value) > 0.3`)
		b.until(`document.querySelector("#stop .cursor") !== null`)
		b.run(`document.querySelector("#stop [data-do=play]").click()`)
		if got := value[string](b, `document.querySelector("#stop [data-do=play]").getAttribute("aria-pressed")`); got != "false" {
			t.Errorf("the replay does not pause: aria-pressed is %s", got)
		}
		b.quiet(site)
	})
}

func TestCursorSaysWhatAFigureShows(t *testing.T) {
	ways(t, func(t *testing.T, site string) {
		b := open(t)
		b.do(chromedp.Navigate(site + "parts.html"))
		b.until(`document.documentElement.classList.contains("script")`)
		const plate = `#stop .plate[data-figure=road] `
		said := func(text string) string {
			return `(document.querySelector("` + plate + `.plate-keys").getAttribute("aria-valuetext") ?? "").includes("` + text + `") && document.querySelector("` + plate + `.cursor-says")?.textContent.includes("` + text + `")`
		}
		b.do(chromedp.Focus(plate+".plate-keys"), chromedp.KeyEvent(kb.Home))
		b.until(said("60\u00a0km/h")) // where the stop begins
		b.do(chromedp.KeyEvent(kb.End), chromedp.KeyEvent(kb.Home), chromedp.KeyEvent(kb.ArrowRight))
		b.until(`document.querySelector("` + plate + `.plate-keys").value === "1"`)
		// A stop of 34.37 m, 16.67 m of them reaction: halfway through the braking the speed is 60 km/h / √2.
		b.run(`document.querySelector("#stop").point({distance: 16.667 + 17.703 / 2})`)
		b.until(said("42\u00a0km/h"))
		b.run(`document.querySelector("#stop .replay-slider").value = 0; document.querySelector("#stop .replay-slider").dispatchEvent(new Event("input", {bubbles: true}))`)
		b.until(said("60\u00a0km/h"))
		b.quiet(site)
	})
}

func TestFigureGoesOnStage(t *testing.T) {
	b := open(t)
	b.do(chromedp.Navigate("file://" + folder(t) + "/parts.html"))
	b.until(`document.documentElement.classList.contains("script")`)
	const figure = `document.querySelector("gripleaf-figure")`
	b.run(figure + `.querySelector("[data-do=stage]").click()`)
	b.until(figure + `.classList.contains("on-stage") && getComputedStyle(document.querySelector("h1")).visibility === "hidden"`)
	b.do(chromedp.KeyEvent("b"))
	b.until(figure + `.dataset.background === "paper"`)
	b.do(chromedp.KeyEvent(kb.Escape))
	b.until(`!` + figure + `.classList.contains("on-stage")`)
}

// What is simulated is worked out beside the page, and the newest state is the one that is shown in the end.
func TestSimulatedStopFollowsTheNewestState(t *testing.T) {
	ways(t, func(t *testing.T, site string) {
		b := open(t)
		b.do(chromedp.Navigate(site + "calculators/antilock.html"))
		b.until(`document.documentElement.classList.contains("script")`)
		b.do(chromedp.Focus(`#antilock .dial[data-input=speed] .dial-slider`))
		for range 5 {
			b.do(chromedp.KeyEvent(kb.ArrowRight))
		}
		b.until(`document.querySelector("#antilock").answer?.query.includes("speed=" + document.querySelector("#antilock .dial[data-input=speed] .dial-slider").value + "km")`)
		b.until(`document.querySelector("#antilock .plate[data-figure=road] svg").getAttribute("aria-label") === document.querySelector("#antilock").answer.plates.find(f => f.name === "road")?.svg.match(/aria-label="([^"]*)"/)[1]`)
		b.run(`document.querySelector("#antilock [data-do=play]").click()`)
		b.until(`Number(document.querySelector("#antilock .replay-slider").value) > 0.2`)
		b.quiet(site)
	})
}

func TestKeptSiteNeedsNoNetwork(t *testing.T) {
	server := httptest.NewServer(http.FileServer(http.Dir(folder(t))))
	b := open(t)
	b.do(chromedp.Navigate(server.URL + "/parts.html"))
	b.until(`document.querySelector("[data-keep] button")?.textContent === "Keep for offline reading"`)
	b.run(`document.querySelector("[data-keep] button").click()`)
	b.until(`document.querySelector("[data-keep] button").textContent.startsWith("Keep ") && document.querySelector("[data-keep]").textContent.includes("MB")`)
	b.run(`document.querySelector("[data-keep] button").click()`)
	b.until(`document.querySelector("[data-keep]").textContent.includes("is kept on your device")`)
	server.Close()
	b.do(chromedp.Navigate(server.URL + "/second.html"))
	if got := value[string](b, `document.querySelector("h1").textContent`); got != "The second stop" {
		t.Errorf("without a network the page says %q", got)
	}
	b.do(chromedp.Navigate(server.URL + "/parts.html#stop?speed=100km/h&grip=0.7"))
	b.until(findings + `.includes("84.0")`)
}

// A window of 1280 px at 400 % zoom is 320 px wide (WCAG 2.2, 1.4.10).
func TestZoomLosesNothing(t *testing.T) {
	b := open(t)
	call(b, emulation.SetDeviceMetricsOverride, emulation.SetDeviceMetricsOverrideParams{Width: 320, Height: 640, DeviceScaleFactor: 1})
	for _, name := range []string{"index.html", "parts.html", "glossary.html", "calculators.html", "calculators/antilock.html", "calculators/stop-embed.html", "de/parts.html"} {
		b.do(chromedp.Navigate("file://" + folder(t) + "/" + name))
		if wide := value[int](b, `document.documentElement.scrollWidth`); wide > 320 {
			t.Errorf("%s is %d px wide in a window of 320", name, wide)
		}
	}
}
