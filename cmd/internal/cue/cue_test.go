package cue

import (
	"encoding/csv"
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"
	"unicode/utf8"

	"pgregory.net/rapid"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/standard"
	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/lesson"
	"example.org/gripleaf/cmd/internal/proof"
	"example.org/gripleaf/cmd/internal/sum"
)

const siteFile = `title: Braking at Ferndale
address: https://braking.example/
languages: [en]
lessons: [stop]
`

const sourcesFile = `handbook:
  title: A handbook of <stops>
  by: Ferndale Riding School
  year: 2026
  address: https://handbook.example
yard:
  title: Notes from the yard
`

// The demo lesson is invented.
const lessonFile = `---
title: How a stop & a start are made
summary: A stop has two parts. First you roll. Then you brake.
video: {address: "https://video.example/stop?t={seconds}", length: "11:40"}
---
You stand after [34.4 m](calc:stop?speed=60km/h&grip=0.8#stopping-distance).

## [The part before the brakes](moment:1:45#before)

Look up! At 60 km/h you roll [16.7 m](calc:stop?speed=60km/h&grip=0.8#reaction-distance), says
[the handbook](source:handbook). Half of it is lost.

- Twice as fast, the brakes need [4](calc:stop?speed=60km/h&grip=0.8#braking-distance;times;speed=30km/h) times the way.

## [One \--\> two & \<three>](moment:1:02:05#three)

A [longer](calc:stop?speed=70km/h&grip=0.8#stopping-distance;longer-than;speed=60km/h) way: [` + "`v*t_r`" + `](calc:stop?speed=60km/h&grip=0.8#reaction-distance).

The whole stop grows by [27 %](calc:stop?speed=70km/h&grip=0.8#stopping-distance;change;speed=60km/h)
([the yard](source:yard), [again](source:yard)).
`

// inTime is the lesson with moments that its video has.
var inTime = strings.Replace(lessonFile, "1:02:05", "2:05", 1)

func read(t testing.TB, site, text string) (*course.Course, *course.Entry, *lesson.Lesson, fault.List) {
	files := fstest.MapFS{"site.yaml": {Data: []byte(site)}, "sources.yaml": {Data: []byte(sourcesFile)}, "en/stop.md": {Data: []byte(text)}}
	c, faults := course.Read(files, course.Options{Calculators: standard.Set})
	if c == nil || len(c.Languages) == 0 || len(c.Languages[0].Lessons) == 0 {
		t.Fatalf("no lesson: %v", faults)
	}
	e := c.Languages[0].Lessons[0]
	source, err := fs.ReadFile(files, e.File)
	if err != nil {
		t.Fatal(err)
	}
	l, found := lesson.NewReader(e.Language.Locale, false).Read(&fault.Source{File: e.File, Text: source})
	faults = append(faults, found...)
	return c, e, l, append(faults, proof.Check(l, e.Language.Locale, sum.NewBook(standard.Set))...)
}

func cueOf(t testing.TB, text string) *Cue {
	c, e, l, faults := read(t, siteFile, text)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	q, faults := New(c, e, l)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	return q
}

// told is what a cue says, a line each.
func told(q *Cue) (got []string) {
	for _, m := range q.Moments {
		got = append(got, m.ID)
		for _, p := range m.Passages {
			got = append(got, string(p.Kind)+": "+p.Shown)
			if p.Spoken != p.Shown {
				got = append(got, "  say: "+p.Spoken)
			}
			for _, n := range p.Numbers {
				got = append(got, "  "+n.Metric.Shown+" = "+n.Metric.Spoken+", "+n.Imperial.Shown+" = "+n.Imperial.Spoken)
			}
		}
		for _, s := range m.Cited {
			got = append(got, "source: "+s.Full)
		}
	}
	return got
}

