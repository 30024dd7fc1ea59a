package proof

import (
	"cmp"
	"slices"

	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/cmd/internal/lesson"
	"example.org/gripleaf/cmd/internal/locale"
)

// Record is one thing that was worked out, for the report.
type Record struct {
	Kind     string  `json:"kind"` // number, answer, step, claim
	File     string  `json:"file"`
	Line     int     `json:"line"`
	Column   int     `json:"column"`
	Link     string  `json:"link"`
	Written  string  `json:"written,omitempty"` // as the author wrote it; empty if it was filled in
	Worked   string  `json:"worked"`            // with two digits more than the page shows
	Value    float64 `json:"value"`             // SI, a ratio, or a fraction
	Unit     string  `json:"unit"`              // of Value, as a link writes it
	Margin   float64 `json:"margin,omitempty"`  // worked minus written, in units of the last place written
	Relation string  `json:"relation,omitempty"`
	Against  string  `json:"against,omitempty"` // the right side of a claim
}

// Disagreeing lists what was worked out in a checked lesson although what is written says otherwise.
func Disagreeing(l *lesson.Lesson, words *locale.Locale) []Record {
	r := recorder{lesson: l, reader: words.Reader(quantity.Metric)}
	for _, n := range l.Numbers {
		r.add("number", &n.Target, n.Span, &n.Disagree)
	}
	for _, s := range l.Steps {
		r.add("step", &s.Target, s.Span, &s.Disagree)
	}
	for _, k := range l.Claims {
		r.add("claim", &k.Target, k.Span, &k.Disagree)
	}
	return r.list
}

// Records lists what was worked out in a checked lesson, in the order of the text. Pieces with faults are not in it.
func Records(l *lesson.Lesson, words *locale.Locale) []Record {
	r := recorder{lesson: l, reader: words.Reader(quantity.Metric)}
	for _, n := range l.Numbers {
		r.number(n)
	}
	for _, s := range l.Steps {
		if one := r.add("step", &s.Target, s.Span, &s.Result); one != nil {
			one.Written, one.Relation = s.Formula, string(s.Relation)
		}
	}
	for _, k := range l.Claims {
		if one := r.add("claim", &k.Target, k.Span, &k.Result); one != nil {
			one.Written, one.Relation = k.Result.Text, string(k.Relation)
			one.Against = r.reader.Quantity(Right(k), finer(k.Result.Shown))
		}
	}
	slices.SortStableFunc(r.list, func(a, b Record) int {
		return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
	})
	return r.list
}

type recorder struct {
	lesson *lesson.Lesson
	reader *quantity.Reader
	list   []Record
}

func (r *recorder) add(kind string, t *lesson.Target, s lesson.Span, result *lesson.Result) *Record {
	if result.Work == nil {
		return nil
	}
	line, column := r.lesson.Source.Position(s.Start)
	unit := ""
	if list := quantity.Symbols(result.Shown.Kind); len(list) > 0 && result.Shown.Kind != quantity.Share {
		unit = list[0]
	}
	r.list = append(r.list, Record{Kind: kind, File: r.lesson.Source.File, Line: line, Column: column, Link: t.Raw,
		Worked: r.reader.Quantity(result.Value, finer(result.Shown)), Value: result.Value, Unit: unit})
	return &r.list[len(r.list)-1]
}

// finer shows two digits more.
func finer(s quantity.Shown) quantity.Shown {
	if s.Kind != quantity.YesNo && s.Kind != quantity.Whole {
		s.MetricDecimals += 2
	}
	return s
}

func (r *recorder) number(n *lesson.Number) {
	kind := "number"
	if n.Relation == lesson.Within {
		kind = "answer"
	}
	one := r.add(kind, &n.Target, n.Span, &n.Result)
	if one == nil {
		return
	}
	one.Relation = string(n.Relation)
	if n.Written == "" {
		return
	}
	one.Written = n.Prefix + n.Written
	if q, err := quantity.ParseWritten(n.Written, r.reader.Locale, n.Result.Shown.Kind); err == nil {
		one.Margin = Margin(n.Result.Value, q)
	}
}
