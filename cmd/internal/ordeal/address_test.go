//go:build unix

package ordeal_test

import (
	"context"
	"flag"
	"fmt"
	"html"
	"math/rand/v2"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"example.org/gripleaf/calculators/standard"
	"example.org/gripleaf/cmd/internal/cache"
	"example.org/gripleaf/cmd/internal/wasm"
)

var addresses = flag.Int("addresses", 60, "how many texts to put into the address of a page")

// pieces are what texts in addresses are made of: markup, ends of quotes, escapes whole and broken, names that objects
// have, signs that the address itself uses.
var pieces = []string{
	`<img src=x onerror=hit(1)>`, `<script>hit(1)</script>`, `"onmouseover="hit(1)`, `'];hit(1)//`, `"]`, `\`, `${hit(1)}`, `javascript:hit(1)`, `</title>`, `-->`,
	`%`, `%2`, `%FF`, `%C3%28`, `%00`, `%0A`, `%22%3E%3Cimg%20src=x%20onerror=hit(1)%3E`, `%E2%80%AE`, `&`, `=`, `;`, `#`, `?`, `+`, `&&==`, `&speed=`, `;stop?`, `;slip?slip=`,
	`__proto__`, `constructor`, `toString`, `speed`, `grip`, `surface`, `stop`, `dry-asphalt`, `60km/h`, `1e308m/s`, `-0`, `NaN`, `Infinity`, `0x10`, `١٢`, `１２`, "\u202e", "\ufeff", "\U0001F600", `é`, ` `,
}

// fragment draws a text for an address.
func fragment(r *rand.Rand) string {
	var b strings.Builder
	for range 1 + r.IntN(6) {
		b.WriteString(pieces[r.IntN(len(pieces))])
	}
	if r.IntN(50) == 0 {
		return strings.Repeat(b.String(), 2000)
	}
	return b.String()
}

// addressWith puts a text into one of the places of an address that the page reads.
func addressWith(r *rand.Rand, text string) (query, hash string) {
	input := []string{"speed", "grip", "reaction", "surface"}[r.IntN(4)]
	if r.IntN(2) == 0 {
		text = url.QueryEscape(text)
	}
	switch r.IntN(7) {
	case 0:
		return "", "stop?" + input + "=" + text
	case 1:
		return "", "stop?" + text + "=60km/h"
	case 2:
		return "", "stop?speed=50km/h&" + input + "=" + text + ";stop-2?speed=" + text
	case 3:
		return "", text + "?speed=60km/h"
	case 4:
		return "", text
	case 5:
		return "?stage=" + text + "&background=" + text, ""
	}
	return "?" + text, "stop?" + input + "=" + text
}

// Any text in any part of the address is only ever text: it makes no element, runs nothing, throws nothing, asks for
// nothing, and the explorer works again as soon as the address means something.
func TestAddresses(t *testing.T) {
	t.Parallel()
	f := plain()
	f["en/stop.md"] += "\n![From 30 km/h](calc:stop?speed=30km/h)\n"
	folder, _ := f.site(t)
	mustRun(t, folder, "build", "site", "--out", "built")
	site := serve(t, filepath.Join(folder, "built"))
	b := openTab(t, sentinel)
	r := rand.New(rand.NewPCG(*seed, 1))
	b.goTo(site + "stop.html")
	b.until(`document.documentElement.classList.contains("script")`)
	const shape = `[...document.querySelectorAll("main *")].filter(e => !e.closest("svg, table, .dial-fault, .finding, .explorer-word, .stage-keys, option")).map(e => e.localName).join()`
	before := value[string](b, shape)
	for n := range *addresses {
		query, hash := addressWith(r, fragment(r))
		what := fmt.Sprintf("address %d: %.200q %.200q", n, query, hash)
		if query != "" || n%10 == 0 { // loaded
			b.goTo(site + "stop.html" + query + "#" + hash)
		} else { // followed
			value[bool](b, `(location.hash = `+strconv.Quote("#"+strings.ToValidUTF8(hash, ""))+`, true)`)
		}
		value[bool](b, `new Promise(done => setTimeout(() => done(true), 10))`)
		if loaded := value[bool](b, `customElements.get("gripleaf-explorer") !== undefined && document.querySelector("#stop") !== null`); !loaded {
			t.Errorf("%s: the page is gone", what)
		}
		b.unharmed(what, site)
		if t.Failed() {
			return
		}
	}
	value[bool](b, `(location.hash = "#stop?speed=61km/h&grip=0.8", true)`)
	b.until(`[...document.querySelectorAll("#stop .finding")].some(e => e.textContent.includes("18.3"))`) // (61/3.6)²/(2·0.8·9.80665) = 18.298 m
	value[bool](b, `(document.querySelectorAll("gripleaf-explorer").forEach(e => e.reset()), true)`)
	b.until(`!document.querySelector("[data-fault]")`)
	if after := value[string](b, shape); after != before {
		t.Errorf("the page has other elements than before\n%s\n%s", before, after)
	}
}