func TestNew(t *testing.T) {
	want := []string{
		"start",
		"words: You stand after 34.4 m.",
		"  say: You stand after thirty-four point four metres.",
		"  34.4 m = about thirty-four metres, 113 ft = just over one hundred and ten feet",
		"before",
		"words: Look up! At 60 km/h you roll 16.7 m, says the handbook. Half of it is lost.",
		"  say: Look up! At sixty kilometres per hour you roll sixteen point seven metres, says the handbook. Half of it is lost.",
		"  16.7 m = about seventeen metres, 55 ft = about fifty-five feet",
		"item: Twice as fast, the brakes need 4 times the way.",
		"  say: Twice as fast, the brakes need four times the way.",
		"  4 times = 4 times, 4 times = 4 times",
		"source: A handbook of <stops>, Ferndale Riding School, 2026",
		"three",
		"words: A longer way: v*t_r = 16.67 m/s·1 s = 16.7 m.",
		"  say: A longer way: v times t r equals sixteen point six seven metres per second times one second equals sixteen point seven metres.",
		"  43.5 m = about forty-four metres, 143 ft = about one hundred and forty feet",
		"  34.4 m = about thirty-four metres, 113 ft = just over one hundred and ten feet",
		"  16.7 m = about seventeen metres, 55 ft = about fifty-five feet",
		"words: The whole stop grows by 27 % (the yard, again).",
		"  say: The whole stop grows by twenty-seven percent (the yard, again).",
		"  27 % = about twenty-seven percent, 27 % = about twenty-seven percent",
		"source: Notes from the yard",
	}
	if diff := compare(want, told(cueOf(t, strings.Replace(lessonFile, `"11:40"`, `"1:11:40"`, 1)))); diff != "" {
		t.Error(diff)
	}
}

// Every block of a lesson has its place in the script, and an answer is not said before its question.
func TestPassages(t *testing.T) {
	q := cueOf(t, `---
title: All there is
video: {address: "https://video.example/?t={seconds}", length: "5:00"}
---
## [All](moment:0:00#all)

Says [](source:handbook): $\frac{v^2}{2 a}$ is the way.[^note]

### Worked

1. Braking: [`+"`v²/(2·µ·g)`"+`](calc:stop?speed=60km/h&grip=0.8#braking-distance)

$$s = \sqrt{\frac{m}{2}}$$

![Move it](calc:stop?speed=60km/h&grip=0.8)

`+"```question"+`
How far at [60 km/h](calc:#speed)?

[](calc:stop?speed=40..100:10km/h&grip=0.8#braking-distance;within;5%)

***

Square 60 km/h.
`+"```"+`

`+"```question"+`
Which?

- [ ] This
- [x] That — because of 1 m
`+"```"+`

`+"```caution"+`
Not in traffic.
`+"```"+`

[^note]: A note.
`)
	want := []string{"all",
		"words: Says Ferndale Riding School 2026: v²/(2a) is the way.", "  say: Says Ferndale Riding School 2026: v squared over two a is the way.",
		"heading: Worked", "  say: ",
		"item: Braking: v²/(2·µ·g) = (16.67 m/s)²/(2·0.8·9.807 m/s²) = 17.7 m",
		"  say: Braking: v squared over two times µ times g equals the square of sixteen point six seven metres per second over two times " +
			"zero point eight times nine point eight zero seven metres per second squared equals seventeen point seven metres",
		"  17.7 m = about eighteen metres, 58 ft = just under sixty feet",
		"screen: s = √(m/2)", "  say: s equals the square root of m over two",
		"screen: Move it", "  say: ",
		"question: How far at 60 km/h?", "  say: How far at sixty kilometres per hour?",
		"answer: 17.7 m", "  say: seventeen point seven metres",
		"words: Square 60 km/h.", "  say: Square sixty kilometres per hour.",
		"question: Which?", "choice: A. This", "choice: B. That", "answer: B: because of 1 m", "  say: B: because of one metre",
		"caution: Not in traffic.", "source: A handbook of <stops>, Ferndale Riding School, 2026",
	}
	if diff := compare(want, told(q)); diff != "" {
		t.Error(diff)
	}
}

func compare(want, got []string) string {
	w, g := strings.Join(want, "\n"), strings.ReplaceAll(strings.Join(got, "\n"), "\u00a0", " ")
	if w == g {
		return ""
	}
	return "got\n" + g + "\nwant\n" + w
}

