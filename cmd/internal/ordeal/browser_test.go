//go:build unix

package ordeal_test

import (
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"

	"example.org/gripleaf/cmd/internal/judge"
)

// browser is one Chromium with an empty profile, for all tests.
type browser struct {
	context.Context
	close func()
}

var (
	theBrowser *browser
	starting   sync.Mutex
)

func closeBrowser() {
	if theBrowser != nil {
		theBrowser.close()
	}
}

func startBrowser(t testing.TB) *browser {
	t.Helper()
	starting.Lock()
	defer starting.Unlock()
	if theBrowser != nil {
		return theBrowser
	}
	profile, err := os.MkdirTemp(scratch, "profile-")
	if err != nil {
		t.Fatal(err)
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(judge.Browser(t)), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true), chromedp.UserDataDir(profile))
	allocator, stop := chromedp.NewExecAllocator(context.Background(), options...)
	ctx, cancel := chromedp.NewContext(allocator)
	theBrowser = &browser{ctx, func() {
		_ = chromedp.Cancel(ctx)
		cancel()
		stop()
	}}
	if err := chromedp.Do(ctx); err != nil {
		t.Fatal(err)
	}
	return theBrowser
}

// tab is a tab, and what was asked for and thrown in it.
type tab struct {
	context.Context
	t        testing.TB
	mu       sync.Mutex
	asked    map[string]string // by the browser's id of the request
	requests []string
	thrown   []string
	cookies  int // that a reply set
}

// sentinel counts in every frame what no page does by itself: whatever an attack runs calls one of these.
const sentinel = `var struck = []; for (const name of ["alert", "confirm", "prompt", "print", "open"]) window[name] = (...a) => void struck.push(name + a); window.hit = (...a) => void struck.push("hit" + a);`

// open opens a tab in which a script runs before those of any page.
func openTab(t testing.TB, before string) *tab {
	t.Helper()
	ctx, cancel := chromedp.NewContext(startBrowser(t))
	b := &tab{Context: ctx, t: t, asked: make(map[string]string)}
	t.Cleanup(func() {
		_ = chromedp.Cancel(ctx)
		cancel()
	})
	if err := chromedp.Listen(ctx, b.hear); err != nil {
		t.Fatal(err)
	}
	call(b, network.Enable, network.EnableParams{})
	call(b, runtime.Enable, cdp.Empty{})
	call(b, page.Enable, page.EnableParams{})
	call(b, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: before})
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
		b.asked[string(e.RequestID)] = e.Request.URL
		b.requests = append(b.requests, e.Request.URL)
	case *network.EventLoadingFailed:
		if e.BlockedReason == network.BlockedReasonCsp { // it was not sent
			b.requests = slices.DeleteFunc(b.requests, func(url string) bool { return url == b.asked[string(e.RequestID)] })
		}
	case *network.EventResponseReceivedExtraInfo:
		for name := range e.Headers {
			if strings.EqualFold(name, "Set-Cookie") {
				b.cookies++
			}
		}
	case *runtime.EventExceptionThrown:
		b.thrown = append(b.thrown, fmt.Sprint(e.ExceptionDetails))
	}
}

// goTo loads a page.
func (b *tab) goTo(address string) {
	b.t.Helper()
	within, end := context.WithTimeout(b, time.Minute)
	defer end()
	if err := chromedp.Do(within, chromedp.Navigate(address)); err != nil {
		b.t.Fatalf("%s: %v", address, err)
	}
}

// value is what an expression of the page gives.
func value[T any](b *tab, expression string) T {
	b.t.Helper()
	within, end := context.WithTimeout(b, time.Minute)
	defer end()
	v, err := chromedp.Run(within, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	if err != nil {
		b.t.Fatalf("%.200s: %v (thrown: %q)", expression, err, b.thrown)
	}
	return v
}

// until waits for an expression of the page to hold.
func (b *tab) until(expression string) {
	b.t.Helper()
	value[bool](b, "new Promise(done => { const look = () => ("+expression+") ? done(true) : setTimeout(look, 20); look() })")
}

// comes waits for an expression to hold in a page that may load anew meanwhile.
func (b *tab) comes(expression string) {
	b.t.Helper()
	within, end := context.WithTimeout(b, time.Minute)
	defer end()
	for within.Err() == nil {
		if yes, err := chromedp.Run(within, chromedp.Evaluate[bool](expression)); err == nil && yes {
			return
		}
	}
	b.t.Fatalf("%.200s: waited in vain", expression)
}

// unharmed fails if something ran that no page of ours runs, went out of the site, or threw.
func (b *tab) unharmed(what, site string) {
	b.t.Helper()
	if struck := value[string](b, `JSON.stringify(struck)`); struck != "[]" {
		b.t.Errorf("%s: %s was run", what, struck)
	}
	if odd := value[string](b, oddities); odd != "" {
		b.t.Errorf("%s: the page holds %s", what, odd)
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, text := range b.thrown {
		b.t.Errorf("%s: thrown: %s", what, text)
	}
	for _, url := range b.requests {
		if !strings.HasPrefix(url, site) && !strings.HasPrefix(url, "data:image/") && !strings.HasPrefix(url, "blob:"+site) {
			b.t.Errorf("%s: a request went to %s", what, url)
		}
	}
	if b.cookies > 0 {
		b.t.Errorf("%s: %d replies set a cookie", what, b.cookies)
	}
	b.thrown, b.requests, b.cookies = nil, nil, 0
}

// oddities names what a page of ours never holds, whatever it shows as text: handlers in attributes, addresses that are
// programs, elements that run or load something, cookies, and what is stored besides a reader's own choices.
const oddities = `(() => {
	const found = [];
	for (const e of document.querySelectorAll("*")) {
		for (const a of e.attributes) {
			if (/^on/i.test(a.name)) found.push(e.localName + " " + a.name);
			if (/^(href|src|xlink:href|action|formaction|data|srcdoc|to|values)$/i.test(a.name) && /^[\s\x00-\x1f]*(javascript|vbscript|data:text|data:application|data:image\/svg)/i.test(a.value) && e.localName !== "link")
				found.push(e.localName + " " + a.name + "=" + a.value);
		}
		if (/^(iframe|frame|object|embed|applet|base|meta-refresh|form|foreignobject|set|animate|style|marquee|bgsound|layer|xml|audio|video)$/i.test(e.localName)) found.push(e.localName);
		if (e.localName === "script" && !e.src.startsWith(location.origin) && e.type !== "application/ld+json") found.push("script " + e.outerHTML.slice(0, 80));
		if (e.localName === "meta" && /refresh|set-cookie/i.test(e.httpEquiv)) found.push("meta " + e.httpEquiv);
		if (e.localName === "link" && !/^(stylesheet|icon|canonical|alternate|manifest)$/.test(e.rel)) found.push("link " + e.rel);
	}
	if (document.cookie) found.push("cookie " + document.cookie);
	for (const store of [localStorage, sessionStorage]) for (const key of Object.keys(store)) if (!key.startsWith("gripleaf-")) found.push("store " + key);
	return found.join(", ");
})()`

// serve serves a folder as any web server does.
func serve(t testing.TB, folder string) (site string) {
	t.Helper()
	server := httptest.NewServer(http.FileServer(http.Dir(folder)))
	t.Cleanup(server.Close)
	return server.URL + "/"
}
