package lesson

import "time"

// Meta is what the head of a file says between its two lines of hyphens.
type Meta struct {
	Title     string
	Question  string
	Summary   string
	Needs     []Name // lessons that come before
	Date      time.Time
	Corrected []Correction
	Video     *Video
	Workshop  bool // unfinished: preview shows it, build leaves it out
	TitleSpan Span
}

// Name is a name and where it stands.
type Name struct {
	Name string
	Span Span
}

// Correction says when what was put right.
type Correction struct {
	Date time.Time
	Note string
}

// Video is where the lesson can be watched. Address holds {seconds}.
type Video struct {
	Address string
	Length  time.Duration
	Title   string
}

// AddressAt is the video's address at a moment.
func (v *Video) AddressAt(moment time.Duration) string { return v.Address }
