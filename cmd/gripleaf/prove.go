package main

import (
	"encoding/json"
	"fmt"
	"path"
	"slices"
	"strings"
	"sync"
	"text/tabwriter"
	"time"

	"example.org/gripleaf/cmd/internal/build"
	"example.org/gripleaf/cmd/internal/cache"
	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/ledger"
	"example.org/gripleaf/cmd/internal/lesson"
	"example.org/gripleaf/cmd/internal/proof"
)

type proveCommand struct {
	Site  string `arg:"" optional:"" default:"." help:"Folder of the site."`
	Check bool   `help:"Write nothing, and take a number that has moved for a fault: for hooks and servers."`
	JSON  bool   `name:"json" help:"Write the report for machines."`
}

func (proveCommand) Help() string {
	return `The report lists every checked number with what is written, what is worked out, and the margin between the two in
units of the last place that is written; every claim between two calculations; and every source, term, caution, link
and picture. Numbers with a unit that are neither checked nor cited are faults here.

The values are kept in ledger.json beside the course. When a calculator changes, the next proof says which numbers
moved, from what to what, and what to write into the lesson's corrected. Keep the file under version control; a proof
without faults accepts what has moved, and --check does not.

Examples:
  gripleaf prove
  gripleaf prove --check
  gripleaf prove --json > proof.json`
}

// proofReport is what prove finds.
type proofReport struct {
	Worked       []proof.Record  `json:"worked"`
	Moved        []ledger.Change `json:"moved"`
	Lessons      []provedLesson  `json:"lessons"`
	Untranslated []untranslated  `json:"untranslated"`
	Unused       []unused        `json:"unused"`
	Unsaid       []build.Unsaid  `json:"unsaid"`
	LeftOut      fault.List      `json:"leftOut"`
	Faults       fault.List      `json:"faults"`
}

// provedLesson counts what a lesson holds, all of it checked.
type provedLesson struct {
	File      string   `json:"file"`
	Title     string   `json:"title"`
	Numbers   int      `json:"numbers"`
	Claims    int      `json:"claims"`
	Steps     int      `json:"steps"`
	Questions int      `json:"questions"`
	Cautions  int      `json:"cautions"`
	Links     int      `json:"links"`
	Pictures  int      `json:"pictures"`
	Formulas  int      `json:"formulas"`
	Explorers int      `json:"explorers"`
	Terms     []string `json:"terms"`
	Sources   []string `json:"sources"`
	worked    []proof.Record
	disagree  []proof.Record // not as written
	faults    fault.List
}

type untranslated struct {
	Language string `json:"language"`
	Lesson   string `json:"lesson"`
}

type unused struct {
	Language string `json:"language"`
	Term     string `json:"term"`
}

// Run proves the course.
func (c *proveCommand) Run(w *world) error {
	site, err := build.Find(c.Site)
	if err != nil {
		return err
	}
	b := build.Builder{Site: site, Unfinished: true, Cache: cache.Open(), Anew: true, Command: "gripleaf prove"}
	defer b.Close()
	report, err := c.prove(w, &b, site)
	if err != nil {
		return err
	}
	if c.JSON {
		e := json.NewEncoder(w.stdout)
		e.SetEscapeHTML(false)
		e.SetIndent("", " ")
		err = e.Encode(report)
	} else {
		err = report.print(w)
	}
	if err != nil {
		return err
	}
	return report.Faults.Err()
}

func (c *proveCommand) prove(w *world, b *build.Builder, site string) (*proofReport, error) {
	var mu sync.Mutex
	found := make(map[*course.Entry]*provedLesson)
	result, faults := b.Check(w.ctx, func(e *course.Entry, l *lesson.Lesson) {
		p := proved(e, l)
		mu.Lock()
		defer mu.Unlock()
		found[e] = p
	})
	report := &proofReport{Faults: faults, Worked: []proof.Record{}, Moved: []ledger.Change{}, Lessons: []provedLesson{}, Untranslated: []untranslated{}, Unused: []unused{}, Unsaid: []build.Unsaid{}}
	if result == nil {
		return report, nil
	}
	var now ledger.Ledger
	for e := range result.Course.Entries {
		p := found[e]
		if p == nil {
			continue
		}
		report.Lessons = append(report.Lessons, *p)
		report.Worked = append(report.Worked, p.worked...)
		report.Faults.Add(p.faults...)
		for _, r := range slices.Concat(p.worked, p.disagree) {
			now = append(now, ledger.Entry{Lesson: e.File, Link: r.Link, Value: r.Value, Unit: r.Unit, Shown: r.Worked})
		}
	}
	report.loose(result.Course)
	report.Unsaid = append(report.Unsaid, result.Unsaid...)
	report.LeftOut = result.LeftOut
	before, err := ledger.Read(site)
	if err != nil {
		return nil, err
	}
	now.Sort()
	report.Moved = append(report.Moved, ledger.Changes(before, now)...)
	if c.Check {
		report.refuse()
	}
	report.Faults.Sort()
	if c.Check || len(report.Faults) > 0 {
		return report, nil
	}
	now.Date(before, time.Now().Format(time.DateOnly))
	return report, ledger.Write(site, now)
}

