package still

import (
	"context"
	"errors"
	"io"
	"path/filepath"

	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/cmd/internal/lesson"
	"example.org/gripleaf/cmd/internal/locale"
)

// Pictures are all figures of a lesson and all figures of its explorers, at
// the states that the lesson shows. The lesson must have been checked.
func Pictures(l *lesson.Lesson, in *locale.Locale, system quantity.System) []Picture {
	r := in.Reader(system)
	var list []Picture
	for _, e := range l.Explorers {
		for i := range e.Result.Work.Calculator.Figures {
			p := Of(e.Result.Work, i, r, true)
			p.Name = e.ID + "-" + e.Result.Work.Calculator.Figures[i].Name
			list = append(list, p)
		}
	}
	for _, f := range l.Figures {
		if i, ok := f.Result.Work.Calculator.Figure(f.Name); ok {
			p := Of(f.Result.Work, i, r, false)
			p.Name = "figure-" + f.ID
			list = append(list, p)
		}
	}
	for i := range list {
		list[i].RTL = in.RightToLeft
	}
	return list
}

// Films are the replays of the lesson's explorers that show a stop.
func Films(l *lesson.Lesson, in *locale.Locale, system quantity.System, rate int) []Film {
	var list []Film
	for _, e := range l.Explorers {
		if f, ok := FilmOf(e.Result.Work, in.Reader(system), rate); ok {
			f.Name, f.RTL = e.ID, in.RightToLeft
			list = append(list, f)
		}
	}
	return list
}

// Write writes pictures as SVG and PNG into a folder. It goes on after a
// picture that fails and gives all errors.
func Write(ctx context.Context, pictures []Picture, dir string, size Size, pen *Pen, progress func(done, total int)) error {
	var errs []error
	for i := range pictures {
		p := &pictures[i]
		if err := ctx.Err(); err != nil {
			return errors.Join(append(errs, err)...)
		}
		base := filepath.Join(dir, p.Name+"-"+size.Name+"-"+pen.Background.String())
		errs = append(errs,
			pen.Keeper.Write(base+".svg", func(w io.Writer) error { return p.WriteSVG(w, size, pen) }),
			pen.Keeper.Write(base+".png", func(w io.Writer) error { return p.WritePNG(w, size, pen) }))
		progress(i+1, len(pictures))
	}
	return errors.Join(errs...)
}
