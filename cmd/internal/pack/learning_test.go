package pack

import (
	"bytes"
	"context"
	"encoding/json"
	"encoding/xml"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"example.org/gripleaf/cmd/internal/build"
	"example.org/gripleaf/cmd/internal/cache"
	"example.org/gripleaf/cmd/internal/judge"
)

// manifest is what the tests read of an IMS manifest.
type manifest struct {
	Organizations struct {
		Default      string `xml:"default,attr"`
		Organization []struct {
			ID    string `xml:"identifier,attr"`
			Items []struct {
				Ref   string `xml:"identifierref,attr"`
				Title string `xml:"title"`
			} `xml:"item"`
		} `xml:"organization"`
	} `xml:"organizations"`
	Resources []struct {
		ID    string `xml:"identifier,attr"`
		Href  string `xml:"href,attr"`
		Files []struct {
			Href string `xml:"href,attr"`
		} `xml:"file"`
		Needs []struct {
			Ref string `xml:"identifierref,attr"`
		} `xml:"dependency"`
	} `xml:"resources>resource"`
}

// For both editions the manifest is as the standard wants it, and lists what is in the package.
func TestPackagesForLearningSystems(t *testing.T) {
	book := open(t, "", nil)
	s := &Site{files: []file{{"index.html", nil}, {"first.html", []byte("<head></head>")}, {"second.html", []byte("<head></head>")}, {"glossary.html", nil}, {"sources.html", nil},
		{"calculators.html", nil}, {"style.css", nil}, {"pictures/a picture & more.svg", nil}}}
	for _, edition := range Editions {
		t.Run(edition, func(t *testing.T) {
			var b bytes.Buffer
			if err := s.WriteSCORM(&b, book, edition); err != nil {
				t.Fatal(err)
			}
			files := unzip(t, b.Bytes())
			path := filepath.Join(t.TempDir(), "imsmanifest.xml")
			os.WriteFile(path, []byte(files["imsmanifest.xml"]), 0o644)
			judge.Ask(t, "xmllint", "--noout", "--relaxng", "testdata/scorm-"+edition+".rng", path)
			checkManifest(t, files)
			if want := `<script defer src="learning.js" data-edition="` + edition + `">`; !strings.Contains(files["first.html"], want) || strings.Contains(files["glossary.html"], want) {
				t.Errorf("a lesson is %s, the glossary %s", files["first.html"], files["glossary.html"])
			}
		})
	}
}

func checkManifest(t *testing.T, files map[string]string) {
	text := files["imsmanifest.xml"]
	var m manifest
	if err := xml.Unmarshal([]byte(text), &m); err != nil {
		t.Fatal(err)
	}
	listed := []string{"imsmanifest.xml"}
	resources := make(map[string]string)
	for _, r := range m.Resources {
		resources[r.ID] = r.Href
		for _, f := range r.Files {
			listed = append(listed, strings.NewReplacer("%20", " ", "&amp;", "&").Replace(f.Href))
		}
	}
	for _, r := range m.Resources {
		for _, need := range r.Needs {
			if _, ok := resources[need.Ref]; !ok {
				t.Errorf("%s needs %s, which there is not", r.ID, need.Ref)
			}
		}
	}
	var there []string
	for name := range files {
		there = append(there, name)
	}
	slices.Sort(there)
	slices.Sort(listed)
	if !slices.Equal(there, listed) {
		t.Errorf("the package holds %q and lists %q", there, listed)
	}
	organization := m.Organizations.Organization[0]
	if organization.ID != m.Organizations.Default {
		t.Errorf("the default organization is %s", m.Organizations.Default)
	}
	var titles []string
	for _, i := range organization.Items {
		if resources[i.Ref] == "" {
			t.Errorf("%s leads nowhere", i.Title)
		}
		titles = append(titles, i.Title)
	}
	if want := []string{"Stops & starts", `The first "stop"`, "The second", "Glossary", "Sources", "Calculators"}; !slices.Equal(titles, want) {
		t.Errorf("the items are %q", titles)
	}
}

// visit is what the host has been told by the time a page is gone.
type visit struct {
	Committed map[string]string
	Faults    []string
	Calls     []string
	State     string
}

// host serves a package around testdata/host.html, a learning system that notes whatever the standard does not allow.
func host(t *testing.T, files map[string]string) *httptest.Server {
	page, err := os.ReadFile("testdata/host.html")
	if err != nil {
		t.Fatal(err)
	}
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		text, ok := files[strings.TrimPrefix(r.URL.Path, "/package/")]
		if r.URL.Path == "/host.html" {
			text, ok = string(page), true
		}
		if !ok {
			http.NotFound(w, r)
			return
		}
		http.ServeContent(w, r, r.URL.Path, stamp, strings.NewReader(text))
	}))
	t.Cleanup(server.Close)
	return server
}

