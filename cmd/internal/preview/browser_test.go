package preview

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"

	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/judge"
)

// A browser takes over what is new as it should, under the policy of the site.
func TestInABrowser(t *testing.T) {
	tab := judge.Tab(t)
	dir := newSite(t)
	write(t, filepath.Join(dir, "style.00000001.css"), "p { color: rgb(1, 0, 0) }")
	write(t, filepath.Join(dir, "index.html"), pageOf("<p>one</p>"))
	server := start(t, &Server{Dir: dir})
	run := func(what, script string) {
		t.Helper()
		if _, err := chromedp.Run(tab, chromedp.Evaluate[chromedp.Void](script)); err != nil {
			t.Fatalf("%s: %v", what, err)
		}
	}
	until := func(what, script string) {
		t.Helper()
		for tab.Err() == nil {
			if yes, err := chromedp.Run(tab, chromedp.Evaluate[bool](script)); err == nil && yes { // an error is a page on its way
				return
			}
		}
		t.Fatalf("%s: waited in vain", what)
	}

	if err := chromedp.Do(tab, chromedp.Navigate("http://"+server.addr+"/")); err != nil {
		t.Fatal(err)
	}
	for joined := 0; joined == 0; {
		server.hub.mu.Lock()
		joined = len(server.hub.pages)
		server.hub.mu.Unlock()
	}
	run("mark the page", "window.mark = 1; document.addEventListener('gripleaf:module', e => { e.preventDefault(); window.module = e.detail.paths[0] }, {once: true}); undefined")

	write(t, filepath.Join(dir, "style.00000002.css"), "p { color: rgb(2, 0, 0) }")
	os.Remove(filepath.Join(dir, "style.00000001.css"))
	server.Notify(Event{Kind: Style, Paths: []string{"other.00000002.css", "style.00000002.css"}})
	until("the new style", "getComputedStyle(document.querySelector('p')).color === 'rgb(2, 0, 0)' && document.querySelectorAll('link').length === 1 && window.mark === 1")

	server.Notify(Event{Kind: Module, Paths: []string{"module.2.wasm"}})
	until("the new module", "window.module === 'module.2.wasm' && window.mark === 1")

	server.Notify(Event{Kind: Busy})
	const note = "document.documentElement.lastElementChild"
	until("what takes a while", note+".getAttribute('role') === 'status' && "+note+".textContent.startsWith('The calculators are being compiled.') && getComputedStyle("+note+").position === 'fixed'")
	server.Notify(Event{Kind: Rest})
	until("the end of it", note+".getAttribute('role') === null && window.mark === 1")

	server.Notify(Event{Kind: Faulty, Faults: fault.List{
		{File: "a.md", Line: 1, Column: 3, Length: 4, Excerpt: "😀 stpo <b>", Text: "no calculator", Hint: "did you mean stop?", Notes: []fault.Note{{Text: "see b.md"}}},
		{Text: "<img src=x onerror=alert(1)>"},
	}})
	const panel = "document.documentElement.lastElementChild.shadowRoot"
	until("the faults", panel+"?.querySelectorAll('li').length === 2")
	until("the place at fault", panel+".querySelector('mark').textContent === 'stpo'")
	until("no markup from messages", "!"+panel+".querySelector('img, b')")
	until("the style of the panel", "getComputedStyle("+panel+".querySelector('section')).overflowY === 'auto'")
	server.Notify(Event{Kind: Mended})
	until("no faults", "!document.documentElement.lastElementChild.shadowRoot && window.mark === 1")

	write(t, filepath.Join(dir, "index.html"), pageOf("<p>two</p>"))
	server.Notify(Event{Kind: Page})
	until("the new page", "document.querySelector('p')?.textContent === 'two' && window.mark === undefined")

	run("mark the page", "window.mark = 2; undefined")
	server.Notify(Event{Kind: Module, Paths: []string{"module.3.wasm"}}) // which the page does nothing about
	until("the page anew", "window.mark === undefined && document.readyState === 'complete'")
}
