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
  address: handbook.example
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

func TestNew(t *testing.T) {
	q := cueOf(t, strings.Replace(lessonFile, `"11:40"`, `"1:11:40"`, 1))
	var got []string
	for _, m := range q.Moments {
		got = append(got, m.ID)
		for _, c := range m.Claims {
			got = append(got, c.Text)
			for _, n := range c.Numbers {
				got = append(got, n.Metric.Shown+" = "+n.Metric.Spoken, n.Imperial.Shown+" = "+n.Imperial.Spoken)
			}
		}
		for _, s := range m.Cited {
			got = append(got, s.Full)
		}
	}
	want := []string{
		"start", "You stand after 34.4 m.", "34.4 m = about 34 metres", "113 ft = just over 110 feet",
		"before", "At 60 km/h you roll 16.7 m, says the handbook.", "16.7 m = about 17 metres", "55 ft = about 55 feet",
		"Twice as fast, the brakes need 4 times the way.", "4 times = 4 times", "4 times = 4 times",
		"A handbook of <stops>, Ferndale Riding School, 2026",
		"three", "A longer way: v*t_r.", "43.5 m = about 44 metres", "143 ft = about 140 feet", "34.4 m = about 34 metres", "113 ft = just over 110 feet",
		"16.7 m = about 17 metres", "55 ft = about 55 feet",
		"The whole stop grows by 27 % (the yard, again).", "27 % = about 27 percent", "27 % = about 27 percent", "Notes from the yard",
	}
	if diff := compare(want, got); diff != "" {
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
		"no address":   {"title: x\nlanguages: [en]\nlessons: [stop]\n", strings.Replace(lessonFile, "1:02:05", "2:05", 1), "site.yaml: the site has no address, so nothing can link to it"},
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
	q := cueOf(t, strings.Replace(lessonFile, "1:02:05", "2:05", 1))
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
2:05 One --> two & <three>
https://braking.example/stop.html#three

` + kit.StandingCaution + `

Sources
A handbook of <stops>, Ferndale Riding School, 2026
Notes from the yard
`
	if got != want {
		t.Errorf("got %s\nwant %s", got, want)
	}
}

// Whatever the limit, it is kept, and every address is whole.
func TestDescriptionKeepsTheLimit(t *testing.T) {
	q := cueOf(t, strings.Replace(lessonFile, "1:02:05", "2:05", 1))
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
			if line = strings.TrimSpace(line); strings.Contains(line, "https://") && !valid[line] {
				t.Fatalf("at a limit of %d there is %q", limit, line)
			}
		}
	}
	if longest != utf8.RuneCountInString(full) {
		t.Errorf("the longest has %d characters, the whole %d", longest, utf8.RuneCountInString(full))
	}
}

func TestTable(t *testing.T) {
	q := cueOf(t, strings.Replace(lessonFile, "1:02:05", "2:05", 1))
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

func TestSheets(t *testing.T) {
	q := cueOf(t, strings.Replace(lessonFile, "1:02:05", "2:05", 1))
	var html, markdown, text strings.Builder
	for _, err := range []error{q.WriteSheetHTML(&html), q.WriteSheetMarkdown(&markdown), q.WriteSheetText(&text)} {
		if err != nil {
			t.Fatal(err)
		}
	}
	for name, sheet := range map[string]struct{ got, escaped string }{
		"html": {html.String(), "One --&gt; two &amp; &lt;three&gt;"}, "markdown": {markdown.String(), `One --> two & \<three>`}, "text": {text.String(), "One --> two & <three>"},
	} {
		for _, want := range []string{"1:45", "about 17 metres", "about 55 feet", "Ferndale Riding School, 2026", "not a promise", sheet.escaped} {
			if !strings.Contains(sheet.got, want) {
				t.Errorf("%s: %q is missing in\n%s", name, want, sheet.got)
			}
		}
	}
}

func TestSentences(t *testing.T) {
	for text, want := range map[string][]string{
		"One. Two! Three":                    {"One.", "Two!", "Three"},
		"It takes 17.7 m. Then 2.1 s.":       {"It takes 17.7 m.", "Then 2.1 s."},
		"He said “stop.” Then he stood.":     {"He said “stop.”", "Then he stood."},
		"After J. Davis it lifts. So there.": {"After J. Davis it lifts.", "So there."},
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
