//go:build unix

package ordeal_test

import (
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"syscall"
	"testing"
)

// What any one site may take of the machine that builds it. The plain site takes 30 MB.
const mostMemory = 1_200_000_000

// head is the metadata of a lesson.
const head = "---\ntitle: A stop\n---\n\n"

// hostile is a site that should not be built, or should be without harm.
type hostile struct {
	name   string
	change files                     // of the plain site
	then   func(folder string) error // what a file's text cannot say
	want   string                    // a pattern of the faults; empty if the site is fine
}

// bare is a site of two lessons that have nothing to do with each other.
func bare() files {
	return files{"site.yaml": "title: Ferndale\nlanguages: [en]\nlessons: [stop, slip]\n", "en/stop.md": head + "Text.\n", "en/slip.md": head + "Text.\n"}
}

func lesson(text string) files { return files{"en/stop.md": head + text} }

// png is the beginning of a PNG that says how large it is.
func png(width, height uint32) string {
	data := binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32([]byte("IHDR"), width), height)
	data = append(data, 8, 6, 0, 0, 0)
	b := append(binary.BigEndian.AppendUint32([]byte("\x89PNG\r\n\x1a\n"), 13), data...)
	return string(binary.BigEndian.AppendUint32(b, crc32.ChecksumIEEE(data)))
}

// instead makes a file of the site something else.
func instead(name string, what func(file string) error) func(string) error {
	return func(folder string) error {
		file := filepath.Join(folder, name)
		if err := os.MkdirAll(filepath.Dir(file), 0o777); err != nil {
			return err
		}
		if err := os.RemoveAll(file); err != nil {
			return err
		}
		return what(file)
	}
}

func pipe(file string) error { return syscall.Mkfifo(file, 0o666) }

func linkTo(target string) func(string) error {
	return func(file string) error { return os.Symlink(target, file) }
}

func lines(n int, format string) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, format, i)
	}
	return b.String()
}

