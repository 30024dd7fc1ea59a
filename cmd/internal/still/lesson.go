package still

import (
	"context"
	"errors"
	"io"
	"path/filepath"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/cmd/internal/lesson"
	"example.org/gripleaf/cmd/internal/locale"
)

// plate is a figure that a lesson shows, at its state there.
type plate struct {
	name    string // of files
	work    *kit.Work
	figure  int
	results bool // what comes out is said beside it
}

// plates are all figures of a lesson and all figures of its explorers.
func plates(l *lesson.Lesson) (list []plate) {
	for _, e := range l.Explorers {
		for i, f := range e.Result.Work.Calculator.Figures {
			list = append(list, plate{e.ID + "-" + f.Name, e.Result.Work, i, true})
		}
	}
	for _, f := range l.Figures {
		if i, ok := f.Result.Work.Calculator.Figure(f.Name); ok {
			list = append(list, plate{"figure-" + f.ID, f.Result.Work, i, false})
		}
	}
	return list
}

// Pictures are all figures of a lesson and all figures of its explorers, at the states that the lesson shows. The
// lesson must have been checked.
func Pictures(l *lesson.Lesson, in *locale.Locale, system quantity.System) []Picture {
	var list []Picture
	for _, plate := range plates(l) {
		p := Of(plate.work, plate.figure, in.Reader(system), plate.results)
		p.Name, p.RTL = plate.name, in.RightToLeft
		list = append(list, p)
	}
	return list
}

// Films are films of the lesson's explorers that show a stop, made by film, which reports whether there is one. to is
// added to their names.
func Films(l *lesson.Lesson, in *locale.Locale, to string, film func(w *kit.Work) (Film, bool)) []Film {
	var list []Film
	for _, e := range l.Explorers {
		if f, ok := film(e.Result.Work); ok {
			f.Name = e.ID + to
			list = append(list, f.in(in))
		}
	}
	return list
}

// Sweeps are films of all figures of the lesson whose calculators have the input that moves.
func Sweeps(l *lesson.Lesson, in *locale.Locale, system quantity.System, rate int, sweep *Sweep) ([]Film, error) {
	var list []Film
	for _, plate := range plates(l) {
		if _, ok := plate.work.Calculator.Input(sweep.Input); !ok {
			continue
		}
		f, err := sweep.Film(plate.work, plate.figure, in.Reader(system), rate)
		if err != nil {
			return nil, err
		}
		f.Name = plate.name + "-by-" + sweep.Input
		list = append(list, f.in(in))
	}
	return list, nil
}

// in is the film for readers of a language.
func (f Film) in(in *locale.Locale) Film {
	at := f.At
	f.At = func(t float64) (Picture, error) {
		p, err := at(t)
		p.RTL = in.RightToLeft
		return p, err
	}
	return f
}

// Write writes pictures as SVG and PNG into a folder. It goes on after a picture that fails and gives all errors.
func Write(ctx context.Context, pictures []Picture, dir string, size Size, pen *Pen, progress func(done, total int)) error {
	var errs []error
	for i := range pictures {
		p := &pictures[i]
		if err := ctx.Err(); err != nil {
			return errors.Join(append(errs, err)...)
		}
		base := filepath.Join(dir, p.Name+"-"+size.Name+"-"+string(pen.Background))
		errs = append(errs,
			pen.Keeper.Write(base+".svg", func(w io.Writer) error { return p.WriteSVG(w, size, pen) }),
			pen.Keeper.Write(base+".png", func(w io.Writer) error { return p.WritePNG(w, size, pen) }))
		progress(i+1, len(pictures))
	}
	return errors.Join(errs...)
}
