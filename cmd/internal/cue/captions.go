package cue

import (
	"fmt"
	"io"
	"strings"
	"time"
	"unicode/utf8"
)

// What a caption may hold: two lines of 42 characters (common practice, no source).
const (
	captionLines = 2
	captionLine  = 42
)

// WriteCaptions writes what is said as WebVTT captions: a draft, since nobody has listened to the video. Each moment's
// text begins with the moment and is said at a narrator's pace, or faster where it would run into the next.
func (q *Cue) WriteCaptions(w io.Writer) error {
	var b strings.Builder
	b.WriteString("WEBVTT\n\nNOTE\n" + vttEscapes.Replace(q.language.Say("Draft: timed from the lesson's moments and its text, not from the video. Set it right by ear.")) + "\n")
	for i := range q.Moments {
		q.Moments[i].captions(&b)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func (m *Moment) captions(b *strings.Builder) {
	faster := min(1, (m.End-m.At).Seconds()/m.Seconds())
	at := m.At.Seconds()
	for _, p := range m.Passages {
		if p.Spoken == "" {
			continue
		}
		parts := captions(p.Shown)
		letters := 0
		for _, c := range parts {
			letters += utf8.RuneCountInString(c)
		}
		for _, c := range parts {
			end := at + p.Seconds*faster*float64(utf8.RuneCountInString(c))/float64(letters)
			fmt.Fprintf(b, "\n%s --> %s\n%s\n", timestamp(seconds(at)), timestamp(seconds(end)), c)
			at = end
		}
	}
}

func seconds(s float64) time.Duration { return time.Duration(s * float64(time.Second)) }

// captions cuts a text into captions: a sentence begins a new one, and a long sentence takes several.
func captions(text string) []string {
	var list []string
	for _, sentence := range sentences(text) {
		lines := wrap(sentence, captionLine)
		for len(lines) > captionLines {
			list = append(list, escaped(lines[:captionLines]))
			lines = lines[captionLines:]
		}
		list = append(list, escaped(lines))
	}
	return list
}

func escaped(lines []string) string {
	for i := range lines {
		lines[i] = vttEscapes.Replace(lines[i])
	}
	return strings.Join(lines, "\n")
}

// wrap breaks a text between words so that a line has at most so many characters; a longer word has a line of its own.
func wrap(text string, most int) (lines []string) {
	line := ""
	for _, word := range strings.Fields(text) {
		if line != "" && utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > most {
			lines = append(lines, line)
			line = ""
		}
		line = strings.TrimPrefix(line+" "+word, " ")
	}
	return append(lines, line)
}
