package page_test

import (
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// brought is how a page's script is handed a file: as if it had been dropped on the explorer, or chosen.
const brought = `
	const explorer = document.querySelector(".explorer");
	const carry = new DataTransfer();
	carry.items.add(new File([text], name));
	if (how === "drop") explorer.dispatchEvent(new DragEvent("drop", { bubbles: true, cancelable: true, dataTransfer: carry }));
	else {
		const field = explorer.querySelector(".intake input");
		field.files = carry.files;
		field.dispatchEvent(new Event("change", { bubbles: true }));
	}`

func (b *tab) bring(how, name, text string) {
	b.t.Helper()
	b.run(`((how, name, text) => {` + brought + `})(` + strconv.Quote(how) + `, ` + strconv.Quote(name) + `, ` + strconv.QuoteToASCII(text) + `)`)
}

func logText(t *testing.T, name string) string {
	t.Helper()
	text, err := os.ReadFile("../../../testdata/stops/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// results are what the explorer of a page by itself shows.
const results = `[...document.querySelectorAll(".finding:not([hidden])")].map(f => f.textContent).join("|")`

func TestLogInThePage(t *testing.T) {
	ways(t, func(t *testing.T, site string) {
		b := open(t)
		b.do(chromedp.Navigate(site + "calculators/test.html"))
		b.until(`customElements.get("gripleaf-explorer") !== undefined`)
		before := value[string](b, results)

		b.run(`document.querySelector(".intake input").addEventListener("click", e => { e.preventDefault(); document.body.dataset.asked = "" })`)
		b.do(chromedp.Focus(".intake button"), chromedp.KeyEvent(kb.Enter))
		b.until(`document.body.dataset.asked !== undefined`)

		b.bring("drop", "rosa-1.csv", logText(t, "rosa-1.csv"))
		b.until(results + `.includes("6.91\u00a0±\u00a00.02\u00a0m/s²")`) // as the test of the calculator has it: 6.900 was ridden
		if got := value[string](b, results); !strings.Contains(got, "hardest half second") {
			t.Errorf("the greatest deceleration is not told: %s", got)
		}
		if got := value[string](b, `document.querySelector(".intake-file").textContent`); got != "rosa-1.csv" {
			t.Errorf("the file is called %q", got)
		}
		notes := value[string](b, `document.querySelector(".explorer-series").textContent`)
		for _, want := range []string{"65there is nothing for 0.25 s", "71the speed is far off", "117the time runs backwards"} {
			if !strings.Contains(notes, want) {
				t.Errorf("no note %q in %q", want, notes)
			}
		}
		if value[bool](b, `[...document.querySelectorAll(".dial[data-read] input")].some(i => !i.disabled) || document.querySelectorAll(".dial[data-read]").length !== 4`) {
			t.Error("what the log tells can be set beside it")
		}
		if got := value[string](b, `document.querySelector('.plate[data-figure="speeds"] .figure').textContent`); !strings.Contains(got, "80 %") || !strings.Contains(got, "10 %") {
			t.Errorf("the marks are not in the figure: %s", got)
		}

		b.bring("choose", "jonas-2.gpx", logText(t, "jonas-2.gpx"))
		b.until(results + `.includes("6.61\u00a0±\u00a00.03\u00a0m/s²")`) // as the command says
		if got := value[string](b, `document.querySelector(".explorer-series").textContent`); !strings.Contains(got, "127") {
			t.Errorf("braking does not start at point 27 of the track: %s", got)
		}

		b.bring("drop", "bad.csv", "time (s),speed (km/h)\n0,36\n1,fast\n2,slow\n")
		b.until(`document.querySelector(".explorer-word").textContent.includes('row 3: "fast" is not a number')`)
		if got := value[string](b, `document.querySelector(".explorer-word").textContent`); !strings.Contains(got, "row 4") {
			t.Errorf("only one fault is told: %s", got)
		}
		b.bring("drop", "bad.gpx", "<gpx></gpx>")
		b.until(`document.querySelector(".explorer-word").textContent.includes("the file has no track point")`)
		b.bring("drop", "broken.gpx", "<gpx><trk><trkpt lat='1' lon='2'>")
		b.until(`document.querySelector(".explorer-word").textContent.includes("row 1: the XML breaks off within a track point")`)

		// A log that does not say its unit leads to where it can be said, and the old file's results are greyed until then.
		b.run(`document.activeElement.blur()`)
		b.bring("drop", "bare.csv", strings.Replace(logText(t, "rosa-1.csv"), " (km/h)", "", 1))
		b.until(`document.activeElement.closest(".dial")?.dataset.input === "log-speed"`)
		if !value[bool](b, `document.querySelector(".dials-more").open && document.querySelector(".explorer").matches("[data-stale]") && getComputedStyle(document.querySelector(".findings-main")).opacity < 0.5`) {
			t.Error("an old file's results stand below a log without units")
		}
		b.run(`(f => { f.value = "kmh"; f.dispatchEvent(new Event("change", { bubbles: true })) })(document.activeElement)`)
		b.until(results + `.includes("6.91\u00a0±\u00a00.02\u00a0m/s²") && !document.querySelector(".explorer").matches("[data-stale]")`)

		b.run(`document.querySelectorAll(".intake button")[1].click()`)
		b.until(`document.querySelector(".explorer-word").hidden`)
		if got := value[string](b, results); got != before {
			t.Errorf("without the log the page says\n%s\nand said\n%s", got, before)
		}
		if value[bool](b, `document.querySelectorAll(".dial[data-read], .dial input:disabled").length > 0 || document.querySelectorAll(".explorer-series").length !== 2`) {
			t.Error("something of the log is left")
		}
		b.quiet(site)
	})
}
