// Package inspection has the demo course judged from outside, page by page, as readers get it: for accessibility by
// axe-core, for valid HTML by the Nu checker, for speed by Lighthouse, and by Firefox for a second browser's view.
package inspection

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/andybalholm/brotli"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"example.org/gripleaf/cmd/internal/build"
	"example.org/gripleaf/cmd/internal/cache"
	"example.org/gripleaf/cmd/internal/judge"
)

// judges is where the judges from the npm registry are installed.
const judges = "../../../testdata/judges/node_modules"

// scratch is where the demo course is, once it is built.
var scratch string

// demo builds the demo course once for all tests.
var demo = sync.OnceValues(func() (string, error) {
	folder, err := os.MkdirTemp("", "gripleaf-inspection-")
	if err != nil {
		return "", err
	}
	scratch = folder
	b := &build.Builder{Site: "../../../content", Out: filepath.Join(folder, "built"), Cache: cache.Open()}
	defer b.Close()
	_, err = b.Build(context.Background())
	return b.Out, err
})

func TestMain(m *testing.M) {
	code := m.Run()
	os.RemoveAll(scratch)
	os.Exit(code)
}

func built(t testing.TB) string {
	t.Helper()
	folder, err := demo()
	if err != nil {
		t.Fatal(err)
	}
	return folder
}

// installed gives the path of a judge from the npm registry. Without it the test is skipped, and fails under CI.
func installed(t testing.TB, path string) string {
	t.Helper()
	file, err := filepath.Abs(filepath.Join(judges, path))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(file); errors.Is(err, fs.ErrNotExist) {
		if os.Getenv("CI") != "" {
			t.Fatalf("%s is not installed: npm ci --prefix testdata/judges", path)
		}
		t.Skipf("%s is not installed: npm ci --prefix testdata/judges", path)
	}
	return file
}

// looked are the pages that are judged in every width and light: one of each kind, and a language of either direction.
var looked = []string{"index.html", "how-a-stop-is-made.html", "release-hold-rebuild.html", "hands-against-the-controller.html",
	"glossary.html", "sources.html", "calculators.html", "calculators/antilock.html", "pages/for-instructors.html",
	"ar/how-a-stop-is-made.html", "hi/how-a-stop-is-made.html"}

// axeRun gives what axe-core finds against WCAG 2.2, levels A and AA, a line for each kind and place.
const axeRun = `axe.run(document, {runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}).then(found =>
	found.violations.flatMap(v => v.nodes.slice(0, 3).map(n => v.id + " at " + n.target + ": " + (n.any[0] ?? n.all[0] ?? n.none[0])?.message)).join("\n"))`

// lettersRun gives the drawings whose letters are not of 12 to 17 px on the screen, a line for each.
const lettersRun = `[...document.querySelectorAll("svg.figure")].flatMap(svg => {
	const size = parseFloat(getComputedStyle(svg).fontSize) * (svg.getScreenCTM()?.a ?? 0);
	return svg.getBoundingClientRect().width === 0 || 12 <= size && size <= 17 ? [] : [svg.getAttribute("aria-label").slice(0, 40) + ": letters of " + size.toFixed(1) + " px"];
}).join("\n")`

func TestAccessibleInEveryWidthAndLight(t *testing.T) {
	axe, err := os.ReadFile(installed(t, "axe-core/axe.min.js"))
	if err != nil {
		t.Fatal(err)
	}
	server := httptest.NewServer(http.FileServer(http.Dir(built(t))))
	defer server.Close()
	ctx := tab(t)
	for _, width := range []int64{360, 1280} {
		for _, light := range []string{"light", "dark"} {
			see(t, ctx, width, light)
			for _, page := range looked {
				within, end := context.WithTimeout(ctx, time.Minute)
				err := chromedp.Do(within, chromedp.Navigate(server.URL+"/"+page))
				if err == nil {
					_, err = chromedp.Run(within, chromedp.Evaluate[any](string(axe)+"; true"))
				}
				if err != nil {
					t.Fatalf("%s: %v", page, err)
				}
				found, err := chromedp.Run(within, chromedp.Evaluate[string](axeRun, chromedp.EvalAwaitPromise))
				if err == nil {
					letters, failed := chromedp.Run(within, chromedp.Evaluate[string](lettersRun))
					found, err = found+letters, failed
				}
				end()
				if err != nil {
					t.Fatalf("%s: %v", page, err)
				}
				if found != "" {
					t.Errorf("%s, %d px, %s:\n%s", page, width, light, found)
				}
			}
		}
	}
}

