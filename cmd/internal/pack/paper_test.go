package pack

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/judge"
)

func TestHandout(t *testing.T) {
	judge.Browser(t)
	dir := t.TempDir()
	files, err := open(t, "", nil).WriteHandout(context.Background(), dir, silent)
	if err != nil {
		t.Fatal(err)
	}
	if len(files) != 4 {
		t.Fatalf("got %q", files)
	}
	pdf, solved := files[2], judge.Ask(t, "pdftotext", "-layout", files[3], "-")
	if info := judge.Ask(t, "pdfinfo", pdf); !regexp.MustCompile(`Tagged:\s+yes`).MatchString(info) || !strings.Contains(info, "Stops & starts") || !strings.Contains(info, "A4") {
		t.Errorf("pdfinfo says %s", info)
	}
	text := judge.Ask(t, "pdftotext", "-layout", pdf, "-")
	at := 0
	for _, want := range []string{"Stops & starts", `The first "stop"`, "How far?", "The brakes need 17.7 m", "Ask yourself", "What was set", "What comes out",
		"Speed along the road", "Move it yourself: https://braking.example/first.html#stop?speed=60km/h&grip=0.8", "Not in traffic", "Corrected", "2026-07-04: The grip was said to be 0.9.",
		"2026-06-20: A word & a comma.", "The second", "Which?", "A. This", "Glossary", "Sources", "A handbook of <stops>"} {
		i := strings.Index(text[at:], want)
		if i < 0 {
			t.Fatalf("%q does not come next in\n%s", want, text[at:])
		}
		at += i
	}
	// The learner's copy has no answers; they are a file of their own.
	for _, want := range []string{"because", "Square 60", "± 5"} {
		if strings.Contains(text, want) || !strings.Contains(solved, want) {
			t.Errorf("%q is in the handout, or not among the answers:\n%s", want, solved)
		}
	}
	// Two corrections make three editions of the first lesson; so much of the whole.
	for _, want := range []string{"Edition 3, 2026-07-04", "Edition 1, 2026-06-01", "https://braking.example/second.html"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is missing", want)
		}
	}
	if !strings.Contains(solved, "Edition 3, 2026-07-04") {
		t.Errorf("the answers bear no edition:\n%s", solved)
	}
	codesLeadTo(t, pdf, "https://braking.example/", "https://braking.example/first.html", "https://braking.example/first.html#stop?speed=60km/h&grip=0.8", "https://braking.example/second.html")
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

// Wherever the page ends, a figure keeps its caption and a heading what it stands over.
func TestPageBreaks(t *testing.T) {
	judge.Browser(t)
	var text strings.Builder
	text.WriteString("---\ntitle: Breaks\n---\n")
	for i := range 12 {
		fmt.Fprintf(&text, "%s\n\n## Heading %d\n\nBelow %d.\n\n![Caption %d](calc:slip?surface=ice#curve)\n\n", strings.Repeat("A line of words.\n\n", 3*i+1), i, i, i)
		if i%3 == 0 {
			fmt.Fprintf(&text, "%s\n\n![Move me](calc:antilock?surface=ice)\n\n", strings.Repeat("A line of words.\n\n", 2*i))
		}
	}
	book := open(t, "", map[string]string{"en/second.md": text.String(), "en/first.md": "---\ntitle: First\n---\nSee [](source:handbook) and [grip](term:grip).\n"})
	files, err := book.WriteHandout(context.Background(), t.TempDir(), silent)
	if err != nil {
		t.Fatal(err)
	}
	pages := strings.Split(judge.Ask(t, "pdftotext", "-layout", files[1], "-"), "\f")
	page := func(words string) int {
		return slices.IndexFunc(pages, func(p string) bool { return strings.Contains(p, words+"\n") })
	}
	for i, p := range pages {
		if captions, figures := strings.Count(p, "Caption "), strings.Count(p, "Slip, %")-strings.Count(p, "Grip over slip of the front wheel"); captions != figures {
			t.Errorf("page %d has %d captions and %d figures", i+1, captions, figures)
		}
		if captions, sheets := strings.Count(p, "Move me\n"), strings.Count(p, "What was set"); captions != sheets {
			t.Errorf("page %d has %d captions and %d sheets of explorers", i+1, captions, sheets)
		}
	}
	for i := range 12 {
		if over, below := page(fmt.Sprintf("Heading %d", i)), page(fmt.Sprintf("Below %d.", i)); over != below || over < 0 {
			t.Errorf("heading %d is on page %d, what it stands over on page %d", i, over+1, below+1)
		}
	}
}