// hostileSites yields them one after the other, since some are large.
func hostileSites(yield func(hostile) bool) {
	_ = // what is no file, and what leads out of the folder
		yield(hostile{name: "lesson is a pipe", then: instead("en/stop.md", pipe), want: `en/stop\.md: this file cannot be read: it is a pipe`}) &&
			yield(hostile{name: "site.yaml is a pipe", then: instead("site.yaml", pipe), want: `site\.yaml: this file cannot be read: it is a pipe`}) &&
			yield(hostile{name: "glossary is a pipe", then: instead("en/glossary.yaml", pipe), want: `glossary\.yaml: this file cannot be read: it is a pipe`}) &&
			yield(hostile{name: "picture is a pipe", then: instead("pictures/a.png", pipe), want: `pictures/a\.png: this file cannot be read: it is a pipe`}) &&
			yield(hostile{name: "template is a pipe", then: instead("theme/templates/lesson.html", pipe), want: `open templates/lesson\.html: it is a pipe`}) &&
			yield(hostile{name: "go.mod is a pipe", then: instead("calculators/go.mod", pipe), want: `calculators/go\.mod: this file cannot be read: it is a pipe`}) &&
			yield(hostile{name: "lesson is a device", then: instead("en/stop.md", linkTo("/dev/zero")), want: `en/stop\.md: this file cannot be read: it leads out`}) &&
			yield(hostile{name: "lesson leads out", then: instead("en/stop.md", linkTo("/etc/passwd")), want: `en/stop\.md: this file cannot be read: it leads out`}) &&
			yield(hostile{name: "language leads out", then: instead("en", linkTo("/etc")), want: `site\.yaml:2:13: the folder "en": this file cannot be read: it leads out`}) &&
			yield(hostile{name: "picture leads out", change: lesson("![a](../pictures/a.svg)\n"), then: instead("pictures/a.svg", linkTo("/etc/passwd")), want: `en/stop\.md:5:6: this file cannot be read: it leads out`}) &&
			yield(hostile{name: "theme leads out", then: instead("theme", linkTo("/etc")), want: `theme: this file cannot be read: it leads out`}) &&
			yield(hostile{name: "lesson leads to itself", then: instead("en/stop.md", linkTo("stop.md")), want: `en/stop\.md: this file cannot be read: too many levels`}) &&
			yield(hostile{name: "dots in links", change: lesson("[a](../../../etc/passwd.md) ![b](../../etc/passwd.png) ![c](/etc/passwd.png) [d](/etc/passwd.md) ![e](..%2f..%2fa.png) [f](..\\..\\a.md)\n"),
				want: `(?s)stop\.md:5:5: there is no lesson.*stop\.md:5:34: this picture is outside.*stop\.md:5:61: (there is no picture|this picture is outside).*stop\.md:5:82: there is no lesson.*there is no picture.*there is no lesson`}) &&
			// names
			yield(hostile{name: "names", change: files{"site.yaml": "title: F\nlanguages: [en]\nlessons: [stop, slip, \"a\\nb\", \"a:b\", \"../a\", \"e\\u0301\", CON, index, \" a\", " + strings.Repeat("n", 252) + "]\n"},
				want: `(?s)site\.yaml:3:23: a name with '\\n' in it.*a name with ':' in it.*a name with a folder.*decomposed letters.*Windows.*every site has a page index\.html.*begins or ends with.*a name of 252 bytes, where 200`}) &&
			yield(hostile{name: "names of files", change: files{"en/pages/a\nb.md": head, "en/pages/a:b.md": head, "en/pages/" + strings.Repeat("n", 252) + ".md": head},
				want: `(?s)a name with '\\n' in it cannot.*a name with ':' in it cannot.*a name of 252 bytes`}) &&
			yield(hostile{name: "capitals", change: files{"en/Stop.md": head}, want: `only capitals or the form of its letters tell this file from`}) &&
			yield(hostile{name: "forms of letters", change: files{"en/pages/\u00e9.md": head, "en/e\u0301.md": head, "en/\u00e9.md": head}, want: `only capitals or the form of its letters`}) &&
			yield(hostile{name: "long but fine", change: files{"site.yaml": "title: F\nlanguages: [en]\nlessons: [stop, slip, " + strings.Repeat("n", 200) + "]\n", "en/" + strings.Repeat("n", 200) + ".md": head}}) &&
			// size
			yield(hostile{name: "50 MB", change: lesson(strings.Repeat("The road is wet here.\n\n", 2_200_000)), want: `en/stop\.md: this file cannot be read: it has 50600023 bytes`}) &&
			yield(hostile{name: "50 MB of YAML", change: files{"sources.yaml": strings.Repeat("# a comment\n", 4_200_000)}, want: `sources\.yaml: this file cannot be read: it has 50400000 bytes`}) &&
			yield(hostile{name: "250,000 links in a line", change: lesson(strings.Repeat("[a](b) ", 250_000)), want: `en/stop\.md:5:1: this line has 250000 links`}) &&
			yield(hostile{name: "150,000 links in lines", change: lesson(strings.Repeat("[a](slip.md)\n", 150_000))}) &&
			yield(hostile{name: "a million links in lines", change: lesson(strings.Repeat("[a](b)\n", 1_000_000)), want: `en/stop\.md: this file cannot be read: it has 7000023 bytes`}) &&
			yield(hostile{name: "30,000 numbers", change: lesson(strings.Repeat("[17.7 m](calc:stop?speed=60km/h&grip=0.8#braking-distance)\n\n", 30_000))}) &&
			yield(hostile{name: "150,000 broken links", change: lesson(strings.Repeat("[a](gone.md)\n", 150_000)), want: `(?s)stop\.md:5:5: there is no lesson "gone\.md".*and 1498\d\d more faults in this file`}) &&
			yield(hostile{name: "200,000 missing lessons", change: files{"site.yaml": "title: F\nlanguages: [en]\nlessons: [stop, slip" + lines(200_000, ", l%d") + "]\n"}, want: `(?s)there is no lesson "l0" in en.*more faults in this file`}) &&
			yield(hostile{name: "9,000 sources", change: files{"sources.yaml": lines(9_000, "s%d: {title: x}\n")}, want: `(?s)nobody cites the source.*more faults in this file`}) &&
			yield(hostile{name: "a table of millions", change: lesson(strings.Repeat("|a", 2_000) + "|\n" + strings.Repeat("|-", 2_000) + "|\n" + strings.Repeat("|a|\n", 20_000)), want: `stop\.md:56:1: here the table has 100000 cells|stop\.md:57:1: here the table has 102000 cells`}) &&
			yield(hostile{name: "a table of bare rows", change: lesson(strings.Repeat("|a", 4_000) + "|\n" + strings.Repeat("|-", 4_000) + "|\n" + strings.Repeat("|\n", 4_000)), want: `stop\.md:3\d:1: here the table has 10\d000 cells`}) &&
			yield(hostile{name: "a definition copied", change: lesson("[a]: https://a.example/" + strings.Repeat("x", 15_000) + "\n\n" + strings.Repeat(strings.Repeat("[a] ", 360)+"\n", 100)), want: `stop\.md:7:\d+: up to here links copy more than 1000000 bytes`}) &&
			yield(hostile{name: "stars in a paragraph", change: lesson(strings.Repeat(strings.Repeat("*a **b ", 2500)+"\n", 100)), want: `stop\.md:6:1: this paragraph has 10000 marks of emphasis`}) &&
			yield(hostile{name: "strikes in a paragraph", change: lesson(strings.Repeat(strings.Repeat("~a ~~b ", 2500)+"\n", 100)), want: `stop\.md:6:1: this paragraph has 10000 marks`}) &&
			yield(hostile{name: "one footnote 180,000 times", change: lesson(strings.Repeat(strings.Repeat("[^1] ", 1800)+"\n", 100) + "\n[^1]: a\n"), want: `stop\.md:10:1: here are 10800 references to footnotes`}) &&
			yield(hostile{name: "a page of gigabytes", change: lesson(strings.Repeat("![a](calc:stop)\n\n", 20_000)), want: `stop\.md:405:1: here are more than 200 explorers and figures`}) &&
			yield(hostile{name: "a page of questions", change: lesson(strings.Repeat("```question\na\n- [x] a\n- [ ] b\n```\n\n", 40_000)), want: `stop\.md:\d+:1: up to here the lesson becomes a page of more than 8 MB`}) &&
			// depth
			yield(hostile{name: "deep quotes", change: lesson(strings.Repeat(">", 100_000) + "a\n"), want: `stop\.md:5:1: 100000 lists and quotes stand in each other`}) &&
			yield(hostile{name: "deep lists", change: lesson(strings.Repeat("- ", 5_000) + "a\n"), want: `stop\.md:5:1: 5000 lists and quotes`}) &&
			yield(hostile{name: "deep emphasis", change: lesson(strings.Repeat("*", 9_000) + "a" + strings.Repeat("*", 9_000) + "\n"), want: `stop\.md:5:\d+: things stand in each other too deeply`}) &&
			yield(hostile{name: "deep brackets", change: lesson(strings.Repeat("[", 9_000) + "a" + strings.Repeat("]", 9_000) + "\n")}) &&
			yield(hostile{name: "deep formula", change: lesson("$" + strings.Repeat("{", 9_000) + strings.Repeat("}", 9_000) + "$\n"), want: `stop\.md:5:\d+: a formula of 18000 bytes is too long`}) &&
			yield(hostile{name: "deep YAML", change: files{"en/stop.md": "---\ntitle: " + strings.Repeat("[", 9_000) + "\n---\n"}, want: `stop\.md:2:58: lists stand in each other too deeply`}) &&
			yield(hostile{name: "YAML bomb", change: files{"en/stop.md": "---\ntitle: A stop\na: &a [x,x,x,x,x,x,x,x]\nb: &b [*a,*a,*a,*a,*a,*a]\nc: &c [*b,*b,*b,*b,*b,*b]\n---\n"}, want: `stop\.md:3:4: anchors, aliases and tags are not taken`}) &&
			// letters
			yield(hostile{name: "not UTF-8", change: lesson("caf\xe9 \xff\n"), want: `(?s)stop\.md:5:4: this byte is not text.*stop\.md:5:6: this byte is not text`}) &&
			yield(hostile{name: "UTF-16", change: files{"en/stop.md": "\xff\xfe-\x00-\x00-\x00\n\x00"}, want: `stop\.md:1:1: this byte is not text`}) &&
			yield(hostile{name: "NUL", change: lesson("a\x00b\n"), want: `stop\.md:5:2: the control character U\+0000`}) &&
			yield(hostile{name: "escapes of a terminal", change: lesson("a \x1b[2J b\n"), want: `stop\.md:5:3: the control character U\+001B`}) &&
			yield(hostile{name: "byte order marks", change: files{"en/stop.md": "\ufeff" + head, "site.yaml": "\ufeff" + bare()["site.yaml"]}}) &&
			yield(hostile{name: "turned text", change: lesson("It is \u202em 7.71\u202c.\n"), want: `(?s)stop\.md:5:7: the invisible character U\+202E.*<U\+202E>m 7\.71<U\+202C>`}) &&
			yield(hostile{name: "turned title", change: files{"site.yaml": "title: \"F\u2066x\"\nlanguages: [en]\nlessons: [stop, slip]\n"}, want: `site\.yaml:1:10: the invisible character U\+2066`}) &&
			// pictures
			yield(hostile{name: "picture that lies", change: lesson("![a](../pictures/a.png)\n").with(files{"pictures/a.png": png(16_000, 16_000)}), want: `pictures/a\.png: this says that it has 16000 × 16000 pixels`}) &&
			yield(hostile{name: "empty picture", change: lesson("![a](../pictures/a.png)\n").with(files{"pictures/a.png": png(100, 100)}), want: `pictures/a\.png: this says that it has 100 × 100 pixels, and does not hold them`}) &&
			yield(hostile{name: "page as picture", change: lesson("![a](../pictures/a.png)\n").with(files{"pictures/a.png": "<html><script>alert(1)</script>"}), want: `pictures/a\.png: this is not a picture`}) &&
			yield(hostile{name: "script in a picture", change: lesson("![a](../pictures/a.svg)\n").with(files{"pictures/a.svg": "<svg xmlns=\"http://www.w3.org/2000/svg\">\n<script>alert(1)</script></svg>"}), want: `pictures/a\.svg:2:1: this SVG holds a script`}) &&
			yield(hostile{name: "bomb in a picture", change: lesson("![a](../pictures/a.svg)\n").with(files{"pictures/a.svg": "<!DOCTYPE svg [<!ENTITY a \"aaaa\">]><svg><text>&a;</text></svg>"}), want: `pictures/a\.svg:1:1: this SVG declares words`}) &&
			// calculations
			yield(hostile{name: "numbers beyond all", change: lesson("[](calc:stop?speed=NaNkm/h#braking-distance) [](calc:stop?speed=1e308km/h#braking-distance) [](calc:stop?speed=1e999km/h#braking-distance) ![a](calc:rider?riders=1000000000)\n"),
				want: `(?s)stop\.md:5:20: .*stop\.md:5:65: .*stop\.md:5:112: `}) &&
			yield(hostile{name: "100,000 inputs", change: lesson("[](calc:stop?" + strings.Repeat("&speed=60km/h", 100_000) + "#braking-distance)\n"), want: `stop\.md:5:1: this line has`})
}

