package cue

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/lesson"
)

// description is the text under the video as lists of lines, so that the least
// important can be dropped. Each line is whole or not there at all.
type description struct {
	head    string
	summary []string // sentences
	moments []string
	links   []string // of the moments
	sources []string
	more    string // heading of the sources
	caution string
}

// Description is the text under the video: what it is about, its moments with
// the place in the lesson that goes with each, sources and caution. With a
// limit above 0 it has at most so many characters (Unicode code points): it
// loses sources first, the last one first, then the places of the moments,
// then sentences of the summary, then moments. The lesson's address and the
// caution stay; where they alone are too long there is an error that says how
// many characters they need.
func (q *Cue) Description(limit int) (string, error) {
	d := description{head: q.Address, summary: sentences(q.Summary), more: q.language.Say("Sources"), caution: q.Caution}
	for _, m := range q.Moments {
		d.moments = append(d.moments, lesson.FormatMoment(m.At)+" "+m.Title)
		d.links = append(d.links, m.Address)
	}
	for _, s := range q.Sources {
		d.sources = append(d.sources, s.Full)
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
	for _, list := range []*[]string{&d.sources, &d.links, &d.summary, &d.moments} {
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
	return strings.Join(parts, "\n\n") + "\n"
}

// limitFault is the fault of a limit that cannot be kept.
func limitFault(err error) fault.Fault {
	return fault.Fault{Code: "limit", Text: err.Error(), Hint: "allow more characters"}
}
