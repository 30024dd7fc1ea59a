package pack

import (
	"archive/zip"
	"bytes"
	"context"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"example.org/gripleaf/cmd/internal/build"
	"example.org/gripleaf/cmd/internal/cache"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/judge"
)

// The site is invented. Its lessons hold one of everything that copies have to bear.
var siteFiles = map[string]string{
	"site.yaml": `title: Stops & starts
summary: Two lessons.
address: https://braking.example/
publisher: Ferndale Riding School
languages: [en, ar]
lessons: [first, second]
`,
	"sources.yaml": `handbook: {title: "A handbook of <stops>", by: The school, year: 2026, address: "https://handbook.example/a?b=1&c=2"}
`,
	"pictures/yard.svg": `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 20 10"><title>The yard</title><path d="M0 5H20" stroke="#000"/></svg>`,
	"en/glossary.yaml": `grip: {term: Grip, means: "How *hard* tyre & road hold on."}
`,
	"en/first.md": `---
title: The first "stop"
question: How far?
summary: How far a stop goes.
date: 2026-05-04
corrected:
  - {date: 2026-06-20, note: "A word & a comma."}
  - {date: 2026-07-04, note: The grip was said to be 0.9.}
---
The brakes need [17.7 m](calc:stop?speed=60km/h&grip=0.8#braking-distance) of [grip](term:grip), says [](source:handbook).
See [the second](second.md#more) and [the web](https://web.example/?a=1&b=2).[^note]<br>A break<b>and a mark</b>.

[^note]: A note with $v^2/(2\mu g)$ in it.

## [Ask yourself](moment:#ask)

![The yard at Ferndale](../pictures/yard.svg)

$$s = \frac{v^2}{2 \mu g}$$

1. Braking: [` + "`v²/(2·µ·g)`" + `](calc:stop?speed=60km/h&grip=0.8#braking-distance)

![Move it](calc:stop?speed=60km/h&grip=0.8)

![Grip over slip](calc:slip?surface=ice#curve)

` + "```question" + `
The grip is 0.8 and you ride at [60 km/h](calc:#speed). How long is the braking distance?

[](calc:stop?speed=40..130:10km/h&grip=0.8#braking-distance;within;5%)

***

Square [60 km/h](calc:#speed), as in [` + "`v²/(2·µ·g)`" + `](calc:stop?speed=40..130:10km/h&grip=0.8#braking-distance).
` + "```" + `

` + "```caution" + `
Not in traffic.
` + "```" + `
`,
	"en/second.md": `---
title: The second
date: 2026-06-01
---
## [More](moment:#more)

Back to [the first](first.md).

` + "```question" + `
Which?

- [ ] This — no
- [x] That — yes, because
- [ ] Neither
` + "```" + `
`,
	"ar/first.md": `---
title: التوقف
---
مسافة الكبح [](calc:stop?speed=60km/h&grip=0.8#braking-distance).

![المنحنى](calc:stop?speed=60km/h&grip=0.8)
`,
}

func site(t testing.TB, change map[string]string) string {
	dir := t.TempDir()
	for _, files := range []map[string]string{siteFiles, change} {
		for name, text := range files {
			path := filepath.Join(dir, name)
			os.MkdirAll(filepath.Dir(path), 0o755)
			if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
	return dir
}

func open(t testing.TB, language string, change map[string]string) *Book {
	b := &build.Builder{Site: site(t, change)}
	t.Cleanup(b.Close)
	book, err := Open(context.Background(), b, language)
	if err != nil {
		t.Fatal(err)
	}
	return book
}

func unzip(t testing.TB, data []byte) map[string]string {
	r, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		t.Fatal(err)
	}
	files := make(map[string]string)
	for _, f := range r.File {
		part, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		text, err := io.ReadAll(part)
		if err != nil {
			t.Fatal(err)
		}
		files[f.Name] = string(text)
	}
	return files
}

// epubcheck is the validator of the standard's own body. Debian's is a Java archive.
func epubcheck(t *testing.T, book []byte) string {
	program, err := filepath.EvalSymlinks(judge.Find(t, "epubcheck"))
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "book.epub")
	if err := os.WriteFile(path, book, 0o644); err != nil {
		t.Fatal(err)
	}
	var cmd *exec.Cmd
	if strings.HasSuffix(program, ".jar") {
		cmd = exec.Command(judge.Find(t, "java"), "-XX:TieredStopAtLevel=1", "-jar", program, path) // quick to start
	} else {
		cmd = exec.Command(program, path)
	}
	said, _ := cmd.CombinedOutput()
	return regexp.MustCompile(`; expected .*`).ReplaceAllString(string(said), "") // lists of all that is allowed
}

func TestEPUB(t *testing.T) {
	for _, language := range []string{"en", "ar"} {
		t.Run(language, func(t *testing.T) {
			t.Parallel()
			book := open(t, language, nil)
			var one, two bytes.Buffer
			if err := errors.Join(book.WriteEPUB(&one), book.WriteEPUB(&two)); err != nil {
				t.Fatal(err)
			}
			if !bytes.Equal(one.Bytes(), two.Bytes()) {
				t.Error("two runs give two books")
			}
			if said := epubcheck(t, one.Bytes()); !strings.Contains(said, "No errors or warnings detected") {
				t.Error(said)
			}
			files := unzip(t, one.Bytes())
			if dir := strings.Contains(files["book/package.opf"], `page-progression-direction="rtl"`); dir != (language == "ar") {
				t.Errorf("turned from right to left: %v", dir)
			}
		})
	}
}