// see gives the tab a width and a light.
func see(t testing.TB, ctx context.Context, width int64, light string) {
	t.Helper()
	_, err := chromedp.Call(ctx, emulation.SetDeviceMetricsOverride, emulation.SetDeviceMetricsOverrideParams{Width: width, Height: 800, DeviceScaleFactor: 1})
	if err == nil {
		_, err = chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
			Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: light}, {Name: "prefers-reduced-motion", Value: "reduce"}}})
	}
	if err != nil {
		t.Fatal(err)
	}
}

// tab is a browser's tab that lives as long as the test.
func tab(t testing.TB) context.Context {
	t.Helper()
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(judge.Browser(t)), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.UserDataDir(t.TempDir()), chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true))
	ctx, stop := chromedp.NewExecAllocator(context.Background(), options...)
	t.Cleanup(stop)
	ctx, cancel := chromedp.NewContext(ctx)
	t.Cleanup(func() {
		_ = chromedp.Cancel(ctx)
		cancel()
	})
	return ctx
}

func TestEveryPageIsValidHTML(t *testing.T) {
	checker := installed(t, "vnu-jar/build/dist/vnu.jar")
	cmd := exec.Command(judge.Find(t, "java"), "-jar", checker, "--skip-non-html", "--format", "json", built(t))
	var said bytes.Buffer
	cmd.Stderr = &said
	err := cmd.Run()
	var report struct {
		Messages []struct{ Type, SubType, URL, Message, Extract string }
	}
	if wrong := json.Unmarshal(said.Bytes(), &report); wrong != nil {
		t.Fatalf("%v, %v:\n%s", err, wrong, said.String())
	}
	shown := map[string]int{}
	for _, m := range report.Messages {
		if strings.Contains(m.Message, "Content Security Policy") && strings.Contains(m.Message, "external") {
			continue // the checker does not know what 'self' is; browsers do, and the tests of package page ask them
		}
		if shown[m.Message]++; shown[m.Message] == 1 {
			t.Errorf("%s %s: %s: %s\n\t%s", m.Type, m.SubType, filepath.Base(m.URL), m.Message, m.Extract)
		}
	}
}

// TestLessonIsLight weighs what a lesson loads besides its module, as it travels.
func TestLessonIsLight(t *testing.T) {
	folder := built(t)
	shared := 0
	for _, pattern := range []string{"script.*.js", "style.*.css"} {
		files, _ := filepath.Glob(filepath.Join(folder, pattern))
		if len(files) != 1 {
			t.Fatalf("%s: %v", pattern, files)
		}
		shared += weigh(t, files[0])
	}
	lessons, _ := filepath.Glob("../../../content/en/*.md")
	for _, lesson := range lessons {
		page := strings.TrimSuffix(filepath.Base(lesson), ".md") + ".html"
		if total := shared + weigh(t, filepath.Join(folder, page)); total > 70_000 {
			t.Errorf("%s weighs %d bytes with its script and style", page, total)
		}
	}
	t.Logf("script and style weigh %d bytes", shared)
}

func weigh(t testing.TB, file string) int {
	t.Helper()
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	w := brotli.NewWriterLevel(&b, brotli.BestCompression)
	if _, err := w.Write(data); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Len()
}

// harness is what Firefox runs in a lesson beside the lesson's own script: it moves the first slider one step, and
// tells what the results said before and after.
const harness = `addEventListener("load", () => {
	const results = () => [...document.querySelectorAll("#stop .finding")].map(f => f.textContent).join("|");
	const before = results();
	const slider = document.querySelector("#stop .dial[data-input=speed] .dial-slider");
	slider.focus();
	slider.value = Number(slider.value) + 20;
	slider.dispatchEvent(new Event("input", {bubbles: true}));
	slider.dispatchEvent(new Event("change", {bubbles: true}));
	const look = () => results() !== before ? fetch("/report", {method: "POST", body: before + "\n" + results()}) : setTimeout(look, 50);
	look();
});`

