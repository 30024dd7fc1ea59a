package main

import (
	"errors"
	"fmt"

	"example.org/gripleaf/cmd/internal/cue"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/still"
)

type cueCommand struct {
	oneLesson
	keeping
	Out   string `placeholder:"DIR" help:"Where to write the files (cue/LESSON)."`
	Limit int    `placeholder:"N" help:"Let the description have at most so many characters."`
}

func (cueCommand) Help() string {
	return `From the headings that have a moment, such as ## [Loose surfaces](moment:2:05#loose), come:

the text that stands under the video, with a link into the lesson for each moment; for a corrected lesson a text to pin
below it; the moments as WebVTT chapters and as a CSV table; what is said as WebVTT captions, a draft to be set right by
ear; a QR code for each moment, as SVG and PNG; a thumbnail with the title and the one number; and a script to speak
from: the lesson's text by moment, how long each passage takes and how much time it has, numbers in words (in English and
German), worked steps with their numbers put in, and beside every number its roundings that stay true, in both systems
of units.

A description that is too long loses sources first, then links, then sentences, then moments, then old corrections; never
half a link. What many players of videos would not take, such as a chapter of less than ten seconds, is said at the end.

Example: gripleaf cue how-a-stop-is-made --limit 5000`
}

// Run writes what the lesson's video needs.
func (c *cueCommand) Run(w *world) error {
	if c.Limit < 0 {
		return usage("--limit takes a number of characters above 0")
	}
	l, err := c.read(w)
	if err != nil {
		return err
	}
	q, faults := cue.New(l.course, l.entry, l.lesson)
	if len(faults) > 0 {
		return faults
	}
	if c.Out == "" {
		c.Out = "cue/" + l.entry.Name
	}
	palette, err := still.NewPalette(l.course.Site.Look.Colours)
	if err != nil {
		return err
	}
	files, err := q.Write(c.Out, c.Limit, &still.Pen{Fonts: new(still.Fonts), Palette: palette, Background: still.Dark, Keeper: c.keeper()})
	for _, f := range files {
		fmt.Fprintf(w.stdout, "%s\t%s\n", f.Path, f.About)
	}
	if err != nil {
		return fontFault(err)
	}
	for _, warning := range q.Habits(c.Limit) {
		fmt.Fprintln(w.stderr, warning)
	}
	return nil
}

// fontFault gives a text that no font can set its way out.
func fontFault(err error) error {
	var missing *still.MissingError
	if errors.As(err, &missing) {
		return fault.Fault{Code: "no-font", Text: missing.Error(), Hint: missing.Hint()}
	}
	return err
}