func TestFaults(t *testing.T) {
	for name, test := range map[string]struct{ site, text, want string }{
		"no address":   {"title: x\nlanguages: [en]\nlessons: [stop]\n", inTime, "site.yaml: the site has no address, so nothing can link to it"},
		"no video":     {siteFile, "---\ntitle: A stop\n---\ntext\n", "en/stop.md:2:8: this lesson names no video"},
		"no length":    {siteFile, "---\ntitle: A stop\nvideo: {address: \"https://v.example/?t={seconds}\"}\n---\n## [A](moment:0:01)\n", "en/stop.md:2:8: the video has no length"},
		"no moments":   {siteFile, "---\ntitle: A stop\nvideo: {address: \"https://v.example/?t={seconds}\", length: \"1:00\"}\n---\n## A\n", "en/stop.md:2:8: no heading of this lesson has a moment"},
		"out of order": {siteFile, "---\ntitle: A stop\nvideo: {address: \"https://v.example/?t={seconds}\", length: \"1:00\"}\n---\n## [A](moment:0:10)\n\n## [B](moment:0:09)\n", "en/stop.md:7:15: this moment is not after the one before, 0:10"},
		"doubled":      {siteFile, "---\ntitle: A stop\nvideo: {address: \"https://v.example/?t={seconds}\", length: \"1:00\"}\n---\n## [A](moment:0:10)\n\n## [B](moment:0:10)\n", "en/stop.md:7:15: this moment is not after the one before, 0:10"},
		"beyond":       {siteFile, "---\ntitle: A stop\nvideo: {address: \"https://v.example/?t={seconds}\", length: \"1:00\"}\n---\n## [A](moment:1:00)\n", "en/stop.md:5:15: the video is over by then: it lasts 1:00"},
	} {
		t.Run(name, func(t *testing.T) {
			c, e, l, faults := read(t, test.site, test.text)
			_, lacking := New(c, e, l)
			faults = append(faults, lacking...)
			for _, f := range faults {
				if f.Error() == test.want {
					if f.Hint == "" {
						t.Error("there is no hint")
					}
					return
				}
			}
			t.Errorf("got %v, want %s", faults, test.want)
		})
	}
}

func TestDescription(t *testing.T) {
	q := cueOf(t, inTime)
	got, err := q.Description(0)
	if err != nil {
		t.Fatal(err)
	}
	want := `A stop has two parts. First you roll. Then you brake.

https://braking.example/stop.html

0:00 How a stop & a start are made
https://braking.example/stop.html
1:45 The part before the brakes
https://braking.example/stop.html#before
2:05 One → two & ‹three›
https://braking.example/stop.html#three

` + kit.StandingCaution + `

Sources
A handbook of ‹stops›, Ferndale Riding School, 2026: https://handbook.example
Notes from the yard
`
	if got != want {
		t.Errorf("got %s\nwant %s", got, want)
	}
}

// Whatever the limit, it is kept, and every address is whole.
func TestDescriptionKeepsTheLimit(t *testing.T) {
	q := cueOf(t, inTime)
	valid := map[string]bool{q.Address: true}
	for _, m := range q.Moments {
		valid[m.Address] = true
	}
	full, _ := q.Description(0)
	longest := 0
	for limit := 1; limit <= utf8.RuneCountInString(full)+1; limit++ {
		text, err := q.Description(limit)
		if err != nil {
			if longest > 0 {
				t.Fatalf("%d characters are too few, though %d were enough", limit, longest)
			}
			continue
		}
		n := utf8.RuneCountInString(text)
		if n > limit || n < longest {
			t.Fatalf("at a limit of %d the text has %d characters", limit, n)
		}
		longest = n
		if !strings.Contains(text, q.Caution) || !strings.Contains(text, q.Address) {
			t.Fatalf("at a limit of %d caution or address is gone", limit)
		}
		for line := range strings.Lines(text) {
			if line = strings.TrimSpace(line); strings.Contains(line, "https://braking") && !valid[line] {
				t.Fatalf("at a limit of %d there is %q", limit, line)
			}
		}
	}
	if longest != utf8.RuneCountInString(full) {
		t.Errorf("the longest has %d characters, the whole %d", longest, utf8.RuneCountInString(full))
	}
}

func TestTable(t *testing.T) {
	q := cueOf(t, inTime)
	q.Moments[1].Title = "He said \"now\", then\nbraked"
	var b strings.Builder
	if err := q.WriteTable(&b); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(strings.NewReader(b.String())).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	want := []string{"1:45", "105", q.Moments[1].Title, "https://braking.example/stop.html#before", "https://video.example/stop?t=105"}
	if diff := compare(want, rows[2]); diff != "" || len(rows) != 4 {
		t.Errorf("%d rows; %s", len(rows), diff)
	}
}