func TestFirefoxMovesTheNumbersToo(t *testing.T) {
	firefox := judge.Find(t, "firefox-esr", "firefox")
	folder := built(t)
	reports := make(chan string, 1)
	mux := http.NewServeMux()
	mux.HandleFunc("POST /report", func(w http.ResponseWriter, r *http.Request) {
		text, _ := io.ReadAll(r.Body)
		select {
		case reports <- string(text):
		default:
		}
	})
	mux.HandleFunc("GET /harness.js", func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "text/javascript")
		fmt.Fprint(w, harness)
	})
	mux.HandleFunc("GET /lesson.html", func(w http.ResponseWriter, r *http.Request) {
		page, err := os.ReadFile(filepath.Join(folder, "how-a-stop-is-made.html"))
		if err != nil {
			http.Error(w, err.Error(), http.StatusInternalServerError)
			return
		}
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		w.Write(bytes.Replace(page, []byte("</body>"), []byte(`<script src="/harness.js"></script></body>`), 1))
	})
	mux.Handle("GET /", http.FileServer(http.Dir(folder)))
	server := httptest.NewServer(mux)
	defer server.Close()
	ctx, stop := context.WithTimeout(context.Background(), 90*time.Second)
	defer stop()
	cmd := exec.CommandContext(ctx, firefox, "--headless", "--no-remote", "--profile", t.TempDir(), server.URL+"/lesson.html")
	cmd.Env = append(os.Environ(), "HOME="+t.TempDir(), "MOZ_DISABLE_CONTENT_SANDBOX=1")
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	defer cmd.Wait()
	defer stop()
	select {
	case report := <-reports:
		before, after, _ := strings.Cut(report, "\n")
		if !strings.Contains(before, "17.7") || !strings.Contains(after, "31.5") { // 80 km/h: (80/3.6)²/(2·0.8·9.80665) = 31.47 m
			t.Errorf("before %q, after %q", before, after)
		}
	case <-ctx.Done():
		t.Error("Firefox told of no new result")
	}
}

// floors are the least scores that Lighthouse may give a lesson.
var floors = map[string]float64{"accessibility": 1, "best-practices": 1, "seo": 1}

// With INSPECTION_SPEED the score of speed counts as well, which means something only on a machine that does nothing else:
// INSPECTION_SPEED=1 go test -run Lighthouse ./cmd/internal/inspection
func init() {
	if timed {
		floors["performance"] = 1
	}
}

func TestLighthouse(t *testing.T) {
	program := installed(t, "lighthouse/cli/index.js")
	server := httptest.NewServer(compressed(http.Dir(built(t))))
	defer server.Close()
	out := filepath.Join(t.TempDir(), "report.json")
	cmd := exec.Command(judge.Find(t, "node"), program, server.URL+"/how-a-stop-is-made.html", "--quiet", "--output=json", "--output-path="+out,
		"--chrome-flags=--headless --no-sandbox --disable-gpu --disable-quic --disable-component-update --user-data-dir="+t.TempDir())
	cmd.Env = append(os.Environ(), "CHROME_PATH="+judge.Browser(t))
	if text, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	data, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	var report struct {
		Categories map[string]struct {
			Score     float64
			AuditRefs []struct{ ID string }
		}
		Audits map[string]struct {
			Score        *float64
			Title        string
			DisplayValue string
		}
	}
	if err := json.Unmarshal(data, &report); err != nil {
		t.Fatal(err)
	}
	for name, least := range floors {
		category := report.Categories[name]
		t.Logf("%s: %.0f", name, 100*category.Score)
		if category.Score >= least {
			continue
		}
		t.Errorf("%s is %.0f", name, 100*category.Score)
		for _, ref := range category.AuditRefs {
			if a := report.Audits[ref.ID]; a.Score != nil && *a.Score < 0.9 {
				t.Logf("  %s: %s %s", ref.ID, a.Title, a.DisplayValue)
			}
		}
	}
}

// compressed serves a folder in brotli, as a host does.
func compressed(folder http.Dir) http.Handler {
	files := http.FileServer(folder)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !strings.Contains(r.Header.Get("Accept-Encoding"), "br") {
			files.ServeHTTP(w, r)
			return
		}
		w.Header().Set("Content-Encoding", "br")
		w.Header().Set("Cache-Control", "max-age=31536000, immutable")
		b := brotli.NewWriterLevel(w, 5)
		defer b.Close()
		r.Header.Del("Range")
		files.ServeHTTP(squeezed{w, b}, r)
	})
}

// squeezed writes a body through a compressor; the length it was told no longer holds.
type squeezed struct {
	http.ResponseWriter
	w io.Writer
}

func (s squeezed) WriteHeader(code int) {
	s.Header().Del("Content-Length")
	s.ResponseWriter.WriteHeader(code)
}

func (s squeezed) Write(b []byte) (int, error) { return s.w.Write(b) }
