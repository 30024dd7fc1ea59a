// Package series says how far each lesson of a course has come: which are planned, unfinished, without a video or a
// translation, and which numbers have moved since the video was made.
package series

import (
	"time"

	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/ledger"
)

// State is how far a lesson has come.
type State string

// The states. A lesson that is unfinished and has no text yet is planned.
const (
	Planned    State = "planned"
	Unfinished State = "unfinished"
	Finished   State = "finished"
)

// Lesson is one lesson in the main language.
type Lesson struct {
	File         string   `json:"file"`
	Address      string   `json:"address"` // of its page in the site
	Title        string   `json:"title"`
	State        State    `json:"state"`
	Video        bool     `json:"video"`
	Made         string   `json:"made,omitempty"` // the day on which the video was made, or else the lesson's
	Untranslated []string `json:"untranslated"`   // folders of the languages that lack it
	Moved        []Number `json:"moved"`          // since then
}

// Number is a number that has moved.
type Number struct {
	Link string `json:"link"`
	From string `json:"from"`
	To   string `json:"to"`
	On   string `json:"on"` // day
}

// Of is the series of a course whose lessons have been read, the unfinished ones too.
func Of(c *course.Course, l ledger.Ledger) []Lesson {
	moved := make(map[string][]ledger.Entry)
	for _, e := range l {
		if e.Moved != "" {
			moved[e.Lesson] = append(moved[e.Lesson], e)
		}
	}
	lacks := make(map[string][]string)
	for _, u := range c.Untranslated {
		lacks[u.Name] = append(lacks[u.Name], u.Language.Folder)
	}
	var list []Lesson
	for _, e := range c.Languages[0].Lessons {
		one := Lesson{File: e.File, Address: e.Address, Title: e.Title, State: state(e), Untranslated: lacks[e.Name], Video: e.Video != nil}
		if one.Video {
			one.Made = day(e.Video.Made, e.Date)
			for _, n := range moved[e.File] {
				if n.Moved > one.Made {
					one.Moved = append(one.Moved, Number{n.Link, n.Was, n.Shown, n.Moved})
				}
			}
		}
		list = append(list, one)
	}
	return list
}

func state(e *course.Entry) State {
	switch {
	case !e.Unfinished:
		return Finished
	case e.Facts == nil || e.Facts.Words == 0:
		return Planned
	}
	return Unfinished
}

// day is the first of some days that is known, as 2006-01-02.
func day(days ...time.Time) string {
	for _, d := range days {
		if !d.IsZero() {
			return d.Format(time.DateOnly)
		}
	}
	return ""
}
