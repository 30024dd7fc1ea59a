package pack

import (
	"context"
	"fmt"
	htmltemplate "html/template"
	"path/filepath"
	"slices"
	"strings"

	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/lesson"
)

// MostCopies is how many worksheets are made at a time.
const MostCopies = 40

// What a question is worth (common practice, no source): a choice one point, a number another for the way to it.
const (
	choicePoints = 1
	numberPoints = 2
)

// sheet is one copy of the worksheet, or its key.
type sheet struct {
	Code    string // names seed and copy, on the sheet and in the key
	Lessons []tasks
	Points  int
}

// tasks are the questions of one lesson.
type tasks struct {
	Title   string
	Imprint Imprint
	Tasks   []task
}

// task is a question on the sheet, or its answer in the key.
type task struct {
	HTML   htmltemplate.HTML
	Points int
	Number bool // asks for a number, so there is room to work it out
}

// sheets is a whole worksheet or key as its template sees it.
type sheets struct {
	printed
	Sheets []sheet
	Key    bool
	Test   bool // questions were chosen: no code leads to where they are answered
}

// WriteWorksheets writes the questions of the chosen lessons for so many learners, each with numbers of its own, and
// the key to all of them apart. Where questions were chosen, it is a test. The numbers are drawn from the seed: the
// same seed gives the same sheets. The key is worked out by the calculators. It gives the files written; progress is
// told of sheets and files.
func (b *Book) WriteWorksheets(ctx context.Context, dir string, seed uint64, copies int, progress func(done, total int)) ([]string, error) {
	asked, name := b.asked()
	if len(asked) == 0 {
		return nil, fault.Fault{Code: "no-questions", Text: "the chosen lessons have no questions",
			Hint: "choose others, or write a fence with the word question"}
	}
	plain := sheets{printed: b.printed(b.Language.Say("Worksheet"))}
	if name == "test" {
		plain.Heading, plain.Test = b.Language.Say("Test"), true
	}
	key := sheets{printed: b.printed(b.Language.Say("Key")), Key: true}
	told := steps{total: copies + 2, tell: progress}
	draw := newDrawing(b)
	for i := range copies {
		one := sheet{Code: b.asWritten(fmt.Sprintf("%d-%d", seed, i+1))}
		solved := one
		draw.begin(seed, uint64(i))
		for _, c := range asked {
			questions, answers, err := draw.lesson(c)
			if err != nil {
				return nil, err
			}
			for _, q := range questions {
				one.Points += q.Points
			}
			one.Lessons = append(one.Lessons, tasks{c.Entry.Title, b.Imprint(c.Entry), questions})
			solved.Lessons = append(solved.Lessons, tasks{c.Entry.Title, b.Imprint(c.Entry), answers})
		}
		solved.Points = one.Points
		plain.Sheets, key.Sheets = append(plain.Sheets, one), append(key.Sheets, solved)
		told.step()
	}
	if len(draw.faults) > 0 {
		return nil, draw.faults
	}
	base := filepath.Join(dir, b.Name()+"-"+name)
	return b.writePages(ctx, &told, view{base, "worksheet", &plain}, view{base + "-key", "worksheet", &key})
}

// asked are the lessons that have questions to ask; where some were chosen, they make a test.
func (b *Book) asked() (list []Chapter, name string) {
	name = "worksheet"
	for _, c := range b.Lessons {
		l := *c.Lesson
		if len(c.Parts) > 0 {
			name = "test"
			l.Questions = slices.DeleteFunc(slices.Clone(l.Questions), func(q *lesson.Question) bool { return !slices.Contains(c.Parts, q.ID) })
		}
		if len(l.Questions) > 0 {
			list = append(list, Chapter{Entry: c.Entry, Lesson: &l})
		}
	}
	return list, name
}

// Running are the titles at the heads of the sheets.
func (s *sheets) Running() (titles []string) {
	for _, one := range s.Sheets {
		titles = append(titles, s.Heading+" "+one.Code)
	}
	return titles
}

// working is room to work a number out, on squares of 5 mm as in exercise books.
func working() htmltemplate.HTML {
	var d strings.Builder
	for y := 0; y <= 30; y += 5 {
		fmt.Fprintf(&d, "M0 %dH165", y)
	}
	for x := 0; x <= 165; x += 5 {
		fmt.Fprintf(&d, "M%d 0V30", x)
	}
	return htmltemplate.HTML(`<svg class="working" aria-hidden="true" viewBox="-0.1 -0.1 165.2 30.2"><path fill="none" stroke="#bbb" stroke-width="0.2" d="` + d.String() + `"/></svg>`)
}
