package pack

import (
	"archive/zip"
	"bytes"
	"context"
	"errors"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
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
	for _, want := range []string{"accessMode", "accessibilityFeature", "accessibilitySummary", `<meta property="dcterms:modified">2026-06-01T00:00:00Z</meta>`,
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

func TestHandout(t *testing.T) {
	judge.Browser(t)
	dir := t.TempDir()
	files, err := open(t, "", nil).WriteHandout(context.Background(), dir)
	if err != nil {
		t.Fatal(err)
	}
	pdf := files[1]
	if info := judge.Ask(t, "pdfinfo", pdf); !regexp.MustCompile(`Tagged:\s+yes`).MatchString(info) || !strings.Contains(info, "Stops & starts") || !strings.Contains(info, "A4") {
		t.Errorf("pdfinfo says %s", info)
	}
	text := judge.Ask(t, "pdftotext", "-layout", pdf, "-")
	at := 0
	for _, want := range []string{"Stops & starts", `The first "stop"`, "How far?", "The brakes need 17.7 m", "Ask yourself", "What was set", "What comes out",
		"Speed along the road", "Not in traffic", "Answers", "Square", "The second", "Which?", "A. This", "Answers", "because", "Glossary", "Sources", "A handbook of <stops>"} {
		i := strings.Index(text[at:], want)
		if i < 0 {
			t.Fatalf("%q does not come next in\n%s", want, text[at:])
		}
		at += i
	}
	pages := strings.Split(strings.TrimSuffix(text, "\f"), "\f")
	for i, page := range pages {
		if !regexp.MustCompile(strconv.Itoa(i+1) + ` ?/ ?` + strconv.Itoa(len(pages))).MatchString(page) {
			t.Errorf("page %d bears no number:\n%s", i+1, page)
		}
	}
	if head, _, _ := strings.Cut(strings.TrimSpace(pages[1]), "\n"); !strings.HasPrefix(head, "Stops & starts") || !strings.HasSuffix(head, `The first "stop"`) {
		t.Errorf("the running title of page 2 is %q", head)
	}
	outline := judge.Ask(t, "pdftohtml", "-xml", "-stdout", "-i", pdf)
	for _, want := range []string{"<outline>", "The second</item>", "Ask yourself</item>"} {
		if !strings.Contains(outline, want) {
			t.Errorf("the outline lacks %q", want)
		}
	}
}

func TestWithoutABrowserThePageIsThere(t *testing.T) {
	book, dir := open(t, "", nil), t.TempDir()
	t.Setenv("PATH", dir)
	files, err := book.WriteHandout(context.Background(), dir)
	var f fault.Fault
	if !errors.As(err, &f) || f.Code != "no-browser" || !strings.Contains(f.Hint, files[0]) {
		t.Fatalf("got %v", err)
	}
	page, err := os.ReadFile(files[0])
	if err != nil || !bytes.Contains(page, []byte("17.7")) {
		t.Errorf("the page to print is %v, %v", len(page), err)
	}
}

// sheetsOf draws worksheets without printing them.
func sheetsOf(t *testing.T, book *Book, seed uint64, copies int) (plain, key string) {
	dir := t.TempDir()
	path := os.Getenv("PATH")
	t.Setenv("PATH", dir)
	files, err := book.WriteWorksheets(context.Background(), dir, seed, copies)
	t.Setenv("PATH", path)
	var f fault.Fault
	if !errors.As(err, &f) || f.Code != "no-browser" || len(files) != 2 {
		t.Fatalf("got %v, %v", files, err)
	}
	for i, into := range []*string{&plain, &key} {
		text, err := os.ReadFile(files[i])
		if err != nil {
			t.Fatal(err)
		}
		*into = string(text)
	}
	return plain, key
}

// The key is what the formula of every physics book says, v²/(2·µ·g), worked out here from what stands on the sheet.
func TestWorksheetsAndTheirKeys(t *testing.T) {
	plain, key := sheetsOf(t, open(t, "", nil), 7, MostCopies)
	asked := regexp.MustCompile(`you ride at (\d+)\x{a0}km/h`).FindAllStringSubmatch(plain, -1)
	told := regexp.MustCompile(`<b>([\d.]+)\x{a0}m ± 5\x{a0}%</b>`).FindAllStringSubmatch(key, -1)
	explained := regexp.MustCompile(`Square (\d+)\x{a0}km/h`).FindAllStringSubmatch(key, -1)
	if len(asked) != MostCopies || len(told) != MostCopies || len(explained) != MostCopies {
		t.Fatalf("%d sheets, %d answers, %d explanations", len(asked), len(told), len(explained))
	}
	different := make(map[string]bool)
	for i := range asked {
		v, _ := strconv.ParseFloat(asked[i][1], 64)
		want := (v / 3.6) * (v / 3.6) / (2 * 0.8 * 9.80665)
		if got, _ := strconv.ParseFloat(told[i][1], 64); math.Abs(got-want) > 0.05+1e-9 {
			t.Errorf("sheet %d: %s km/h, the key says %v m, want %.2f", i+1, asked[i][1], got, want)
		}
		if explained[i][1] != asked[i][1] {
			t.Errorf("sheet %d asks for %s and explains %s", i+1, asked[i][1], explained[i][1])
		}
		different[asked[i][1]] = true
	}
	if len(different) < 5 {
		t.Errorf("of ten values only %d were drawn in %d sheets", len(different), MostCopies)
	}
	for i, sheet := range strings.Split(plain, "<section")[1:] {
		letter := regexp.MustCompile(`<b>([A-C])</b>`).FindAllStringSubmatch(key, -1)[i][1]
		choices := regexp.MustCompile(`<li>\s*(This|That|Neither)`).FindAllStringSubmatch(sheet, -1)
		if len(choices) != 3 || choices[letter[0]-'A'][1] != "That" {
			t.Errorf("sheet %d has %v, its key says %s", i+1, choices, letter)
		}
	}
	for _, leak := range []string{"because", "Square", `class="right"`, "± 5", "class=\"answer"} {
		if strings.Contains(plain, leak) {
			t.Errorf("the sheet gives %q away", leak)
		}
	}
}

func TestWorksheetsDependOnTheSeedAlone(t *testing.T) {
	book := open(t, "", nil)
	one, oneKey := sheetsOf(t, book, 7, 3)
	again, againKey := sheetsOf(t, book, 7, 3)
	other, _ := sheetsOf(t, book, 8, 3)
	if one != again || oneKey != againKey {
		t.Error("the same seed gives other sheets")
	}
	if one == other {
		t.Error("another seed gives the same sheets")
	}
}

func TestWorksheetsInPrint(t *testing.T) {
	judge.Browser(t)
	files, err := open(t, "", nil).WriteWorksheets(context.Background(), t.TempDir(), 7, 2)
	if err != nil {
		t.Fatal(err)
	}
	text := judge.Ask(t, "pdftotext", "-layout", files[2], "-")
	for _, want := range []string{"Worksheet 7-1", "Worksheet 7-2", "Name", "you ride at"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is missing in\n%s", want, text)
		}
	}
	if key := judge.Ask(t, "pdftotext", "-layout", files[3], "-"); !strings.Contains(key, "Key 7-2") || !strings.Contains(key, "± 5 %") {
		t.Errorf("the key is\n%s", key)
	}
}

func TestLessonsWithoutQuestionsMakeNoWorksheet(t *testing.T) {
	book := open(t, "ar", nil)
	_, err := book.WriteWorksheets(context.Background(), t.TempDir(), 1, 1)
	if err == nil || !strings.Contains(err.Error(), "no questions") {
		t.Errorf("got %v", err)
	}
}

func TestChoose(t *testing.T) {
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
