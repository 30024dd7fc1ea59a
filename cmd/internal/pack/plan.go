package pack

import (
	"cmp"
	"context"
	"html"
	htmltemplate "html/template"
	"math"
	"path/filepath"
	"slices"
	"strings"

	"github.com/yuin/goldmark/ast"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/lesson"
)

// What the parts of a lesson take in a room with learners (common practice, no source): minutes, and words a minute
// that are told and talked over.
const (
	planWords    = 100
	planExplorer = 4
	planFigure   = 2
	planQuestion = 3
)

// plan is how an hour with a lesson may go.
type plan struct {
	chapter
	Rows  []planRow
	Total int // minutes
}

// planRow is one section of the lesson.
type planRow struct {
	From, Minutes int
	Title         string
	Does          []string // what is done besides telling it
	takes         float64  // minutes
}

// plans are lesson plans as their template sees them.
type plans struct {
	printed
	Plans []plan
}

// WritePlans writes a plan for each chosen lesson: its sections with minutes, what to move, look at and ask, and room
// for notes. It gives the files written; progress is told of files.
func (b *Book) WritePlans(ctx context.Context, dir string, progress func(done, total int)) ([]string, error) {
	p := plans{printed: b.printed(b.Language.Say("Lesson plan"))}
	for _, c := range b.Lessons {
		one := plan{chapter: chapter{Entry: c.Entry, Imprint: b.Imprint(c.Entry)}, Rows: b.rows(c)}
		for j := range one.Rows {
			one.Rows[j].From = one.Total
			one.Total += one.Rows[j].Minutes
		}
		p.Plans, p.Chapters = append(p.Plans, one), append(p.Chapters, one.chapter)
	}
	return b.writePages(ctx, &steps{total: 1, tell: progress}, view{filepath.Join(dir, b.Name()+"-plan"), "plan", &p})
}

// Guess says what the minutes of a plan are made of.
func (p *plans) Guess() string {
	return p.Language.Say("Minutes are a guess: {} words a minute, {} for an explorer, {} for a figure, {} for a question.",
		p.Count(planWords), p.Count(planExplorer), p.Count(planFigure), p.Count(planQuestion))
}

// rows are the sections of a lesson, each with what is in it.
func (b *Book) rows(c Chapter) []planRow {
	rows := []planRow{{Title: b.Language.Say("Beginning")}}
	add := func(minutes float64, what ...string) {
		row := &rows[len(rows)-1]
		row.takes, row.Does = row.takes+minutes, append(row.Does, what...)
	}
	for n := c.Lesson.Body.FirstChild(); n != nil; n = n.NextSibling() {
		switch n := n.(type) {
		case *ast.Heading:
			if n.Level <= 2 {
				rows = append(rows, planRow{Title: c.Lesson.Plain(n)})
			}
		case *lesson.Explorer:
			add(planExplorer, b.Language.Say("Move: {}", c.Lesson.Plain(n)))
		case *lesson.Figure:
			add(planFigure, b.Language.Say("Look at: {}", c.Lesson.Plain(n)))
		case *lesson.Question:
			add(planQuestion, b.Language.Say("Ask: {}", beginning(c.Lesson.Plain(n.FirstChild()))))
		case *lesson.Caution:
			add(1, b.Language.Say("Read out the caution."))
		default:
			add(float64(len(strings.Fields(c.Lesson.Plain(n)))) / planWords)
		}
	}
	for i := range rows {
		rows[i].Minutes = int(max(1, math.Round(rows[i].takes)))
	}
	return rows
}

// lists are attendance lists as their template sees them.
type lists struct {
	printed
	Rows []struct{}
}

// Nth is the number of a row.
func (l *lists) Nth(i int) string { return l.Count(i + 1) }

// attendants is how many sign on a page.
const attendants = 24

// WriteAttendance writes a list to sign for each chosen lesson. It gives the files written; progress is told of files.
func (b *Book) WriteAttendance(ctx context.Context, dir string, progress func(done, total int)) ([]string, error) {
	l := lists{printed: b.printed(b.Language.Say("Attendance")), Rows: make([]struct{}, attendants)}
	for _, c := range b.Lessons {
		l.Chapters = append(l.Chapters, chapter{Entry: c.Entry, Imprint: b.Imprint(c.Entry)})
	}
	return b.writePages(ctx, &steps{total: 1, tell: progress}, view{filepath.Join(dir, b.Name()+"-attendance"), "attendance", &l})
}

// WritePosters writes one figure of each chosen lesson as a sheet for the wall: the one that was chosen, or the
// lesson's first. It gives the files written; progress is told of files. Where no lesson has a figure there is a fault.
func (b *Book) WritePosters(ctx context.Context, dir string, progress func(done, total int)) ([]string, error) {
	p := b.printed(b.Language.Say("Poster"))
	for _, c := range b.Lessons {
		body := b.poster(c)
		if body == "" {
			continue
		}
		p.Chapters = append(p.Chapters, chapter{Entry: c.Entry, Imprint: b.Imprint(c.Entry), Body: body})
	}
	if len(p.Chapters) == 0 {
		return nil, fault.Fault{Code: "no-figures", Text: "the chosen lessons have no figures", Hint: "choose others"}
	}
	p.Paper = "A3 landscape"
	return b.writePages(ctx, &steps{total: 1, tell: progress}, view{filepath.Join(dir, b.Name()+"-poster"), "poster", &p})
}

// poster is the figure of a lesson for the wall, with its caption: the chosen one, or the first.
func (b *Book) poster(c Chapter) (body htmltemplate.HTML) {
	_ = ast.Walk(c.Lesson.Body, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		var result *lesson.Result
		id, at, caption := "", 0, ""
		switch n := n.(type) {
		case *lesson.Explorer:
			result, id = &n.Result, n.ID
		case *lesson.Figure:
			result, id, caption = &n.Result, n.ID, c.Lesson.Plain(n)
			at, _ = n.Result.Work.Calculator.Figure(n.Name)
		}
		if !entering || result == nil || len(result.Work.Calculator.Figures) == 0 || len(c.Parts) > 0 && !slices.Contains(c.Parts, id) {
			return ast.WalkContinue, nil
		}
		scene := result.Work.Scene(at, figure.Style{Reader: b.Language.Reader(quantity.Metric), Width: 1100, Height: 560, Letters: 24})
		body = htmltemplate.HTML(`<figure>` + b.palette.SVG(&scene) + "<figcaption>" +
			html.EscapeString(cmp.Or(caption, scene.Title)) + "</figcaption></figure>")
		return ast.WalkStop, nil
	})
	return body
}