func TestScripts(t *testing.T) {
	q := cueOf(t, inTime)
	var html, markdown, text strings.Builder
	for _, err := range []error{q.WriteScriptHTML(&html), q.WriteScriptMarkdown(&markdown), q.WriteScriptText(&text)} {
		if err != nil {
			t.Fatal(err)
		}
	}
	for name, sheet := range map[string]struct{ got, escaped string }{
		"html": {html.String(), "One --&gt; two &amp; &lt;three&gt;"}, "markdown": {markdown.String(), `One --\> two & \<three\>`}, "text": {text.String(), "One --> two & <three>"},
	} {
		for _, want := range []string{"1:45", "you roll sixteen point seven metres", "about fifty-five feet", "Ferndale Riding School, 2026: https://handbook.example", "not a promise", sheet.escaped} {
			if !strings.Contains(sheet.got, want) {
				t.Errorf("%s: %q is missing in\n%s", name, want, sheet.got)
			}
		}
	}
}

// A correction stands in the description, before what may be dropped, and is the text to pin.
func TestCorrections(t *testing.T) {
	q := cueOf(t, strings.Replace(inTime, "summary:", "corrected:\n  - {date: 2026-03-02, note: The way was given in feet.}\n  - {date: 2026-05-04, note: Grip > 0.8 said too much.}\nsummary:", 1))
	const newest, older = "Corrected, 2026-05-04: Grip › 0.8 said too much.\n", "Corrected, 2026-03-02: The way was given in feet.\n"
	text, err := q.Description(0)
	if err != nil || !strings.Contains(text, q.Address+"\n\n"+newest+older) {
		t.Errorf("got %s, %v", text, err)
	}
	least := utf8.RuneCountInString(q.Address + "\n\n" + newest + "\n" + q.Caution + "\n")
	if text, err := q.Description(least); err != nil || !strings.Contains(text, newest) || strings.Contains(text, older) {
		t.Errorf("in %d characters: %s, %v", least, text, err)
	}
	if got := q.Comment(); !strings.Contains(got, q.Address) || !strings.HasSuffix(got, newest+older) {
		t.Errorf("to pin: %s", got)
	}
	if got := cueOf(t, inTime).Comment(); got != "" {
		t.Errorf("nothing was corrected, and to pin is %q", got)
	}
}

func TestHabits(t *testing.T) {
	got := cueOf(t, strings.NewReplacer("1:02:05", "1:53", `"11:40"`, `"2:00"`).Replace(lessonFile)).Habits(0)
	want := []string{
		`the chapter at 1:45, "The part before the brakes", lasts 8 s; many players take no chapters at all where one is shorter than 10 s`,
		`the text at 1:45, "The part before the brakes", takes about 12 s to say and has 8 s`,
		`the chapter at 1:53, "One --> two & <three>", lasts 7 s; many players take no chapters at all where one is shorter than 10 s`,
		`the text at 1:53, "One --> two & <three>", takes about 13 s to say and has 7 s`,
	}
	if diff := compare(want, got); diff != "" {
		t.Error(diff)
	}
	if got := cueOf(t, strings.NewReplacer("1:02:05", "2:05", "Look up!", "Look up! "+strings.Repeat("Word ", 40)).Replace(lessonFile)).Habits(0); len(got) != 1 {
		t.Errorf("too much text in 20 s is %q", got)
	}
	if got := cueOf(t, inTime).Habits(0); got != nil {
		t.Errorf("got %q", got)
	}
}

func TestSentences(t *testing.T) {
	for text, want := range map[string][]string{
		"One. Two! Three":                   {"One.", "Two!", "Three"},
		"It takes 17.7 m. Then 2.1 s.":      {"It takes 17.7 m.", "Then 2.1 s."},
		"He said “stop.” Then he stood.":    {"He said “stop.”", "Then he stood."},
		"After K. Yard it lifts. So there.": {"After K. Yard it lifts.", "So there."},
		"रुकने की दूरी 34 मीटर है। फिर ब्रेक।": {"रुकने की दूरी 34 मीटर है।", "फिर ब्रेक।"},
		"  ": nil,
		"Grip 0.8 (dry). Wet is less.\nEven less": {"Grip 0.8 (dry).", "Wet is less.", "Even less"},
	} {
		if diff := compare(want, sentences(text)); diff != "" {
			t.Error(diff)
		}
	}
}

func TestSentencesLoseNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringMatching(`[a-c .!?”)]{0,40}`).Draw(t, "text")
		if got, want := strings.Join(sentences(text), " "), strings.Join(strings.Fields(text), " "); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	})
}