// codesLeadTo asks a reader of codes what those of a printed file say.
func codesLeadTo(t *testing.T, pdf string, want ...string) {
	dir := t.TempDir()
	judge.Ask(t, "pdftoppm", "-r", "150", "-gray", "-png", pdf, dir+"/page")
	pages, _ := filepath.Glob(dir + "/page*.png")
	text, _ := exec.Command(judge.Find(t, "zbarimg"), append([]string{"--quiet", "--raw"}, pages...)...).Output() // a page without a code is an error
	said := strings.Fields(string(text))
	for _, address := range want {
		if !slices.Contains(said, address) {
			t.Errorf("no code leads to %s, but to %q", address, said)
		}
	}
}

func TestWithoutABrowserThePageIsThere(t *testing.T) {
	book, dir := open(t, "", nil), t.TempDir()
	t.Setenv("PATH", dir)
	files, err := book.WriteHandout(context.Background(), dir, silent)
	var f fault.Fault
	if !errors.As(err, &f) || f.Code != "no-browser" || !strings.Contains(f.Hint, files[0]) {
		t.Fatalf("got %v", err)
	}
	page, err := os.ReadFile(files[0])
	if err != nil || !bytes.Contains(page, []byte("17.7")) {
		t.Errorf("the page to print is %v, %v", len(page), err)
	}
}

// silent is progress that nobody looks at.
func silent(int, int) {}

// sheetsOf draws worksheets without printing them.
func sheetsOf(t *testing.T, book *Book, seed uint64, copies int) (plain, key string) {
	dir := t.TempDir()
	path := os.Getenv("PATH")
	t.Setenv("PATH", dir)
	files, err := book.WriteWorksheets(context.Background(), dir, seed, copies, silent)
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
	files, err := open(t, "", nil).WriteWorksheets(context.Background(), t.TempDir(), 7, 2, silent)
	if err != nil {
		t.Fatal(err)
	}
	text := judge.Ask(t, "pdftotext", "-layout", files[2], "-")
	for _, want := range []string{"Worksheet 7-1", "Worksheet 7-2", "Name", "Points", "/3", "you ride at", "Edition 3, 2026-07-04", "Edition 1, 2026-06-01"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is missing in\n%s", want, text)
		}
	}
	codesLeadTo(t, files[2], "https://braking.example/first.html", "https://braking.example/second.html")
	if key := judge.Ask(t, "pdftotext", "-layout", files[3], "-"); !strings.Contains(key, "Key 7-2") || !strings.Contains(key, "± 5 %") {
		t.Errorf("the key is\n%s", key)
	}
}

func TestLessonsWithoutQuestionsMakeNoWorksheet(t *testing.T) {
	book := open(t, "ar", nil)
	_, err := book.WriteWorksheets(context.Background(), t.TempDir(), 1, 1, silent)
	if err == nil || !strings.Contains(err.Error(), "no questions") {
		t.Errorf("got %v", err)
	}
}

// The key shows how a number is worked out by the formula of a worked step of the course, with the numbers of the sheet
// in it.
func TestKeyShowsTheWorkedStep(t *testing.T) {
	second := siteFiles["en/second.md"] + "\n```question\nFrom [50 km/h](calc:#speed)?\n\n[](calc:stop?speed=30..90:10km/h&grip=0.8#braking-distance;within;5%)\n```\n\n```question\nHow hot?\n\n[](calc:heat#rise;within;5%)\n```\n"
	book := open(t, "", map[string]string{"en/second.md": second})
	if err := book.Choose([]string{"second"}); err != nil {
		t.Fatal(err)
	}
	plain, key := sheetsOf(t, book, 3, 1)
	speed, _ := strconv.ParseFloat(regexp.MustCompile(`From (\d+)`).FindStringSubmatch(plain)[1], 64)
	want := "<mn>" + strconv.FormatFloat(speed/3.6, 'g', 4, 64) + "</mn>"
	if strings.Count(key, `<math class="step">`) != 1 || !strings.Contains(key, want) || strings.Contains(plain, `class="step"`) {
		t.Errorf("the key does not put %s in:\n%s", want, key)
	}
}

