package main

import (
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/lesson"
	"example.org/gripleaf/cmd/internal/still"
)

type stillCommand struct {
	oneLesson
	keeping
	Out        string           `placeholder:"DIR" help:"Where to write the pictures (stills/LESSON)."`
	Size       string           `enum:"1080p,2160p,square,portrait" default:"1080p" help:"1080p, 2160p, square or portrait (${default})."`
	Background still.Background `enum:"light,dark,green,transparent" default:"light" help:"light, dark, green or transparent (${default})."`
	Imperial   bool             `help:"In miles per hour, feet and pounds."`
	Frames     int              `placeholder:"RATE" help:"Film the stops too: numbered PNG frames at 25, 30, 50 or 60 a second."`
	Beside     string           `placeholder:"CALC" xor:"film" help:"Film each stop beside another one instead, on one road and one clock: 'calc:antilock?surface=gravel'."`
	Slow       bool             `xor:"film" help:"Film one cycle of the controller instead, twenty times slower."`
	Sweep      string           `placeholder:"INPUT=FROM..TO:STEP" xor:"film" help:"Film the figures instead while one input moves, a step each half second: speed=30..130:10km/h."`
	Video      bool             `help:"Make a video of the frames as well, with ffmpeg."`
}

func (stillCommand) Help() string {
	return `Every figure and every state of an explorer in the lesson becomes an SVG and a PNG for the screen: its title, what was
set, the figure, what comes out, the caution. Square and portrait are laid out for themselves, in letters that can be
read at a third of the size and clear of a player's controls.

With --frames, each stop is filmed from the side, to scale and at the speed at which it happens: the reaction and the
braking in their colours, the first touch of the lever, the dive, an obstacle. --beside puts another stop on the same
road and clock, --slow shows one cycle of the controller, and --sweep moves one input while the figures follow. Frames
that are there already are kept: a film that was stopped goes on where it was.

A video is MP4, or WebM with an alpha channel on the transparent background; green is for programs that take a colour
away. Faults of ffmpeg leave the frames as they are.

Examples:
  gripleaf still grip-and-slip --size portrait --background dark
  gripleaf still how-a-stop-is-made --background transparent --frames 50 --video
  gripleaf still how-a-stop-is-made --beside 'calc:stop?speed=80km/h' --video
  gripleaf still how-a-stop-is-made --sweep speed=30..130:10km/h --video`
}

// Run draws the lesson's pictures and films.
func (c *stillCommand) Run(w *world) error {
	if !slices.Contains([]int{0, 25, 30, 50, 60}, c.Frames) {
		return usage(fmt.Sprintf("--frames takes 25, 30, 50 or 60, not %d", c.Frames))
	}
	if (c.Video || c.Beside != "" || c.Slow || c.Sweep != "") && c.Frames == 0 {
		c.Frames = 25
	}
	l, err := c.read(w)
	if err != nil {
		return err
	}
	palette, err := still.NewPalette(l.course.Site.Look.Colours)
	if err != nil {
		return err
	}
	if c.Out == "" {
		c.Out = filepath.Join("stills", l.entry.Name)
	}
	size := still.SizeOf(c.Size)
	pen := &still.Pen{Fonts: new(still.Fonts), Palette: palette, Background: c.Background, Keeper: c.keeper()}
	if err := c.pictures(w, l, size, pen); err != nil {
		return fontFault(err)
	}
	if c.Frames == 0 {
		return nil
	}
	return fontFault(c.films(w, l, size, pen))
}

func (c *stillCommand) system() quantity.System {
	if c.Imperial {
		return quantity.Imperial
	}
	return quantity.Metric
}

