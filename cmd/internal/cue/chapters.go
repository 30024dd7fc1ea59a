package cue

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"

	"example.org/gripleaf/cmd/internal/lesson"
)

// vttEscapes are what a WebVTT cue text must not hold as it stands (WebVTT, 3.5 cue components).
var vttEscapes = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", "\n", " ", "\r", " ")

// WriteChapters writes the moments as WebVTT chapters: each lasts until the next begins, the last until the video ends.
func (q *Cue) WriteChapters(w io.Writer) error {
	var b strings.Builder
	b.WriteString("WEBVTT\n")
	for _, m := range q.Moments {
		fmt.Fprintf(&b, "\n%s\n%s --> %s\n%s\n", strings.ReplaceAll(m.ID, "-->", ""), timestamp(m.At), timestamp(m.End), vttEscapes.Replace(m.Title))
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// timestamp is hh:mm:ss.ttt.
func timestamp(d time.Duration) string {
	ms := d.Milliseconds()
	return fmt.Sprintf("%02d:%02d:%02d.%03d", ms/3600000, ms/60000%60, ms/1000%60, ms%1000)
}

// WriteTable writes the moments as CSV (RFC 4180) for editing programs.
func (q *Cue) WriteTable(w io.Writer) error {
	table := csv.NewWriter(w)
	table.UseCRLF = true
	rows := [][]string{{"time", "seconds", "title", "lesson", "video"}}
	for _, m := range q.Moments {
		rows = append(rows, []string{lesson.FormatMoment(m.At), strconv.Itoa(int(m.At / time.Second)), m.Title, m.Address, m.Video})
	}
	return table.WriteAll(rows)
}