// The policy of every page: nothing but what the site itself has, no inline script, no eval but that of WebAssembly, no
// form, no other base. And no page refers to a script, style or picture of another place.
func TestPolicy(t *testing.T) {
	t.Parallel()
	folder, _ := plain().site(t)
	mustRun(t, folder, "build", "site", "--out", "built")
	policy := regexp.MustCompile(`<meta http-equiv="Content-Security-Policy" content="([^"]*)">`)
	hash := regexp.MustCompile(` 'sha256-[^']+'`) // of what a page says of itself for machines, which is no program
	loads := regexp.MustCompile(`(?:<script[^>]* src|<img[^>]* src|<link rel="(?:stylesheet|icon|manifest)" href)="([a-z]+:)?//`)
	pages := 0
	for name := range state(t, filepath.Join(folder, "built")) {
		if !strings.HasSuffix(name, ".html") {
			continue
		}
		pages++
		text := string(must(os.ReadFile(filepath.Join(folder, "built", name))))
		m := policy.FindStringSubmatch(text)
		if m == nil {
			t.Errorf("%s has no policy", name)
			continue
		}
		head, _, _ := strings.Cut(text, m[0])
		if strings.Contains(head, "<script") || strings.Contains(head, "<link") {
			t.Errorf("%s loads something before its policy", name)
		}
		rules := strings.Split(hash.ReplaceAllString(html.UnescapeString(m[1]), ""), "; ")
		for _, wanted := range []string{"default-src 'none'", "script-src 'self' 'wasm-unsafe-eval'", "style-src 'self'", "img-src 'self' data:", "connect-src 'self'", "base-uri 'none'", "form-action 'none'"} {
			if !slices.Contains(rules, wanted) {
				t.Errorf("%s: the policy is %q, without %s", name, rules, wanted)
			}
		}
		for _, rule := range rules {
			if regexp.MustCompile(`unsafe-inline|'unsafe-eval'|\*|http`).MatchString(rule) {
				t.Errorf("%s: the policy has %s", name, rule)
			}
		}
		if at := loads.FindString(text); at != "" {
			t.Errorf("%s loads %s", name, at)
		}
	}
	if pages < 30 {
		t.Errorf("only %d pages", pages)
	}
}

// trial is a site with a calculator of its own that works, panics or does not come to an end.
func trial() files {
	return bare().with(files{
		"en/stop.md":         head + "![A trial](calc:trial?way=0)\n",
		"calculators/go.mod": "module trial.example/calculators\n\ngo 1.26\n\nrequire example.org/gripleaf v0.0.0\n",
		"calculators/trial/trial.go": `// Package trial goes wrong on demand.
package trial

import (
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/quantity"
)

var number = quantity.Shown{Kind: quantity.Number}

var Calculator = kit.Calculator{
	ID: "trial", Title: "Trial", Question: "Does it work?",
	Inputs:  []kit.Input{{Name: "way", Label: "Way", Shown: number, Default: "0", Min: 0, Max: 100, Step: 1}},
	Outputs: []kit.Output{{Name: "twice", Label: "Twice", Sentence: "Twice that is {}.", Shown: number, Main: true}},
	Work: func(w *kit.Work) error {
		way := w.Number("way")
		switch way {
		case 13:
			panic("unlucky number")
		case 66:
			for x := 1.0; x > 0; x = 3 - x {
			}
		}
		w.Put("twice", 2*way)
		return nil
	},
}
`,
	})
}

