package cue

import (
	"fmt"
	"strings"
	"time"
	"unicode/utf8"

	"example.org/gripleaf/cmd/internal/lesson"
)

// description is the text under the video as lists of lines, so that the least important can be dropped. Each line is
// whole or not there at all.
type description struct {
	head    string
	summary []string // sentences
	moments []string
	links   []string // of the moments
	sources []string
	more    string // heading of the sources
	caution string
	amended []string // corrections, the newest first
}

// plainly takes angle brackets out of a text, which many players refuse in a description.
var plainly = strings.NewReplacer("-->", "→", "->", "→", "<-", "←", "<", "‹", ">", "›")

// correction is what was put right and when.
func (q *Cue) correction(c lesson.Correction) string {
	return q.language.Say("Corrected") + ", " + c.Date.Format(time.DateOnly) + ": " + strings.Join(strings.Fields(c.Note), " ")
}

// Description is the text under the video: what it is about, its moments with the place in the lesson that goes with
// each, sources, caution, and what was corrected. It holds no angle brackets. With a limit above 0 it has at most so
// many characters (Unicode code points): it loses sources first, the last one first, then the places of the moments,
// then sentences of the summary, then moments, then old corrections. The lesson's address and the caution stay; where
// they alone are too long there is an error that says how many characters they need.
func (q *Cue) Description(limit int) (string, error) {
	d := description{head: q.Address, summary: sentences(q.Summary), more: q.language.Say("Sources"), caution: q.Caution}
	for _, m := range q.Moments {
		d.moments = append(d.moments, lesson.FormatMoment(m.At)+" "+m.Title)
		d.links = append(d.links, m.Address)
	}
	for _, s := range q.Sources {
		d.sources = append(d.sources, s.line())
	}
	for _, c := range q.Corrected {
		d.amended = append(d.amended, q.correction(c))
	}
	text := d.text()
	for limit > 0 && utf8.RuneCountInString(text) > limit {
		if !d.drop() {
			return "", fmt.Errorf("the lesson's address and the caution alone need %d characters, more than %d", utf8.RuneCountInString(text), limit)
		}
		text = d.text()
	}
	return text, nil
}

// drop takes away the least important line; false if all that may go is gone.
func (d *description) drop() bool {
	for _, list := range []*[]string{&d.sources, &d.links, &d.summary, &d.moments, &d.amended} {
		if n := len(*list); n > 0 {
			*list = (*list)[:n-1]
			return true
		}
	}
	return false
}

func (d *description) text() string {
	var parts []string
	if len(d.summary) > 0 {
		parts = append(parts, strings.Join(d.summary, " "))
	}
	parts = append(parts, d.head)
	if len(d.amended) > 0 {
		parts = append(parts, strings.Join(d.amended, "\n"))
	}
	var moments []string
	for i, m := range d.moments {
		if i < len(d.links) {
			m += "\n" + d.links[i]
		}
		moments = append(moments, m)
	}
	if len(moments) > 0 {
		parts = append(parts, strings.Join(moments, "\n"))
	}
	parts = append(parts, d.caution)
	if len(d.sources) > 0 {
		parts = append(parts, d.more+"\n"+strings.Join(d.sources, "\n"))
	}
	return plainly.Replace(strings.Join(parts, "\n\n")) + "\n"
}

// line is a source with where it can be read.
func (s Source) line() string {
	if s.Address == "" {
		return s.Full
	}
	return s.Full + ": " + s.Address
}

// Comment is a text to pin below the video of a corrected lesson: what was put right, and where it stands as it should;
// empty where nothing was.
func (q *Cue) Comment() string {
	if len(q.Corrected) == 0 {
		return ""
	}
	lines := []string{q.language.Say("The video was made before this was put right. The lesson says it as it is now:"), q.Address, ""}
	for _, c := range q.Corrected {
		lines = append(lines, q.correction(c))
	}
	return plainly.Replace(strings.Join(lines, "\n")) + "\n"
}
