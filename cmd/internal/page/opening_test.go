package page_test

import (
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

// A lesson's first sentence comes before the links to its parts, and nothing of its body is lost or said twice.
func TestLessonBeginsWithItsFirstSentence(t *testing.T) {
	site := experimentSite(t)
	b := open(t)
	b.do(chromedp.Navigate(site + "bet.html"))
	order := value[string](b, `[...document.querySelector("article").children].slice(1, 4).map(e => e.localName + ":" + e.textContent.trim().slice(0, 12)).join("|")`)
	if want := "p:First guess.|nav:TwoThree|"; !strings.HasPrefix(order, want) {
		t.Errorf("the lesson begins %q, want %q", order, want)
	}
	if got := value[int](b, `document.querySelector("article").textContent.split("First guess.").length - 1`); got != 1 {
		t.Errorf("the first sentence stands there %d times", got)
	}
}

// A stop on the strip of road says its name to who points at it, by hand or by key.
func TestStripSaysNames(t *testing.T) {
	site := experimentSite(t)
	b := open(t)
	b.do(chromedp.Navigate(site + "bet.html"))
	const width = `document.querySelector(".strip .aside").getBoundingClientRect().width`
	if got := value[float64](b, width); got > 1 {
		t.Errorf("at rest the name takes %v px", got)
	}
	b.run(`document.querySelector(".strip a").focus({ focusVisible: true })`)
	if got := value[float64](b, width); got < 30 {
		t.Errorf("with the focus the name takes %v px", got)
	}
}

// Where a system sets its own few colours, a slider's thumb is told apart from what lies behind it.
func TestThumbsInForcedColours(t *testing.T) {
	site := experimentSite(t)
	b := open(t)
	call(b, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "forced-colors", Value: "active"}}})
	b.do(chromedp.Navigate(site + "bet.html"))
	got := value[[]string](b, `(e => ["--ink", "--panel", "forced-color-adjust"].map(p => getComputedStyle(e).getPropertyValue(p).trim()))(document.querySelector(".dial-slider"))`)
	if len(got) != 3 || got[0] == got[1] || got[2] != "none" {
		t.Errorf("thumb, ground and adjustment: %q", got)
	}
}