func TestEPUBBearsEverything(t *testing.T) {
	var b bytes.Buffer
	if err := open(t, "", nil).WriteEPUB(&b); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(b.Bytes()[30:58], []byte("mimetypeapplication/epub+zip")) {
		t.Errorf("it begins with %q", b.Bytes()[:58])
	}
	files := unzip(t, b.Bytes())
	first := files["book/first.xhtml"]
	for _, want := range []string{
		`<span class="checked">17.7 m</span>`, `href="glossary.xhtml#grip"`, `href="second.xhtml#more"`, `href="sources.xhtml#handbook">The school 2026</a>`,
		`<math xmlns="http://www.w3.org/1998/Math/MathML"`, `<br/>`, `alt="The yard at Ferndale"`, `<svg xmlns="http://www.w3.org/2000/svg"`,
		`aria-label="Speed along the road. The speed stays at`, `href="https://braking.example/first.html#stop?speed=60km/h&amp;grip=0.8"`,
		`<b>17.7` + "\u00a0" + `m ± 5` + "\u00a0" + `%</b>`, "not a promise", "Not in traffic.",
	} {
		if !strings.Contains(first, want) {
			t.Errorf("%q is missing in\n%s", want, first)
		}
	}
	if question, answers, _ := strings.Cut(first, `class="answers"`); strings.Contains(question, "17.7"+"\u00a0m ±") || !strings.Contains(answers, "Square") {
		t.Error("the answer does not stand behind the lesson")
	}
	second := files["book/second.xhtml"]
	if question, answers, _ := strings.Cut(second, `class="answers"`); strings.Contains(question, "because") || !strings.Contains(answers, "<b>B</b>") || strings.Contains(second, "right") {
		t.Errorf("the choices give the answer away:\n%s", second)
	}
	for _, want := range []string{"accessMode", "accessibilityFeature", "accessibilitySummary", `<meta property="dcterms:modified">2026-07-04T00:00:00Z</meta>`,
		`media-type="image/svg+xml"`, `properties="mathml svg"`} {
		if !strings.Contains(files["book/package.opf"], want) {
			t.Errorf("%q is missing in\n%s", want, files["book/package.opf"])
		}
	}
	if text, found := strings.CutPrefix(files["book/glossary.xhtml"], "<?xml"); !found || !strings.Contains(text, `<dt id="grip">Grip</dt><dd>How <em>hard</em> tyre &amp; road hold on.</dd>`) {
		t.Errorf("the glossary is %s", text)
	}
}

func TestEPUBRefusesPicturesThatReadersNeedNotShow(t *testing.T) {
	book := open(t, "", map[string]string{"pictures/yard.avif": "\x00\x00\x00\x1cftypavif", "en/second.md": "---\ntitle: The second\n---\n## [More](moment:#more)\n\n![The yard](../pictures/yard.avif)\n"})
	err := book.WriteEPUB(io.Discard)
	if err == nil || !strings.Contains(err.Error(), "pictures/yard.avif") {
		t.Errorf("got %v", err)
	}
}

func TestChoose(t *testing.T) {
	if err := open(t, "", nil).Choose([]string{"second#qestion"}); err == nil || !strings.Contains(fault.From(err)[0].Hint, "question") {
		t.Errorf("got %v", err)
	}
	book := open(t, "", nil)
	err := book.Choose([]string{"frist", "second", "thrid"})
	list := fault.From(err)
	if len(list) != 2 || !strings.Contains(list[0].Hint, "first") {
		t.Errorf("got %v", list)
	}
	book = open(t, "", nil)
	if err := book.Choose([]string{"second"}); err != nil || len(book.Lessons) != 1 || book.Lessons[0].Entry.Name != "second" {
		t.Errorf("got %v, %v", book.Lessons, err)
	}
}

func TestSiteAsZip(t *testing.T) {
	dir := site(t, nil)
	var zips [2]bytes.Buffer
	for i := range zips {
		s, err := Built(context.Background(), build.Builder{Site: dir, Cache: cache.Open()})
		if err != nil {
			t.Fatal(err)
		}
		if err := s.WriteZip(&zips[i], "course"); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(zips[0].Bytes(), zips[1].Bytes()) {
		t.Error("two runs give two zips")
	}
	unpacked := t.TempDir()
	for name, text := range unzip(t, zips[0].Bytes()) {
		path := filepath.Join(unpacked, name)
		os.MkdirAll(filepath.Dir(path), 0o755)
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	// Opened from disk, the explorer works things out: at twice the speed the stop is longer.
	tab := judge.Tab(t)
	if err := chromedp.Do(tab, chromedp.Navigate("file://"+unpacked+"/course/first.html#stop?speed=120km/h&grip=0.8")); err != nil {
		t.Fatal(err)
	}
	text, err := chromedp.Run(tab, chromedp.Poll[string](`document.body.innerText.includes("104") && document.body.innerText`))
	if err != nil || !strings.Contains(text, "104.1") {
		t.Errorf("at 120 km/h the page does not say 104.1 m: %v", err)
	}
}

func TestFaultsOfTheCourseStopAPackage(t *testing.T) {
	b := &build.Builder{Site: site(t, map[string]string{"en/second.md": "---\ntitle: The second\n---\n## [More](moment:#more)\n\n[18.9 m](calc:stop?speed=60km/h&grip=0.8#braking-distance)\n"})}
	defer b.Close()
	_, err := Open(context.Background(), b, "")
	list := fault.From(err)
	if len(list) != 1 || list[0].Line != 6 || !strings.Contains(list[0].Text, "17.7") {
		t.Errorf("got %v", list)
	}
}