// A figure of a question has a grid to read from, and does not mark the answer.
func TestFiguresToReadFrom(t *testing.T) {
	second := siteFiles["en/second.md"] + "\n```question\nRead the grip.\n\n![The curve](calc:slip?surface=ice&slip=20%#curve)\n\n[](calc:slip?surface=ice&slip=20%#grip;within;10%)\n```\n"
	book := open(t, "", map[string]string{"en/second.md": second})
	if err := book.Choose([]string{"second#question-2"}); err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	t.Setenv("PATH", dir)
	files, _ := book.WriteWorksheets(context.Background(), dir, 1, 1, silent)
	if len(files) != 2 || filepath.Base(files[0]) != "stops-starts-test.html" || filepath.Base(files[1]) != "stops-starts-test-key.html" {
		t.Fatalf("got %q", files)
	}
	text, err := os.ReadFile(files[0])
	if err != nil {
		t.Fatal(err)
	}
	// The peak and the locked wheel have a dot; the place of the answer has none.
	test, drawing := string(text), regexp.MustCompile(`(?s)<svg[^>]*class="figure".*?</svg>`).FindString(string(text))
	if strings.Count(drawing, "<path") < 50 || strings.Count(drawing, "<circle") != 2 {
		t.Errorf("the figure has %d lines and %d dots", strings.Count(drawing, "<path"), strings.Count(drawing, "<circle"))
	}
	// Only the chosen question is asked, and no code leads to the page that answers it.
	for _, gone := range []string{"Which?", "svg class=\"code\"", "braking.example"} {
		if strings.Contains(test, gone) {
			t.Errorf("the test has %q", gone)
		}
	}
	for _, there := range []string{"Read the grip.", `class="working"`, "/ 2", "Edition 1"} {
		if !strings.Contains(test, there) {
			t.Errorf("the test lacks %q", there)
		}
	}
}

// Plans, lists and posters are printed a page a lesson.
func TestSheetsForTheTeacher(t *testing.T) {
	judge.Browser(t)
	book, dir := open(t, "", nil), t.TempDir()
	steps := 0
	count := func(done, total int) {
		if steps++; done > total {
			t.Errorf("%d of %d is done", done, total)
		}
	}
	for _, one := range []struct {
		write func(context.Context, string, func(done, total int)) ([]string, error)
		pages int
		want  []string
	}{
		{book.WritePlans, 2, []string{"Lesson plan: The first", "How far?", "Move: Move it", "Look at: Grip over slip", "Ask: The grip is 0.8", "Read out the caution.", "Minutes in all", "Edition 3, 2026-07-04"}},
		{book.WriteAttendance, 2, []string{"Attendance: The second", "Instructor", "Signature", "24", "Edition 1, 2026-06-01"}},
		{book.WritePosters, 1, []string{`The first "stop"`, "Speed along the road", "https://braking.example/first.html", "estimates"}},
	} {
		files, err := one.write(context.Background(), dir, count)
		if err != nil {
			t.Fatal(err)
		}
		text := judge.Ask(t, "pdftotext", "-layout", files[1], "-")
		if n := strings.Count(text, "\f"); n != one.pages {
			t.Errorf("%s has %d pages, want %d", files[1], n, one.pages)
		}
		for _, want := range one.want {
			if !strings.Contains(text, want) {
				t.Errorf("%s lacks %q:\n%s", files[1], want, text)
			}
		}
		if info := judge.Ask(t, "pdfinfo", files[1]); !regexp.MustCompile(`Tagged:\s+yes`).MatchString(info) {
			t.Errorf("pdfinfo says %s", info)
		}
	}
	if steps != 3 {
		t.Errorf("progress was told %d times", steps)
	}
	if err := book.Choose([]string{"second"}); err != nil {
		t.Fatal(err)
	}
	if _, err := book.WritePosters(context.Background(), dir, silent); err == nil || !strings.Contains(err.Error(), "no figures") {
		t.Errorf("a poster of nothing gives %v", err)
	}
}

// Figures with hyphens between them keep their order where text runs from right to left.
func TestCodesFromRightToLeft(t *testing.T) {
	if got, want := open(t, "ar", nil).asWritten("7-12"), "\u20667-12\u2069"; got != want {
		t.Errorf("got %q", got)
	}
	if got := open(t, "", nil).asWritten("7-12"); got != "7-12" {
		t.Errorf("got %q", got)
	}
}