func (c *stillCommand) pictures(w *world, l *checked, size still.Size, pen *still.Pen) error {
	pictures := still.Pictures(l.lesson, l.locale(), c.system())
	if len(pictures) == 0 {
		return fault.Fault{Code: "no-figures", File: l.lesson.Source.File, Text: "this lesson has no figure and no explorer", Hint: "write one, such as ![caption](calc:stop?speed=60km/h)"}
	}
	step, end := w.progress("pictures")
	defer end()
	if err := still.Write(w.ctx, pictures, c.Out, size, pen, step); err != nil {
		return err
	}
	fmt.Fprintf(w.stdout, "%s: %s as SVG and PNG, %s, %s\n", c.Out, count(len(pictures), "picture", "pictures"), size.Name, pen.Background)
	return nil
}

// filmed are the films that were asked for.
func (c *stillCommand) filmed(l *checked) ([]still.Film, error) {
	in := l.locale()
	r := in.Reader(c.system())
	switch {
	case c.Sweep != "":
		return c.swept(l)
	case c.Slow:
		return still.Films(l.lesson, in, "-slow", func(w *kit.Work) (still.Film, bool) { return still.Cycle(w, r, c.Frames) }), nil
	case c.Beside != "":
		other, err := l.course.Calculators.Work(c.Beside)
		if err != nil {
			return nil, queryFaults(c.Beside, err)
		}
		beside := func(w *kit.Work) (still.Film, bool) { return still.Beside(w, other, r, c.Frames) }
		return still.Films(l.lesson, in, "-beside", beside), nil
	}
	return still.Films(l.lesson, in, "", func(w *kit.Work) (still.Film, bool) { return still.Ride(w, r, c.Frames) }), nil
}

// nothing says why there is no film.
func (c *stillCommand) nothing() string {
	if c.Slow {
		return "in none of its stops does a controller work, so there is no cycle to film"
	}
	return "none of its explorers rides a stop, so there is nothing to film"
}

func (c *stillCommand) swept(l *checked) ([]still.Film, error) {
	input, values, _ := strings.Cut(c.Sweep, "=")
	moves, ok := lesson.ParseRange(values)
	if !ok {
		return nil, usage(fmt.Sprintf("--sweep takes an input and its range, such as speed=30..130:10km/h, not %q", c.Sweep))
	}
	films, err := still.Sweeps(l.lesson, l.locale(), c.system(), c.Frames, &still.Sweep{Calculators: l.course.Calculators, Input: input, Range: moves})
	if err == nil && len(films) == 0 {
		err = fault.Fault{Code: "no-figures", File: l.lesson.Source.File, Text: fmt.Sprintf("no figure of this lesson has the input %q", input), Hint: "gripleaf work calc:NAME lists the inputs of a calculator"}
	}
	return films, err
}

func (c *stillCommand) films(w *world, l *checked, size still.Size, pen *still.Pen) error {
	films, err := c.filmed(l)
	if err != nil {
		return err
	}
	if len(films) == 0 {
		fmt.Fprintln(w.stdout, c.nothing())
	}
	for i := range films {
		f := &films[i]
		dir := filepath.Join(c.Out, fmt.Sprintf("%s-%s-%s-%d", f.Name, size.Name, pen.Background, f.Rate))
		step, end := w.progress(f.Name)
		err := f.WriteFrames(w.ctx, dir, size, pen, step)
		end()
		if err != nil {
			return err
		}
		fmt.Fprintf(w.stdout, "%s: %s at %d a second\n", dir, count(f.Frames(), "frame", "frames"), f.Rate)
		if c.Video {
			if err := c.video(w, f, dir, pen); err != nil {
				return err
			}
		}
	}
	return nil
}

func (c *stillCommand) video(w *world, f *still.Film, dir string, pen *still.Pen) error {
	step, end := w.progress("video")
	path, err := f.WriteVideo(w.ctx, dir, pen, step)
	end()
	if errors.Is(err, still.ErrNoEncoder) {
		return fault.Fault{Code: "no-encoder", Text: err.Error(),
			Hint: "install it (on Debian: apt-get install ffmpeg), or read the frames into an editing program"}
	}
	if err == nil {
		fmt.Fprintln(w.stdout, path)
	}
	return err
}
