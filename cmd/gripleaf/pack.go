package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"example.org/gripleaf/cmd/internal/build"
	"example.org/gripleaf/cmd/internal/cache"
	"example.org/gripleaf/cmd/internal/pack"
	"example.org/gripleaf/cmd/internal/whole"
)

type packCommand struct {
	keeping
	Lessons    []string `arg:"" optional:"" help:"Of what is printed: these lessons alone. LESSON#question-2 is one question, for a test; LESSON#ID one figure, for a poster."`
	Site       string   `default:"." placeholder:"DIR" help:"Folder of the site (the current one)."`
	Language   string   `placeholder:"TAG" help:"In this language of the site; without it, in the main one."`
	Out        string   `default:"packed" placeholder:"DIR" help:"Where to write the files (${default})."`
	Zip        bool     `help:"The whole site, to be opened from disk."`
	EPUB       bool     `name:"epub" help:"An e-book."`
	Handout    bool     `help:"The lessons as PDF, and as a page to print; the answers apart."`
	Worksheet  bool     `help:"The lessons' questions as PDF, and the key apart."`
	Plan       bool     `help:"A lesson plan for each lesson, with minutes."`
	Attendance bool     `help:"A list to sign for each lesson."`
	Poster     bool     `help:"One figure of each lesson on A3."`
	LMS        bool     `name:"lms" help:"Packages that learning systems import (SCORM 1.2 and 2004)."`
	Copies     int      `default:"1" placeholder:"N" help:"So many worksheets, each with numbers of its own (${default})."`
	Seed       uint64   `default:"1" placeholder:"N" help:"Draw the worksheets' numbers from this (${default}). The same seed gives the same sheets."`
}

func (packCommand) Help() string {
	return `The zip, the e-book and the packages for learning systems are the same bytes each time they are made of the same course.

Import the package for the edition of SCORM that your system knows. It reports of each lesson: completion, once every
self-test has been answered, or where there is none, once the end of the lesson has been seen; the score, from 0 to 100,
which is the share of self-tests whose first answer was right; each first answer; and the time spent. It never reports
passed or failed: what is enough is for you to say. A reader who comes back goes on where they left.

A PDF is printed by an installed Chromium. Without one the page to print is there all the same, for any browser. What is
printed says of which edition of the lesson it is, and leads to the page by address and code.

A worksheet has room to work numbers out, points, and the figures of its questions with a grid to read from; the key shows
how each number is worked out. Questions that are chosen one by one make a test, which leads to no page with answers.

Examples:
  gripleaf pack --zip --epub
  gripleaf pack --handout how-a-stop-is-made grip-and-slip
  gripleaf pack --worksheet --copies 20 --seed 2026 how-a-stop-is-made
  gripleaf pack --worksheet "grip-and-slip#question-2" "how-a-stop-is-made#question"
  gripleaf pack --poster "grip-and-slip#slip-curve"`
}

// Run makes what was asked for.
func (c *packCommand) Run(w *world) error {
	switch {
	case !c.Zip && !c.EPUB && !c.LMS && !c.prints():
		return usage("say what to make: --zip, --epub, --handout, --worksheet, --plan, --attendance, --poster or --lms")
	case c.Copies < 1 || c.Copies > pack.MostCopies:
		return usage(fmt.Sprintf("--copies takes 1 to %d, not %d", pack.MostCopies, c.Copies))
	case len(c.Lessons) > 0 && !c.prints():
		return usage("lessons are chosen for what is printed; --zip, --epub and --lms take the whole course")
	}
	site, err := build.Find(c.Site)
	if err != nil {
		return err
	}
	b := build.Builder{Site: site, Cache: cache.Open(), Command: "gripleaf pack"}
	defer b.Close()
	book, err := pack.Open(w.ctx, &b, c.Language)
	if err != nil {
		return err
	}
	book.Keeper = c.keeper()
	err = c.files(w, site, book)
	if wrong := book.Choose(c.Lessons); wrong != nil {
		return errors.Join(err, wrong)
	}
	return errors.Join(err, c.print(w, book))
}

// print makes what is printed.
func (c *packCommand) print(w *world, book *pack.Book) error {
	var errs []error
	worksheets := func(ctx context.Context, dir string, progress func(done, total int)) ([]string, error) {
		return book.WriteWorksheets(ctx, dir, c.Seed, c.Copies, progress)
	}
	for _, one := range []struct {
		wanted bool
		name   string
		write  func(ctx context.Context, dir string, progress func(done, total int)) ([]string, error)
	}{
		{c.Handout, "handout", book.WriteHandout}, {c.Worksheet, "worksheets", worksheets}, {c.Plan, "lesson plans", book.WritePlans},
		{c.Attendance, "attendance lists", book.WriteAttendance}, {c.Poster, "posters", book.WritePosters},
	} {
		if !one.wanted {
			continue
		}
		step, end := w.progress(one.name)
		files, err := one.write(w.ctx, c.Out, step)
		end()
		errs = append(errs, w.wrote(files, err))
	}
	return errors.Join(errs...)
}

// prints reports whether something is to be printed, lesson by lesson.
func (c *packCommand) prints() bool {
	return c.Handout || c.Worksheet || c.Plan || c.Attendance || c.Poster
}

// files makes what is one file of the whole course.
func (c *packCommand) files(w *world, site string, book *pack.Book) error {
	base := filepath.Join(c.Out, book.Name())
	var errs []error
	add := func(ending string, write func(io.Writer) error) {
		errs = append(errs, w.write(book.Keeper, base+ending, write))
	}
	if c.EPUB {
		add(".epub", book.WriteEPUB)
	}
	if !c.Zip && !c.LMS {
		return errors.Join(errs...)
	}
	built, err := pack.Built(w.ctx, build.Builder{Site: site, Cache: cache.Open(), Command: "gripleaf pack"})
	if err != nil {
		return errors.Join(append(errs, err)...)
	}
	if c.Zip {
		add(".zip", func(to io.Writer) error { return built.WriteZip(to, book.Name()) })
	}
	if c.LMS {
		for _, edition := range pack.Editions {
			add("-scorm-"+edition+".zip", func(to io.Writer) error { return built.WriteSCORM(to, book, edition) })
		}
	}
	return errors.Join(errs...)
}

// write makes one file and says so.
func (w *world) write(k *whole.Keeper, path string, write func(io.Writer) error) error {
	if err := context.Cause(w.ctx); err != nil {
		return err
	}
	if err := k.Write(path, write); err != nil {
		return err
	}
	return w.wrote([]string{path}, nil)
}

// wrote lists files with their sizes, also when an error came behind them.
func (w *world) wrote(files []string, err error) error {
	for _, f := range files {
		if info, err := os.Stat(f); err == nil {
			fmt.Fprintf(w.stdout, "%s\t%s\n", f, size(int(info.Size())))
		}
	}
	return err
}