// A module that traps is started anew, and one that gives no sign is stopped; the explorer says which, and keeps the
// last good result.
func TestCalculatorsThatFail(t *testing.T) {
	t.Parallel()
	folder, _ := trial().site(t)
	mustRun(t, folder, "build", "site", "--out", "built")
	site := serve(t, filepath.Join(folder, "built"))
	hasty := `{ const later = window.setTimeout; window.setTimeout = (f, ms, ...a) => later(f, ms >= 10000 ? ms / 4 : ms, ...a); }`
	b := openTab(t, sentinel+hasty)
	b.goTo(site + "stop.html#trial?way=21")
	const result = `document.querySelector("#trial .finding").textContent`
	const word = `document.querySelector("#trial .explorer-word").textContent`
	b.until(result + `.includes("42")`)
	value[bool](b, `(location.hash = "#trial?way=13", true)`)
	b.until(word + `.includes("panic: unlucky number") && ` + word + `.includes("started anew") && document.querySelector("#trial[data-stale]") !== null`)
	if text := value[string](b, result); !strings.Contains(text, "42") {
		t.Errorf("after a trap the explorer shows %q", text)
	}
	value[bool](b, `(location.hash = "#trial?way=22", true)`)
	b.until(result + `.includes("44") && ` + word + ` === "" && document.querySelector("#trial[data-stale]") === null`)
	value[bool](b, `(location.hash = "#trial?way=66", true)`)
	b.until(word + `.includes("Stopped: for 20 seconds the calculator gave no sign") && document.querySelector("#trial .explorer-run").hidden`)
	if text := value[string](b, result); !strings.Contains(text, "44") {
		t.Errorf("after a stop the explorer shows %q", text)
	}
	value[bool](b, `(location.hash = "#trial?way=23", true)`)
	b.until(result + `.includes("46") && ` + word + ` === ""`)
	b.unharmed("trial", site)
}

// The builder outlives a calculator of the site's own that panics or does not come to an end, says so at the link that
// asked, and goes on with the others.
func TestBuilderOutlivesCalculators(t *testing.T) {
	t.Parallel()
	f := trial()
	f["en/stop.md"] += "\n[26](calc:trial?way=13#twice) and [4](calc:trial?way=2#twice) and [7](calc:trial?way=3#twice)\n"
	folder, site := f.site(t)
	o := run(t, folder, "build", "site", "--out", "built")
	for _, want := range []string{"site/calculators/trial/trial.go:19:4: panic: unlucky number", "it happens with calc:trial?way=13", "site/en/stop.md:7:1: worked out for this", `stop.md:7:68: "7" is written, 6.00 is worked out`, "2 faults"} {
		if o.code != 1 || !strings.Contains(o.err, want) {
			t.Errorf("exit code %d, no %s in %s", o.code, want, o.err)
		}
	}
	source, err := wasm.New(cache.Cache{Folder: filepath.Join(scratch, "cache", "gripleaf")}, site)
	if err != nil {
		t.Fatal(err)
	}
	sandbox, err := source.Sandbox(context.Background(), standard.Set, 2*time.Second)
	if err != nil {
		t.Fatal(err)
	}
	defer sandbox.Close()
	for range 2 { // the second time it is not asked
		start := time.Now()
		if _, err := sandbox.Set().Work("trial?way=66"); err == nil || !strings.Contains(err.Error(), `the calculator "trial" came to no end within 2s`) {
			t.Errorf("an endless calculation: %v", err)
		}
		if took := time.Since(start); took > 15*time.Second {
			t.Errorf("it took %v", took)
		}
	}
	sandbox.Begin()
	if w, err := sandbox.Set().Work("trial?way=4"); err != nil || w.Outputs[0] != 8 {
		t.Errorf("the calculation after it: %v", err)
	}
}
