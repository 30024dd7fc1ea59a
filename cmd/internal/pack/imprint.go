package pack

import (
	"html"
	htmltemplate "html/template"
	"slices"
	"strings"
	"time"

	qr "github.com/piglig/go-qr"

	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/lesson"
)

// An Imprint says what a sheet of paper is a copy of: which edition, of when, and where the latest one stands.
type Imprint struct {
	Edition string
	Address string // empty for a site without one, as is the code
	Code    htmltemplate.HTML
}

// Imprint is what a copy of a lesson says of itself. Each correction makes a new edition.
func (b *Book) Imprint(e *course.Entry) Imprint {
	return b.imprintOf(b.online(e, ""), 1+len(e.Corrected), latest(e))
}

// whole is the imprint of the book's lessons together.
func (b *Book) whole() Imprint {
	address := b.online(&course.Entry{Address: home(b.Language)}, "")
	edition := 1
	for _, c := range b.Lessons {
		edition += len(c.Entry.Corrected)
	}
	return b.imprintOf(address, edition, b.Dated())
}

func (b *Book) imprintOf(address string, edition int, dated time.Time) Imprint {
	text := b.Language.Say("Edition {}", b.Language.Numbers.Format(float64(edition), 0))
	if dated.After(noDate) {
		text += ", " + b.day(dated)
	}
	return Imprint{text, address, code(address)}
}

func (b *Book) day(t time.Time) string { return b.asWritten(t.Format(time.DateOnly)) }

// asWritten keeps the order of figures with hyphens between them where text runs from right to left (Unicode Standard
// Annex 9, isolates).
func (b *Book) asWritten(figures string) string {
	if b.Language.RightToLeft {
		return "\u2066" + figures + "\u2069"
	}
	return figures
}

// noDate is the date of what has none.
var noDate = time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)

// latest is when a lesson was last changed, as it says itself.
func latest(e *course.Entry) time.Time {
	newest := noDate
	if e.Date.After(newest) {
		newest = e.Date
	}
	for _, c := range e.Corrected {
		if c.Date.After(newest) {
			newest = c.Date
		}
	}
	return newest.UTC()
}

// Amended are the corrections of a lesson, the newest first, as a line each.
func (b *Book) Amended(e *course.Entry) (list []string) {
	for _, c := range slices.SortedStableFunc(slices.Values(e.Corrected), func(a, b lesson.Correction) int { return b.Date.Compare(a.Date) }) {
		list = append(list, b.day(c.Date)+": "+c.Note)
	}
	return list
}

// quiet is how many light modules surround a QR code (ISO/IEC 18004, 9.1).
const quiet = 4

// code is the QR code of an address as SVG, nothing for none. It withstands the loss of an eighth of it (level M).
func code(address string) htmltemplate.HTML {
	if address == "" {
		return ""
	}
	q, err := qr.EncodeText(address, qr.Medium)
	if err != nil { // too long for any
		return ""
	}
	svg, err := q.ToSVGBytes(qr.NewQrCodeImgConfig(1, quiet, qr.WithOptimalSVG()))
	if err != nil {
		panic(err) // the configuration is this one
	}
	about := `<svg class="code" role="img" aria-label="` + html.EscapeString(address) + `" shape-rendering="crispEdges" `
	return htmltemplate.HTML(strings.Replace(strings.TrimSpace(string(svg)), "<svg ", about, 1))
}
