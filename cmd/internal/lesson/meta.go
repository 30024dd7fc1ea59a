package lesson

import (
	"bytes"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.org/gripleaf/calculators/spelling"
	addresses "example.org/gripleaf/cmd/internal/address"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/yaml"
)

// Meta is what the head of a file says between its two lines of hyphens.
type Meta struct {
	Title      string
	Question   string
	Summary    string
	Needs      []Name // lessons that come before
	Date       time.Time
	Corrected  []Correction
	Video      *Video
	Unfinished bool // unfinished: preview shows it, build leaves it out

	TitleSpan, QuestionSpan, SummarySpan Span
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
	Made    time.Time // the day on which it was made, if it is said
}

// AddressAt is the video's address at a moment.
func (v *Video) AddressAt(moment time.Duration) string {
	return strings.ReplaceAll(v.Address, "{seconds}", strconv.Itoa(int(moment/time.Second)))
}

// ReadMeta reads the metadata of a file and says where its text begins. A file without any has an empty Meta.
func ReadMeta(source *fault.Source) (Meta, int, fault.List) {
	var m Meta
	var faults fault.List
	from, to, body, found := head(source.Text)
	if !found {
		f := source.At(body, 0, "this file has no metadata", "begin it with a line ---, then title: …, then another line ---")
		if line, _ := lineAt(source.Text, body); string(line) == "---" {
			f = source.At(body, len("---"), "the metadata that begins here does not end", "write another line --- behind it")
		}
		f.Code = "no-metadata"
		return m, body, fault.List{f}
	}
	v := yaml.Parse(source, from, to, &faults)
	if len(faults) > 0 && v.Empty() {
		return m, body, faults
	}
	m.read(v)
	if m.Title == "" && !slices.ContainsFunc(v.Fields(), func(f yaml.Field) bool { return spelling.Nearest(f.Name, []string{"title"}) != "" }) {
		v.Fault("no-title", "there is no title", "write title: …")
	}
	return m, body, faults
}

// head finds the metadata between two lines of hyphens at the very beginning.
func head(text []byte) (from, to, body int, found bool) {
	start := 0
	if bytes.HasPrefix(text, []byte("\ufeff")) {
		start = len("\ufeff")
	}
	line, next := lineAt(text, start)
	if string(line) != "---" {
		return 0, 0, start, false
	}
	for at := next; at < len(text); {
		line, after := lineAt(text, at)
		if string(line) == "---" {
			return next, at, after, true
		}
		at = after
	}
	return 0, 0, start, false
}

// lineAt is the line that begins at an offset, without the space at its end, and where the next one begins.
func lineAt(text []byte, at int) (line []byte, next int) {
	next = len(text)
	if i := bytes.IndexByte(text[at:], '\n'); i >= 0 {
		next = at + i + 1
	}
	return bytes.TrimRight(text[at:next], " \t\r\n"), next
}

func (m *Meta) read(v yaml.Value) {
	v.Each(map[string]func(yaml.Value){
		"title":      func(v yaml.Value) { m.Title, m.TitleSpan = Words(v), span(v) },
		"question":   func(v yaml.Value) { m.Question, m.QuestionSpan = Words(v), span(v) },
		"summary":    func(v yaml.Value) { m.Summary, m.SummarySpan = Words(v), span(v) },
		"date":       func(v yaml.Value) { m.Date = v.Date() },
		"unfinished": func(v yaml.Value) { m.Unfinished = v.Flag() },
		"video":      func(v yaml.Value) { m.Video = readVideo(v) },
		"corrected":  func(v yaml.Value) { m.Corrected = readCorrections(v) },
		"needs": func(v yaml.Value) {
			for _, item := range v.List() {
				m.Needs = append(m.Needs, Name{item.Text(), span(item)})
			}
		},
	})
}

func span(v yaml.Value) Span {
	start, end := v.Span()
	return Span{start, end}
}

func readVideo(v yaml.Value) *Video {
	video, at := &Video{}, v
	v.Each(map[string]func(yaml.Value){
		"address": func(v yaml.Value) { video.Address, at = v.Text(), v },
		"length":  func(v yaml.Value) { video.Length = readMoment(v) },
		"title":   func(v yaml.Value) { video.Title = Words(v) },
		"made":    func(v yaml.Value) { video.Made = v.Date() },
	})
	zero, one := strings.ReplaceAll(video.Address, "{seconds}", "0"), strings.ReplaceAll(video.Address, "{seconds}", "1")
	if err, wrong := addresses.Web(zero).(*addresses.Error); wrong {
		at.Fault("wrong-address", err.Text, err.Hint)
		video.Address = ""
	} else if zero == one || addresses.Host(zero) != addresses.Host(one) {
		v.Fault("video-address", "the video's address has no place for the moment", "write {seconds} where the seconds go")
	}
	return video
}

// Words reads a text in which a link of ours would be neither read nor checked.
func Words(v yaml.Value) string {
	text := v.Text()
	if link, found := Special(text); found {
		v.Fault("no-link", "a link to "+link+" is not read here, and a number in it is not checked",
			"write the words alone, and link them in a lesson's text")
	}
	return text
}

func readMoment(v yaml.Value) time.Duration {
	text := v.Text()
	if text == "" {
		return 0
	}
	d, err := ParseMoment(text)
	if err != nil {
		v.Fault(yaml.Shape, err.Error(), MomentHint)
	}
	return d
}

func readCorrections(v yaml.Value) []Correction {
	var list []Correction
	for _, item := range v.List() {
		var c Correction
		item.Each(map[string]func(yaml.Value){
			"date": func(v yaml.Value) { c.Date = v.Date() },
			"note": func(v yaml.Value) { c.Note = Words(v) },
		})
		if c.Date.IsZero() || c.Note == "" {
			item.Fault("correction", "a correction needs a date and a note",
				"write {date: 2026-10-02, note: what was wrong and what it is now}")
		}
		list = append(list, c)
	}
	return list
}
