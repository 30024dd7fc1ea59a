package cue

import (
	"fmt"
	"time"
	"unicode/utf8"

	"example.org/gripleaf/cmd/internal/lesson"
)

// What many players of videos ask of chapters and texts (common practice, no source).
const (
	leastChapter     = 10 * time.Second
	leastChapters    = 3
	mostTitle        = 100  // characters
	mostDescription  = 5000 // characters
	readableCaptions = 1.3  // times a narrator's pace
)

// Habits warns of what many players do not take, or show badly, in sentences. Nothing of it is a fault of the lesson.
// The limit is that of the description.
func (q *Cue) Habits(limit int) (list []string) {
	add := func(format string, arguments ...any) { list = append(list, fmt.Sprintf(format, arguments...)) }
	for _, m := range q.Moments {
		if m.End-m.At < leastChapter {
			add("the chapter at %s, %q, lasts %d s; many players take no chapters at all where one is shorter than %d s",
				lesson.FormatMoment(m.At), m.Title, (m.End-m.At)/time.Second, leastChapter/time.Second)
		}
		if need, room := m.Seconds(), (m.End - m.At).Seconds(); need > room*readableCaptions {
			add("the text at %s, %q, takes about %.0f s to say and has %.0f s", lesson.FormatMoment(m.At), m.Title, need, room)
		}
	}
	if len(q.Moments) < leastChapters {
		add("%d chapters: many players show them from %d on", len(q.Moments), leastChapters)
	}
	if n := utf8.RuneCountInString(q.Title); n > mostTitle {
		add("the title has %d characters; many players take %d", n, mostTitle)
	}
	if text, err := q.Description(limit); err == nil && utf8.RuneCountInString(text) > mostDescription {
		add("the description has %d characters; many players take %d: --limit %d", utf8.RuneCountInString(text), mostDescription, mostDescription)
	}
	return list
}