// refuse makes faults of the numbers that have moved and that are still right as they are written.
func (r *proofReport) refuse() {
	for _, m := range r.Moved {
		for _, one := range r.Worked {
			if one.Link == m.Link && strings.HasSuffix(one.File, m.Lesson) {
				r.Faults.Add(fault.Fault{Code: "moved", File: one.File, Line: one.Line, Column: one.Column, Text: m.Link + " was " + m.From + ", is " + m.To,
					Hint: "read the sentence again; gripleaf prove accepts the number"})
			}
		}
	}
}

// loose lists what is not there and what nobody uses.
func (r *proofReport) loose(c *course.Course) {
	for _, u := range c.Untranslated {
		r.Untranslated = append(r.Untranslated, untranslated{u.Language.Folder, u.Name})
	}
	for _, l := range c.Languages {
		for _, t := range l.Glossary {
			for _, amount := range proof.Amounts([]byte(t.Means), l.Locale) {
				r.Faults.Add(t.Fault("unchecked-number", fmt.Sprintf("%q stands in the meaning of a term, where it cannot be checked", amount.Written),
					"say it in a lesson, and link it there"))
			}
			if len(t.In) == 0 {
				r.Unused = append(r.Unused, unused{l.Folder, t.ID})
			}
		}
	}
}

func proved(e *course.Entry, l *lesson.Lesson) *provedLesson {
	return &provedLesson{File: l.Source.File, Title: e.Title, Numbers: len(l.Numbers), Claims: len(l.Claims), Steps: len(l.Steps),
		Questions: len(l.Questions), Cautions: len(l.Cautions), Links: len(l.Links), Pictures: len(l.Images), Formulas: l.Formulas,
		Explorers: len(l.Explorers), Terms: e.Facts.Terms, Sources: e.Facts.Sources,
		worked: proof.Records(l, e.Language.Locale), disagree: proof.Disagreeing(l, e.Language.Locale), faults: append(proof.Prose(l, e.Language.Locale), proof.Digits(l, e.Language.Locale)...)}
}

// print writes the report for people.
func (r *proofReport) print(w *world) error {
	t := tabwriter.NewWriter(w.stdout, 0, 4, 2, ' ', 0)
	file := ""
	for _, one := range r.Worked {
		if one.File != file {
			file = one.File
			fmt.Fprintf(t, "%s\n", file)
		}
		fmt.Fprintf(t, "  %d:%d\t%s\t%s\t%s\n", one.Line, one.Column, written(&one), worked(&one), one.Link)
	}
	if err := t.Flush(); err != nil {
		return err
	}
	if len(r.Worked) > 0 {
		fmt.Fprintln(w.stdout)
	}
	r.summary(w)
	return nil
}

// corrected suggests what a lesson tells its readers of the numbers that have moved in it.
func (r *proofReport) corrected(w *world, lesson string) {
	var notes []string
	for _, m := range r.Moved {
		if m.Lesson == lesson {
			notes = append(notes, m.From+" is now "+m.To)
		}
	}
	fmt.Fprintf(w.stdout, "  if its text changes, add to corrected in %s: {date: %s, note: %q}\n", lesson, time.Now().Format(time.DateOnly),
		strings.ReplaceAll(strings.Join(notes, "; "), "\u00a0", " "))
}

func written(r *proof.Record) string {
	if r.Written == "" {
		return "(filled in)"
	}
	return r.Written
}

// worked says the result, and how far what is written is off, in units of its last place.
func worked(r *proof.Record) string {
	switch {
	case r.Kind == "claim":
		return r.Worked + " " + strings.ReplaceAll(r.Relation, "-", " ") + " " + r.Against
	case r.Margin != 0:
		return fmt.Sprintf("%s (%+.2f)", r.Worked, r.Margin)
	}
	return r.Worked
}

func (r *proofReport) summary(w *world) {
	var sum provedLesson
	for _, l := range r.Lessons {
		sum.Numbers += l.Numbers
		sum.Claims += l.Claims
		sum.Steps += l.Steps
		sum.Questions += l.Questions
		sum.Cautions += l.Cautions
		sum.Links += l.Links
		sum.Pictures += l.Pictures
		if l.Cautions == 0 && !strings.Contains(path.Dir(l.File), "pages") {
			fmt.Fprintf(w.stdout, "%s: no caution of its own, only the standing one\n", l.File)
		}
	}
	for _, u := range r.Untranslated {
		fmt.Fprintf(w.stdout, "not translated: %s/%s\n", u.Language, u.Lesson)
	}
	_ = r.LeftOut.Print(w.stderr, w.colour)
	unsaid(w.stdout, r.Unsaid)
	for _, u := range r.Unused {
		fmt.Fprintf(w.stdout, "no lesson uses the term %s/%s\n", u.Language, u.Term)
	}
	for i, m := range r.Moved {
		fmt.Fprintf(w.stdout, "moved: %s %s was %s, is %s\n", m.Lesson, m.Link, m.From, m.To)
		if i+1 == len(r.Moved) || r.Moved[i+1].Lesson != m.Lesson {
			r.corrected(w, m.Lesson)
		}
	}
	fmt.Fprintf(w.stdout, "%s: %s, %s, %s, %s, %s, %s, %s; %s\n", count(len(r.Lessons), "lesson", "lessons"),
		count(sum.Numbers, "number", "numbers"), count(sum.Claims, "claim", "claims"), count(sum.Steps, "worked step", "worked steps"),
		count(sum.Questions, "question", "questions"), count(sum.Cautions, "caution", "cautions"), count(sum.Links, "link", "links"),
		count(sum.Pictures, "picture", "pictures"), count(len(r.Faults), "fault", "faults"))
}