// Whatever a site holds, a build ends soon, takes little memory, and either makes the site or says at which place of
// which file it cannot; then it has made nothing.
func TestHostileContent(t *testing.T) {
	t.Parallel()
	for h := range hostileSites {
		t.Run(h.name, func(t *testing.T) {
			folder, site := bare().with(h.change).site(t)
			if h.then != nil {
				if err := h.then(site); err != nil {
					t.Fatal(err)
				}
			}
			o := run(t, folder, "build", "site", "--out", "built")
			t.Logf("%v, %d MB", o.took, o.memory/1_000_000)
			if o.memory > mostMemory {
				t.Errorf("it took %d MB", o.memory/1_000_000)
			}
			if len(o.err) > 200_000 {
				t.Errorf("it said %d bytes", len(o.err))
			}
			_, err := os.Stat(filepath.Join(folder, "built", "index.html"))
			switch {
			case h.want == "" && (o.code != 0 || err != nil):
				t.Errorf("exit code %d: %.1000s", o.code, o.err)
			case h.want != "" && (o.code != 1 || err == nil || !regexp.MustCompile(h.want).MatchString(o.err)):
				t.Errorf("exit code %d, %v: %.2000s", o.code, err, o.err)
			}
		})
	}
}

// Prove reads the same content, and its ledger besides.
func TestLedgerIsAPipe(t *testing.T) {
	folder, site := plain().site(t)
	if err := pipe(filepath.Join(site, "ledger.json")); err != nil {
		t.Fatal(err)
	}
	if o := run(t, folder, "prove", "site"); o.code != 1 || !strings.Contains(o.err, "ledger.json: this file cannot be read: it is a pipe") {
		t.Errorf("exit code %d: %s", o.code, o.err)
	}
}