// A learner answers one question wrongly first, leaves, comes back and answers the other: the system knows completion,
// score, answers and time, in the words of its edition, and was never told what the standard does not allow.
func TestLearningSystemsAreTold(t *testing.T) {
	dir := site(t, map[string]string{"site.yaml": strings.Replace(siteFiles["site.yaml"], "second]", "second, read]", 1), "en/read.md": "---\ntitle: Read\n---\n## A\n\nText.\n",
		"en/second.md": siteFiles["en/second.md"] + "\n```question\nHow far?\n\n[](calc:stop?speed=60km/h&grip=0.8#braking-distance;within;5%)\n```\n"})
	s, err := Built(context.Background(), build.Builder{Site: dir, Cache: cache.Open()})
	if err != nil {
		t.Fatal(err)
	}
	b := build.Builder{Site: dir}
	defer b.Close()
	book, err := Open(context.Background(), &b, "")
	if err != nil {
		t.Fatal(err)
	}
	for edition, want := range map[string]struct{ first, second, read map[string]string }{
		"1.2": {
			first: map[string]string{"cmi.core.lesson_status": "incomplete", "cmi.core.score.raw": "0", "cmi.core.exit": "suspend", "cmi.interactions.0.type": "choice",
				"cmi.interactions.0.student_response": "a", "cmi.interactions.0.result": "wrong", "cmi.suspend_data": "question=0"},
			second: map[string]string{"cmi.core.lesson_status": "completed", "cmi.core.score.raw": "50", "cmi.core.score.min": "0", "cmi.core.score.max": "100", "cmi.core.exit": "",
				"cmi.interactions.0.id": "question-2", "cmi.interactions.0.type": "numeric", "cmi.interactions.0.student_response": "17.5", "cmi.interactions.0.result": "correct"},
			read: map[string]string{"cmi.core.lesson_status": "completed"},
		},
		"2004": {
			first: map[string]string{"cmi.completion_status": "incomplete", "cmi.score.scaled": "0", "cmi.exit": "suspend", "cmi.interactions.0.learner_response": "a",
				"cmi.interactions.0.result": "incorrect", "cmi.interactions.0.description": "Which?"},
			second: map[string]string{"cmi.completion_status": "completed", "cmi.score.scaled": "0.5", "cmi.score.raw": "50", "cmi.exit": "normal", "cmi.interactions.0.learner_response": "17.5",
				"cmi.interactions.0.result": "correct"},
			read: map[string]string{"cmi.completion_status": "completed"},
		},
	} {
		t.Run(edition, func(t *testing.T) {
			var zip bytes.Buffer
			if err := s.WriteSCORM(&zip, book, edition); err != nil {
				t.Fatal(err)
			}
			server := host(t, unzip(t, zip.Bytes()))
			tab := judge.Tab(t)
			leave := func(want map[string]string) {
				text, err := chromedp.Run(tab, chromedp.Evaluate[string](`leave()`, chromedp.EvalAwaitPromise))
				if err != nil {
					t.Fatal(err)
				}
				var v visit
				if err := json.Unmarshal([]byte(text), &v); err != nil {
					t.Fatal(err)
				}
				if len(v.Faults) > 0 || v.State != "over" {
					t.Errorf("the session is %s, with %q", v.State, v.Faults)
				}
				for element, value := range want {
					if v.Committed[element] != value {
						t.Errorf("%s is %q, want %q", element, v.Committed[element], value)
					}
				}
				if v.Committed["cmi.core.session_time"]+v.Committed["cmi.session_time"] == "" {
					t.Error("no time was told")
				}
			}
			open := func(query string) {
				if err := chromedp.Do(tab, chromedp.Navigate(server.URL+"/host.html?edition="+edition+query)); err != nil {
					t.Fatal(err)
				}
			}
			run := func(script string) {
				if _, err := chromedp.Run(tab, chromedp.Evaluate[any](`(async () => { `+script+`; return null })()`, chromedp.EvalAwaitPromise)); err != nil {
					t.Fatal(err)
				}
			}
			open("")
			run(`await launch("package/second.html"); frames.sco.document.querySelectorAll(".choice input")[0].click(); frames.sco.document.querySelectorAll(".choice input")[1].click()`)
			leave(want.first)
			run(`await launch("package/second.html")
				const field = frames.sco.document.querySelector(".answer input");
				field.value = "17.5";
				frames.sco.document.querySelector("[data-do=check]").click();
				while (!frames.sco.document.querySelectorAll(".verdict")[1].textContent) await new Promise(requestAnimationFrame)`)
			run(`const a = frames.sco.document.querySelector('a[href^="first.html"]'); a.addEventListener("click", (e) => e.preventDefault()); a.click();
				if (a.target !== "_blank") throw new Error("a link takes the learner out of the lesson")`)
			leave(want.second)
			// A lesson that is reached by a link of another item does not speak in that item's name.
			open("&other")
			run(`await launch("package/index.html"); frames.sco.document.querySelector('a[href^="second.html"]').click();
				while (frames.sco.document.readyState !== "complete" || !frames.sco.location.pathname.endsWith("second.html")) await new Promise(requestAnimationFrame);
				frames.sco.document.querySelectorAll(".choice input")[0].click();
				if (calls.length) throw new Error("it said " + calls)`)
			// Without self-tests, the end of the lesson counts.
			open("&again")
			run(`await launch("package/read.html"); frames.sco.scrollTo(0, 1e6); while (!calls.some((c) => c.endsWith('"completed"'))) await new Promise(requestAnimationFrame)`)
			leave(want.read)
		})
	}
}
